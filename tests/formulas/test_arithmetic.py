"""Worked examples with invented numbers: they test arithmetic, never truth.

Every size, limit and target below is made up; no engine stands behind them.
"""

from __future__ import annotations

import itertools
import math

import pytest

from gudgeon.formulas import axial, bearings, rings, valves
from gudgeon.metrology.measured import Measured


def test_one_valve() -> None:
    """Invented: seat recut, the stem rose 0.11; forgetting the rise leaves the valve tight."""
    assert valves.clearance_after(0.14, 0.11) == pytest.approx(0.03)
    assert valves.shim(1.850, 0.14, 0.13, 0.11) == pytest.approx(1.750)
    assert valves.shim(1.850, 0.14, 0.13) == pytest.approx(1.860)
    assert valves.clearance_with(1.850, 1.850, 0.14, 0.11) == pytest.approx(0.03)


def test_dry_build() -> None:
    """Invented: a checking shim of 1.200 shows 0.68."""
    assert valves.shim_from_dry_build(1.200, 0.68, 0.13) == pytest.approx(1.750)


def test_uncertainty_of_a_forecast_clearance() -> None:
    """Invented spreads: blades 0.006, feel 0.006, rise 0.010, micrometer 0.002, shim 0.004."""
    gap = Measured(0.14, {"blade step": 0.006, "feel": 0.006})
    old = Measured.of(1.850, 0.002, "micrometer")
    new = Measured.of(1.750, 0.004, "new shim")
    forecast = valves.clearance_with(new, old, gap, Measured.of(0.11, 0.010, "rise"))
    assert forecast.value == pytest.approx(0.13)
    assert round(forecast.u, 3) == 0.014


HEAD = [  # old shim, clearance before, rise, wanted, target
    (1.850, 0.14, 0.11, 1.740, 0.14),
    (1.875, 0.12, 0.08, 1.775, 0.14),
    (1.825, 0.15, 0.09, 1.745, 0.14),
    (1.900, 0.10, 0.12, 1.740, 0.14),
    (1.950, 0.22, 0.06, 1.890, 0.22),
    (1.900, 0.19, 0.05, 1.820, 0.22),
    (1.975, 0.23, 0.10, 1.885, 0.22),
    (1.925, 0.20, 0.04, 1.865, 0.22),
]


@pytest.mark.parametrize(("old", "before", "rise", "wanted", "target"), HEAD)
def test_shims_wanted_by_a_head(
    old: float, before: float, rise: float, wanted: float, target: float
) -> None:
    """Invented eight-valve head."""
    assert valves.shim(old, before, target, rise) == pytest.approx(wanted)


def test_one_valve_of_that_head_is_held_open_by_its_old_shim() -> None:
    """Invented: the same head, second cylinder's right inlet."""
    after = [valves.clearance_after(before, rise) for _, before, rise, *_ in HEAD]
    assert [round(c, 3) for c in after if c < 0] == [-0.020]


def test_inlet_shims_moved_to_the_exhausts() -> None:
    """Invented: four inlet shims serve the exhausts and land at the clearances worked out."""
    moves = [(1.900, 4, 0.210), (1.825, 5, 0.215), (1.875, 6, 0.230), (1.850, 7, 0.235)]
    for shim, place, clearance in moves:
        old, before, rise, *_ = HEAD[place]
        got = valves.clearance_with(shim, old, before, rise)
        assert got == pytest.approx(clearance)


WALLS = {1: 1.487, 2: 1.490, 3: 1.493, 4: 1.496, 5: 1.499}
HOUSINGS = {"A": (36.000, 36.006), "B": (36.006, 36.012), "C": (36.012, 36.018)}
JOURNALS = {1: (32.994, 33.000), 2: (32.988, 32.994), 3: (32.982, 32.988)}


