"""Flatness against a linear programme and against lstsq, both independent."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from gudgeon.metrology.flatness import flatness_least_squares, flatness_minimum_zone

Points = list[tuple[float, float, float]]
whole = st.integers(-4, 4)
faces = st.lists(st.tuples(whole, whole, st.integers(-50, 50)), min_size=3, max_size=24)


def _by_linear_programme(points: Points) -> float:
    shape = np.array([[1.0, x, y] for x, y, _ in points])
    heights = np.array([z for *_, z in points])
    ones = np.ones((len(points), 1))
    found = linprog(
        [0, 0, 0, 1],
        A_ub=np.block([[shape, -ones], [-shape, -ones]]),
        b_ub=np.concatenate([heights, -heights]),
        bounds=[(None, None)] * 3 + [(0, None)],
    )
    return 2.0 * float(found.fun)


@given(faces)
@settings(max_examples=150, deadline=None)
def test_minimum_zone_equals_a_linear_programme(face: list[tuple[int, int, int]]) -> None:
    points = [(float(x), float(y), float(z)) for x, y, z in face]
    assert flatness_minimum_zone(points) == pytest.approx(_by_linear_programme(points), abs=1e-6)


@given(faces)
@settings(max_examples=100, deadline=None)
def test_least_squares_zone_equals_lstsq_and_is_never_the_smaller(
    face: list[tuple[int, int, int]],
) -> None:
    points = [(float(x), float(y), float(z)) for x, y, z in face]
    shape = np.array([[1.0, x, y] for x, y, _ in points])
    heights = np.array([z for *_, z in points])
    above = heights - shape @ np.linalg.lstsq(shape, heights, rcond=None)[0]
    zone = flatness_least_squares(points)
    assert zone == pytest.approx(float(np.ptp(above)), abs=1e-9)
    assert zone >= flatness_minimum_zone(points) - 1e-12


@given(faces, st.floats(-0.01, 0.01), st.floats(-0.01, 0.01))
@settings(max_examples=50, deadline=None)
def test_tilting_the_face_changes_nothing(
    face: list[tuple[int, int, int]], slope_x: float, slope_y: float
) -> None:
    level = [(float(x), float(y), float(z)) for x, y, z in face]
    tilted = [(x, y, z + slope_x * x + slope_y * y) for x, y, z in level]
    assert flatness_minimum_zone(tilted) == pytest.approx(flatness_minimum_zone(level), abs=1e-9)


def test_a_plane_is_flat_and_a_line_is_straight() -> None:
    assert flatness_minimum_zone([(x, y, 3 + 2 * x - y) for x in range(4) for y in range(3)]) == 0
    bowed = [(float(x), 2.0 * x, float(z)) for x, z in enumerate([0, 3, 4, 3, 0])]
    assert flatness_minimum_zone(bowed) == 4.0


def test_a_face_read_at_sixty_points() -> None:
    rng = np.random.default_rng(5)
    points = [
        (40.0 * i, 30.0 * j, round(float(z), 3))
        for (i, j), z in zip(np.ndindex(10, 6), rng.normal(0, 0.01, 60), strict=True)
    ]
    assert flatness_minimum_zone(points) == pytest.approx(_by_linear_programme(points), abs=1e-9)


@pytest.mark.parametrize(
    "points", [[], [(0, 0, 0), (1, 0, 0)], [(0, 0, math.nan), (1, 0, 0), (0, 1, 0)]]
)
def test_nonsense_is_refused(points: Points) -> None:
    for zone in (flatness_minimum_zone, flatness_least_squares):
        with pytest.raises(ValueError, match=r"readings|finite"):
            zone(points)
