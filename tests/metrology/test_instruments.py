"""Kinds of instrument, the shop's own figures, and zero errors from setting checks."""

from __future__ import annotations

import math

import pytest
from tests.metrology.engine import check, instrument, job, reading, shop

from gudgeon.metrology.instruments import LARGEST_ZERO, cabinet, moment
from gudgeon.metrology.kinds import ALSO, KINDS, kind_named, usual_kind
from gudgeon.metrology.readings import read_all

#: Half-width U that holds 95 % [mm] at a size, by kind: common practice, no source.
BENCH = [
    ("micrometer-0.01", 20.0, 0.005),
    ("micrometer-0.01", 40.0, 0.006),
    ("micrometer-0.01", 60.0, 0.008),
    ("micrometer-0.001", 20.0, 0.003),
    ("micrometer-0.001", 40.0, 0.004),
    ("micrometer-0.001", 60.0, 0.006),
    ("caliper", 100.0, 0.030),
    ("bore-gauge", 36.0, 0.006),
    ("bore-gauge", 78.0, 0.010),
    ("depth-micrometer", 38.0, 0.006),
    ("lever-dial", 0.02, 0.004),
    ("plunger-dial", 0.2, 0.012),
    ("scales", 168.0, 0.15),
]


@pytest.mark.parametrize(("name", "size", "expanded"), BENCH)
def test_both_parts_together_are_half_the_expanded_figure(
    name: str, size: float, expanded: float
) -> None:
    figures = KINDS[name].figures(size)
    assert 2 * math.hypot(figures.setting, figures.reading) == pytest.approx(expanded)
    assert figures.setting > 0
    assert figures.reading > 0


def test_every_other_name_leads_to_a_kind() -> None:
    assert {kind_named(name) for name in ALSO} <= set(KINDS.values())
    assert kind_named("Depth") is KINDS["depth-micrometer"]
    assert kind_named("theodolite") is None
    assert kind_named(None) is None


@pytest.mark.parametrize("reading_kind", ["size", "gap", "height", "flatness", "run-out", "mass"])
def test_every_sort_of_reading_has_a_usual_instrument(reading_kind: str) -> None:
    assert usual_kind(reading_kind, None).name in KINDS


def test_times_with_different_offsets_are_in_order() -> None:
    assert moment("2026-03-01T10:00:00+02:00") < moment("2026-03-01T09:00:00Z")
    assert moment("2026-02-31T10:00:00Z").year == 1


def journal(typed: str, at: str, **more: str) -> tuple[float, dict[str, float]]:
    """A journal read with mic-1, whose zero was checked at 9:00 (+0.004) and at 15:00 (0.000)."""
    owned = shop(
        instrument("mic-1", "micrometer-0.001", u_read="0.001", u_zero="0.0008"),
        check("mic-1", "25.000", "25.004", "2026-03-01T09:00:00Z", reference_u="0.0005"),
        check("mic-1", "25.000", "25.000", "2026-03-01T15:00:00Z", reference_u="0.0005"),
    )
    entry = reading(
        "journal", "main/1", typed, at=at, instrument="mic-1", spot={"axis": "0", "end": "front"}
    )
    value = read_all(job(entry), owned).taken[entry.id].value
    assert value is not None
    return value.value, dict(value.parts)


def test_a_reading_is_corrected_by_the_last_check_before_it() -> None:
    before, parts_before = journal("32.995", "2026-03-01T08:00:00Z")
    between, parts_between = journal("32.995", "2026-03-01T10:00:00Z")
    after, _ = journal("32.995", "2026-03-01T16:00:00Z")
    assert (before, between, after) == pytest.approx((32.995, 32.991, 32.995), abs=1e-9)
    assert parts_before["instrument:mic-1/zero"] == 0.0008
    (source,) = [name for name in parts_between if name.startswith("instrument:")]
    assert source == "instrument:mic-1/zero after check check.mic-1.25.004"
    assert parts_between[source] == pytest.approx(math.hypot(0.0005, 0.0005))


def test_a_check_a_turn_out_is_not_taken_for_a_zero_error() -> None:
    owned = cabinet({}, [check("micrometer-0.01", "25.000", "25.500")])
    assert owned.owned["micrometer-0.01"].zeros == ()
    assert "no zero error" in owned.faults[0].wrong
    assert LARGEST_ZERO < 0.5


def test_what_is_not_in_the_list_is_told() -> None:
    unknown = cabinet({"x": instrument("x", "theodolite")}, [check("nobodys", "25.000", "25.001")])
    assert [fault.where for fault in unknown.faults] == [
        "entry own.x",
        "entry check.nobodys.25.001",
    ]
    assert "micrometer-0.01" in unknown.faults[0].right
    bad = cabinet({}, [check("micrometer-0.01", "25,0,0", "25.001")])
    assert "more than one decimal mark" in bad.faults[0].wrong


def test_an_uncertainty_below_nothing_is_told_and_the_usual_one_stands() -> None:
    owned = cabinet({"m": instrument("m", "micrometer", u_read="-0.002")}, [])
    assert owned.owned["m"].reading is None
    assert "below nothing" in owned.faults[0].wrong
