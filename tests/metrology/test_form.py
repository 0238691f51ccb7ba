"""Roundness and circles: what is put in comes out, and scipy agrees."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from gudgeon.metrology.form import (
    bend_from_run_out,
    diameters,
    fit_circle,
    out_of_round_two_point,
    roundness_least_squares,
)


@given(
    st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.floats(0, 0.5),
    st.integers(2, 5), st.integers(12, 36),
)  # fmt: skip
def test_offset_and_lobes_come_out_as_put_in(
    mean: float, a: float, b: float, height: float, lobes: int, count: int
) -> None:
    angles = [2 * math.pi * i / count for i in range(count)]
    shape = [height * math.cos(lobes * t) for t in angles]
    radii = [
        mean + a * math.cos(t) + b * math.sin(t) + s for t, s in zip(angles, shape, strict=True)
    ]
    found = roundness_least_squares(radii)
    assert found.x == pytest.approx(a, abs=1e-12)
    assert found.y == pytest.approx(b, abs=1e-12)
    assert found.zone == pytest.approx(max(shape) - min(shape), abs=1e-12)


def test_three_lobes_are_hidden_from_two_points() -> None:
    radii = [10.0 + math.cos(3 * 2 * math.pi * i / 12) for i in range(12)]
    assert out_of_round_two_point(radii) == pytest.approx(0.0, abs=1e-12)
    assert roundness_least_squares(radii).zone == pytest.approx(2.0)


def test_points_on_a_circle_give_it_back() -> None:
    points = [(80.0 + 29 * math.cos(t), -5.0 + 29 * math.sin(t)) for t in (0.1, 1.0, 2.5, 4.0)]
    circle = fit_circle(points)
    assert (circle.x, circle.y, circle.radius) == pytest.approx((80.0, -5.0, 29.0))
    assert circle.sigma == pytest.approx(0.0, abs=1e-12)


@given(
    st.integers(0, 2**31), st.integers(5, 20), st.floats(0.0, 0.05),
    st.sampled_from([math.pi / 2, math.pi, 2 * math.pi]),
)  # fmt: skip
def test_noisy_arcs_agree_with_scipy(seed: int, count: int, noise: float, arc: float) -> None:
    rng = np.random.default_rng(seed)
    angles = np.linspace(0.0, arc, count, endpoint=False)
    radii = 29.0 + rng.normal(0.0, noise, count) if noise > 0 else np.full(count, 29.0)
    points = [
        (float(r * np.cos(t)), float(r * np.sin(t))) for r, t in zip(radii, angles, strict=True)
    ]
    ours = fit_circle(points)
    xy = np.array(points)
    theirs = least_squares(
        lambda p: np.hypot(xy[:, 0] - p[0], xy[:, 1] - p[1]) - p[2],
        [0.0, 0.0, 29.0],
        xtol=1e-15, ftol=1e-15, gtol=1e-15,
    )  # fmt: skip
    assume(theirs.success)
    assert (ours.x, ours.y, ours.radius) == pytest.approx(tuple(theirs.x), abs=1e-5)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: fit_circle([(0, 0), (1, 1)]), "too few"),
        (lambda: fit_circle([(0, 0), (1, 1), (2, 2), (3, 3)]), "one line"),
        (lambda: fit_circle([(1, 1)] * 4), "one point"),
        (lambda: fit_circle([(0, 0), (1, math.nan), (2, 5)]), "finite"),
        (lambda: roundness_least_squares([1.0, 2.0]), "too few"),
        (lambda: diameters([1.0, 2.0, 3.0, 4.0, 5.0]), "even number"),
        (lambda: bend_from_run_out(-0.01), "0 or more"),
        (lambda: bend_from_run_out(math.nan), "0 or more"),
    ],
)
def test_nonsense_is_refused(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()
