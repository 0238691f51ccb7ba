"""The crank mechanism and the volumes over it; each test says where its values come from."""

from __future__ import annotations

import math

import numpy as np
import pytest

from gudgeon.calc.calculation import run
from gudgeon.calc.registry import BY_NAME
from gudgeon.timing.crank import Crank, mean_piston_speed, piston_depth, stop_reading, zero_error
from gudgeon.timing.volumes import clearance_volume, compression_ratio, displacement


@pytest.mark.parametrize(
    ("radius", "rod", "angle", "exact", "two_terms"),
    [
        (22.5, 90.0, 30.0, 3.720322, 3.717553),
        (22.5, 90.0, 90.0, 25.357875, 25.312500),
        (29.0, 103.0, 10.0, 0.563752, 0.563678),
    ],
)
def test_piston_travel(
    radius: float, rod: float, angle: float, exact: float, two_terms: float
) -> None:
    """Derived: x = r(1 − cos θ) + l − √(l² − r² sin² θ); the two-term series is another number."""
    assert piston_depth(radius, rod, angle) == pytest.approx(exact, abs=1e-6)
    assert Crank(radius, rod).depths(np.array([angle]))[0] == pytest.approx(exact, abs=1e-6)
    theta, ratio = math.radians(angle), radius / rod
    series = radius * (1 - math.cos(theta) + ratio / 4 * (1 - math.cos(2 * theta)))
    assert series == pytest.approx(two_terms, abs=1e-6)
    assert abs(exact - series) > 5e-5
    typed = {"crank-radius": [str(radius)], "rod": [str(rod)], "angle": [str(angle)]}
    assert run(BY_NAME["piston-position"], typed).value == pytest.approx(exact, abs=1e-6)


def test_half_stroke_comes_before_a_quarter_turn() -> None:
    """Derived: for l/r = 4, x = r at arccos(1/8) = 82.81924°; at 90° x/r = 5 − √15."""
    crank = Crank(1.0, 4.0)
    assert crank.angles_at(1.0)[1] == pytest.approx(82.81924, abs=1e-5)
    assert crank.depth(90.0) == pytest.approx(1.127017, abs=1e-6)


def test_top_by_a_positive_stop() -> None:
    """Derived: 31.0° before and 33.4° after put the top 1.2° after the zero mark."""
    assert zero_error(31.0, 33.4) == pytest.approx(1.2)
    assert stop_reading(31.0, 33.4) == pytest.approx(32.2)


@pytest.mark.parametrize(("angle", "relative"), [(0.0, 1.0), (90.0, 6.156541), (180.0, 10.0)])
def test_dimensionless_volume(angle: float, relative: float) -> None:
    """Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.6, at r_c = 10 and R = 3.5.

    V/V_c = 1 + (r_c − 1)/2 (R + 1 − cos θ − √(R² − sin² θ)); values computed from it.
    """
    crank = Crank(1.0, 3.5)
    volume = 1.0 + (10.0 - 1.0) * crank.depth(angle) / crank.stroke
    assert volume == pytest.approx(relative, abs=1e-6)


def test_compression_ratio_from_parts() -> None:
    """Derived: bore 76, stroke 55, head 22, dome 3, gasket 0.8 of 78, deck 0.5: 10.94405."""
    assert displacement(76.0, 55.0) == pytest.approx(249.5053, abs=1e-4)
    left = clearance_volume(76.0, 22.0, 3.0, 0.8, 78.0, 0.5)
    assert left == pytest.approx(25.0909, abs=1e-4)
    found = compression_ratio(76.0, 55.0, 22.0, 3.0, 0.8, 78.0, 0.5)
    assert found == pytest.approx(10.94405, abs=1e-4)


def test_mean_piston_speed() -> None:
    """Derived: 2 S n; 45 mm at 10 000 rev/min is 15 m/s."""
    assert mean_piston_speed(45.0, 10_000.0) == pytest.approx(15.0, abs=1e-3)