def test_every_cell_of_a_grade_table() -> None:
    """Invented classes: at every corner of every cell the clearance is 0.023 to 0.041."""
    corners = []
    for row, letter in enumerate("ABC"):
        for number in (1, 2, 3):
            for bore, journal, tol in itertools.product(
                HOUSINGS[letter], JOURNALS[number], (-0.0015, 0.0015)
            ):
                wall = WALLS[row + number] + tol
                corners.append(bearings.oil_clearance(bore, journal, wall, wall))
    assert min(corners) == pytest.approx(0.023)
    assert max(corners) == pytest.approx(0.041)


@pytest.mark.parametrize(
    ("housing", "journal", "wall", "by_code", "got", "by_measurement"),
    [
        (36.003, 32.991, 1.4900, 2, 0.032, 0.032),
        (36.008, 32.996, 1.4900, 2, 0.032, 0.032),
        (36.013, 32.981, 1.5000, 4, 0.040, 0.034),
        (36.015, 32.992, 1.4955, 4, 0.031, 0.031),
        (36.004, 32.997, 1.4875, 1, 0.033, 0.033),
    ],
)
def test_shells_by_code_and_by_measurement(
    housing: float, journal: float, wall: float, by_code: int, got: float, by_measurement: float
) -> None:
    """Invented mains, target clearance 0.032."""
    assert bearings.wanted_wall(housing, journal, 0.032) == pytest.approx(wall)
    coded = WALLS[by_code]
    assert bearings.oil_clearance(housing, journal, coded, coded) == pytest.approx(got)
    nearest = min(WALLS.values(), key=lambda t: abs(t - wall))
    best = bearings.oil_clearance(housing, journal, nearest, nearest)
    assert best == pytest.approx(by_measurement)


def test_ring_gaps() -> None:
    """Invented fresh bore of 58.255 and gap factors."""
    assert rings.least_gap(58.255, 0.0040) == pytest.approx(0.233, abs=5e-4)
    assert rings.least_gap(58.255, 0.0050) == pytest.approx(0.291, abs=5e-4)
    assert rings.least_gap(58.255, 0.0040) - 0.16 == pytest.approx(0.07, abs=5e-3)
    assert rings.gap_growth(0.05) == pytest.approx(0.157, abs=5e-4)
    assert rings.taper_from_gaps(0.42, 0.27) == pytest.approx(0.048, abs=5e-4)


def test_end_float() -> None:
    """Invented case: 0.30 leaves 0.18, 0.35 leaves 0.13; a gasket 0.03 thinner moves both."""
    case = (41.83, 39.42, 0.35, 81.12)
    assert axial.end_float(*case, 0.0) == pytest.approx(0.48)
    assert axial.end_float_shim(*case, 0.15) == pytest.approx(0.33)
    assert axial.end_float(*case, 0.30) == pytest.approx(0.18)
    assert axial.end_float(*case, 0.35) == pytest.approx(0.13)
    crushed = (41.83, 39.42, 0.32, 81.12)
    assert axial.end_float(*crushed, 0.30) == pytest.approx(0.15)
    assert axial.end_float(*crushed, 0.35) == pytest.approx(0.10)


def test_levers_and_screws() -> None:
    """Invented finger follower of ratio 1.45, and a screw of 0.5 mm pitch."""
    assert valves.shim(2.500, 0.09, 0.15, lever=1.45) == pytest.approx(2.500 - 0.087)
    assert 360 * valves.screw_turns(0.05, 0.0, 0.5) == pytest.approx(36.0)
    assert valves.clearance_after(0.10, 0.15, lever=1.5) == pytest.approx(0.0, abs=1e-15)


def test_rise_by_its_parts() -> None:
    """Invented cuts; a 45° face adds its depth times the square root of 2."""
    assert valves.rise_by_parts(0.0, 0.02, 45.0) == pytest.approx(0.02 * math.sqrt(2))
    assert valves.rise_by_parts(0.05, 0.02, 30.0, 0.01) == pytest.approx(0.05 + 0.023094 - 0.01)
    assert valves.rise(36.42, 36.53) == pytest.approx(0.11)
