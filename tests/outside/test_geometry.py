"""Circles, roundness and flatness against published and independently solved cases."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import linprog

from gudgeon.metrology.flatness import flatness_least_squares, flatness_minimum_zone
from gudgeon.metrology.form import (
    diameters,
    fit_circle,
    out_of_round_two_point,
    roundness_least_squares,
)


def test_six_point_circle() -> None:
    """Gander, Golub and Strebel, BIT 34 (1994) 558: geometric fit of six points."""
    circle = fit_circle([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)])
    assert circle.x == pytest.approx(4.739782, abs=1e-6)
    assert circle.y == pytest.approx(2.983533, abs=1e-6)
    assert circle.radius == pytest.approx(4.714226, abs=1e-6)
    assert circle.sigma == pytest.approx(0.4523271, abs=1e-6)


def test_roundness_from_twelve_radii() -> None:
    """Derived; estimator of the least-squares circle as NIST's and textbooks' roundness give it.

    Radii 5 cos θ + 3 sin θ + 4 cos 2θ + 2 cos 3θ: the offset and the lobes come apart, and two
    points do not see the three lobes.
    """
    angles = [math.radians(30 * i) for i in range(12)]
    radii = [
        5 * math.cos(t) + 3 * math.sin(t) + 4 * math.cos(2 * t) + 2 * math.cos(3 * t)
        for t in angles
    ]
    found = roundness_least_squares(radii)
    assert (found.x, found.y) == pytest.approx((5.0, 3.0), abs=1e-9)
    assert found.residuals == pytest.approx((6, 2, -4, -4, 0, 2, 2, 2, 0, -4, -4, 2), abs=1e-9)
    assert found.zone == pytest.approx(10.0, abs=1e-3)
    assert diameters(radii) == pytest.approx((8, 4, -4, -8, -4, 4), abs=1e-9)
    assert out_of_round_two_point(radii) == pytest.approx(16.0, abs=1e-3)


def test_flatness_of_a_saddle() -> None:
    """Derived: four corners, two up by 0.01; both references give 0.0100."""
    saddle = [(0.0, 0.0, 0.0), (1.0, 0.0, 0.01), (0.0, 1.0, 0.01), (1.0, 1.0, 0.0)]
    assert flatness_minimum_zone(saddle) == pytest.approx(0.0100, abs=1e-9)
    assert flatness_least_squares(saddle) == pytest.approx(0.0100, abs=1e-9)


def test_flatness_of_a_head_face() -> None:
    """Invented heights, answers from scipy (linprog and numpy lstsq), recomputed here."""
    rows = {0: (0, -20, -35, -30, -5), 60: (-10, -30, -50, -40, -15), 120: (5, -15, -25, -20, 0)}
    face = [(50.0 * i, float(y), float(z)) for y, row in rows.items() for i, z in enumerate(row)]
    assert flatness_minimum_zone(face) == pytest.approx(50.000, abs=1e-3)
    assert flatness_least_squares(face) == pytest.approx(52.167, abs=1e-3)
    shape = np.array([[1.0, x, y] for x, y, _ in face])
    heights = np.array([z for *_, z in face])
    ones = np.ones((len(face), 1))
    programme = linprog(
        [0, 0, 0, 1],
        A_ub=np.block([[shape, -ones], [-shape, -ones]]),
        b_ub=np.concatenate([heights, -heights]),
        bounds=[(None, None)] * 3 + [(0, None)],
    )
    assert flatness_minimum_zone(face) == pytest.approx(2.0 * programme.fun, abs=1e-6)
    above = heights - shape @ np.linalg.lstsq(shape, heights, rcond=None)[0]
    assert flatness_least_squares(face) == pytest.approx(float(np.ptp(above)), abs=1e-9)
