"""Formulas: they undo each other, carry error sources, and refuse the impossible."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.formulas import axial, bearings, fallback, rings, valves
from gudgeon.metrology.measured import Measured

sizes = st.floats(0.1, 5.0)
gaps = st.floats(0.0, 0.5)
levers = st.floats(0.5, 2.0)


@given(sizes, gaps, gaps, st.floats(-0.2, 0.4), levers, st.sampled_from(valves.READ_AT))
def test_the_shim_chosen_gives_the_clearance_wanted(
    old: float,
    clearance: float,
    target: float,
    recession: float,
    lever: float,
    read_at: valves.ReadAt,
) -> None:
    new = valves.shim(old, clearance, target, recession, lever, read_at)
    got = valves.clearance_with(new, old, clearance, recession, lever, read_at)
    assert got == pytest.approx(target, abs=1e-12)
    same = valves.clearance_with(old, old, clearance, recession, lever)
    assert same == pytest.approx(valves.clearance_after(clearance, recession, lever))


@given(sizes, gaps, gaps)
def test_a_gap_read_at_the_stem_needs_no_lever(old: float, clearance: float, target: float) -> None:
    direct = valves.shim(old, clearance, target)
    assert valves.shim(old, clearance, target, lever=1.6, read_at="stem") == direct
    assert valves.shim_from_dry_build(old, clearance, target) == pytest.approx(direct)


@given(st.floats(1.0, 89.0), gaps)
def test_the_two_ways_to_quote_a_seat_agree(angle: float, normal: float) -> None:
    by_face = valves.axial_from_normal(normal, angle, "face")
    assert by_face == pytest.approx(valves.axial_from_normal(normal, 90.0 - angle, "axis"))
    assert by_face == pytest.approx(normal / math.cos(math.radians(angle)))
    assert by_face >= normal


@given(st.floats(30.0, 80.0), st.floats(25.0, 29.0), st.floats(0.0, 0.1))
def test_the_wanted_wall_gives_the_wanted_clearance(
    housing: float, journal: float, clearance: float
) -> None:
    wall = bearings.wanted_wall(housing, journal, clearance)
    assert bearings.oil_clearance(housing, journal, wall, wall) == pytest.approx(clearance)


@given(st.floats(0.0, 0.3))
def test_taper_is_read_back_from_the_gaps(taper: float) -> None:
    bottom = 0.2
    assert rings.taper_from_gaps(bottom + rings.gap_growth(taper), bottom) == pytest.approx(taper)


def test_errors_travel_through_and_shared_ones_cancel() -> None:
    zero = {"micrometer zero": 0.002}
    old = Measured(1.850, {**zero, "reading 1": 0.001})
    shelf = Measured(1.750, {**zero, "reading 2": 0.001})
    gap = Measured.of(0.14, 0.008, "feeler")
    lift = Measured.of(0.11, 0.010, "depth gauge")
    built = valves.clearance_with(shelf, old, gap, lift)
    assert built.value == pytest.approx(0.13)
    assert built.u == pytest.approx(math.hypot(0.008, 0.010, 0.001, 0.001))
    half = Measured.of(1.490, 0.0015, "wall")
    fit = bearings.oil_clearance(Measured(36.003), Measured(32.991), half, half)
    assert fit.u == pytest.approx(0.003)
    assert axial.end_float(gap, gap, 0.35, 0.1, 0.1).u == pytest.approx(0.016)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: valves.axial_from_normal(0.05, 0.0), "seat angle"),
        (lambda: valves.axial_from_normal(0.05, 90.0), "seat angle"),
        (lambda: valves.axial_from_normal(0.05, math.nan), "seat angle"),
        (lambda: valves.shim(1.8, 0.1, 0.1, lever=0.0), "lever"),
        (lambda: valves.shim(1.8, 0.1, 0.1, lever=math.inf), "lever"),
        (lambda: valves.screw_turns(0.1, 0.05, 0.0), "pitch"),
        (lambda: bearings.undersize_wall(1.5, -0.25), "undersize"),
        (lambda: rings.least_gap(58.0, 0.4), "gap factor"),
        (lambda: fallback.suspect_wear("tyre wear"), "is none of bore wear"),
        (lambda: fallback.suspect_wear("bore wear"), "needs the bore diameter"),
        (lambda: fallback.suspect_wear("end play", math.nan), "above 0"),
    ],
)
def test_the_impossible_is_refused(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()
