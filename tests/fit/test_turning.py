"""Where the crank must stand to read which valves. The engines are invented."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.fit.turning import RAMP_MARGIN, lifted, readable, stops
from gudgeon.sheet.model import Sheet

EVENTS = {"in": {"opens": "28", "closes": "60"}, "ex": {"opens": "60", "closes": "28"}}


def engine(firing: Mapping[str, str], events: Mapping[str, object] = EVENTS) -> Sheet:
    return Sheet.model_validate(
        {
            "sheet": "1",
            "engine": {"name": "invented"},
            "places": {
                "cylinder": str(len(firing)),
                "valve": {"each": "cylinder", "in": ["L", "R"], "ex": ["L", "R"]},
            },
            "turning": {"firing": dict(firing), **events},
        }
    )


def valves(sheet: Sheet) -> tuple[str, ...]:
    return sheet.layout.of("valve")


def test_an_inline_four_is_read_at_two_positions_eight_valves_each() -> None:
    """Firing 1-3-4-2: at the first cylinder's compression TDC, and one turn on, as the trade reads
    sixteen valves (common practice, no source)."""
    sheet = engine({"1": "0", "3": "180", "4": "360", "2": "540"})
    first, second = stops(sheet, valves(sheet))
    assert (first.angle, second.angle, second.turn) == (0, 360, 360)
    assert set(first.valves) == {
        f"valve/{rest}"
        for rest in ("1/in/L", "1/in/R", "1/ex/L", "1/ex/R", "2/in/L", "2/in/R", "3/ex/L", "3/ex/R")
    }
    assert len(second.valves) == 8


def test_without_cam_events_each_cylinder_is_read_at_its_own_compression_tdc() -> None:
    sheet = engine({"1": "0", "2": "240", "3": "480"}, {})
    found = stops(sheet, valves(sheet))
    assert [(stop.angle, len(stop.valves)) for stop in found] == [(0, 4), (240, 4), (480, 4)]
    assert all(place.split("/")[1] == stop.cylinder for stop in found for place in stop.valves)


def test_without_a_firing_order_nothing_is_said() -> None:
    assert stops(engine({"1": "0"}), ()) == ()
    assert stops(engine({"1": "0"}).model_copy(update={"turning": Sheet.model_validate(
        {"sheet": "1"}).turning}), ("valve/1/in/L",)) == ()  # fmt: skip


@given(
    st.sampled_from(["in", "ex"]),
    st.integers(-10, 80),
    st.integers(-10, 90),
    st.integers(0, 719),
    st.integers(0, 719),
)
def test_a_valve_is_never_read_while_its_lobe_lifts_it(
    side: str, opens: int, closes: int, angle: int, firing: int
) -> None:
    arc = lifted(side, opens, closes)
    if not readable(angle, firing, arc):
        return
    after = (angle - firing) % 720
    assert not arc[0] - RAMP_MARGIN + 1e-6 < after < arc[1] + RAMP_MARGIN - 1e-6


@given(st.permutations([0, 180, 360, 540]))
def test_every_valve_is_read_once_and_turning_adds_up(order: list[int]) -> None:
    firing = {str(number + 1): str(angle) for number, angle in enumerate(order)}
    sheet = engine(firing)
    found = stops(sheet, valves(sheet))
    told = [place for stop in found for place in stop.valves]
    assert sorted(told) == sorted(valves(sheet))
    assert sum(stop.turn for stop in found) == pytest.approx(found[-1].angle)
