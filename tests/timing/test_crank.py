"""The slider-crank: against integration and dense sampling, mirrored, turned once round."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from gudgeon.metrology.measured import Measured
from gudgeon.timing.crank import Crank, piston_depth, stop_reading, zero_error

cranks = st.builds(Crank, st.floats(15.0, 60.0), st.floats(80.0, 250.0), st.floats(-3.0, 3.0))
straight = st.builds(Crank, st.floats(15.0, 60.0), st.floats(80.0, 250.0))
angles = st.floats(-360.0, 360.0)


def by_intersection(crank: Crank, angle: float) -> float:
    """Height of the gudgeon pin found by bisection on the rod's length, no formula solved."""
    throw = math.radians(angle - crank.top_angle)
    pin = complex(crank.radius * math.sin(throw), crank.radius * math.cos(throw))
    low, high = pin.imag, pin.imag + 2 * crank.rod
    for _ in range(200):
        middle = (low + high) / 2
        if abs(complex(-crank.pin_offset, middle) - pin) < crank.rod:
            low = middle
        else:
            high = middle
    return low


@settings(deadline=None)
@given(cranks, angles)
def test_depth_against_a_rod_that_just_reaches(crank: Crank, angle: float) -> None:
    assert crank.top - by_intersection(crank, angle) == pytest.approx(crank.depth(angle), abs=1e-9)


@given(cranks, angles)
def test_one_full_turn_returns(crank: Crank, angle: float) -> None:
    assert crank.depth(angle + 360.0) == pytest.approx(crank.depth(angle), abs=1e-10)


@given(straight, angles)
def test_without_offset_both_sides_mirror(crank: Crank, angle: float) -> None:
    assert crank.depth(-angle) == pytest.approx(crank.depth(angle), abs=1e-10)
    assert crank.rate(-angle) == pytest.approx(-crank.rate(angle), abs=1e-10)


@given(cranks, angles)
def test_an_offset_to_the_other_side_is_the_mirror_image(crank: Crank, angle: float) -> None:
    other = Crank(crank.radius, crank.rod, -crank.pin_offset)
    assert other.depth(-angle) == pytest.approx(crank.depth(angle), abs=1e-10)
    assert other.stroke == crank.stroke
    assert other.top_angle == -crank.top_angle


@settings(deadline=None, max_examples=30)
@given(cranks)
def test_top_and_stroke_against_dense_sampling(crank: Crank) -> None:
    turn = np.linspace(-180.0, 180.0, 7201)
    depths = crank.depths(turn)
    assert turn[int(np.argmin(depths))] == pytest.approx(0.0, abs=0.051)
    assert float(depths.min()) == pytest.approx(0.0, abs=1e-9)
    assert float(depths.max()) == pytest.approx(crank.stroke, abs=1e-4)
    assert depths[::40] == pytest.approx([crank.depth(float(a)) for a in turn[::40]], abs=1e-10)


@given(cranks, st.floats(0.0, 1.0))
def test_the_inverse_gives_the_depth_back(crank: Crank, share: float) -> None:
    depth = share * crank.stroke
    before, after = crank.angles_at(depth)
    assert crank.depth(-before) == pytest.approx(depth, abs=1e-9)
    assert crank.depth(after) == pytest.approx(depth, abs=1e-9)
    assert min(before, after) >= -1e-12


@pytest.mark.parametrize("offset", [0.0, 1.5, -1.5])
def test_the_inverse_against_sampled_crossings(offset: float) -> None:
    """Ten thousand depths, each angle found by interpolation in a table of half a million."""
    crank = Crank(27.0, 105.0, offset)
    bottom = minimize_scalar(
        lambda a: -crank.depth(a), bounds=(170.0, 190.0), method="bounded",
        options={"xatol": 1e-12},
    ).x  # fmt: skip
    down = np.linspace(0.0, float(bottom), 500_001)
    wanted = np.linspace(0.5, crank.stroke - 0.5, 10_000)
    sampled = np.interp(wanted, crank.depths(down), down)
    exact = np.array([crank.angles_at(float(depth))[1] for depth in wanted])
    assert np.abs(sampled - exact).max() < 1e-6


@settings(deadline=None)
@given(cranks, st.floats(-180.0, 180.0), st.floats(-180.0, 180.0))
def test_the_rate_integrates_to_the_depth(crank: Crank, start: float, end: float) -> None:
    assume(abs(end - start) > 1.0)
    moved, _ = quad(crank.rate, start, end)
    assert moved == pytest.approx(crank.depth(end) - crank.depth(start), abs=1e-7)


@given(st.floats(1e-7, 1e-3))
def test_the_inverse_stays_exact_at_the_very_top(depth: float) -> None:
    """There an arc cosine loses half its figures; the small-angle law has them all."""
    crank = Crank(25.0, 100.0)
    law = math.degrees(math.sqrt(2.0 * depth / (25.0 * 1.25)))
    assert crank.dwell(depth) == pytest.approx(law, rel=1e-4)
    assert crank.depth(crank.dwell(depth)) == pytest.approx(depth, abs=1e-13)


def test_a_dial_at_dwell_cannot_find_the_top() -> None:
    """0.01 mm on a stroke of 50 is nearly one and a half degrees either side."""
    crank = Crank(25.0, 100.0)
    assert crank.dwell(0.01) == pytest.approx(1.45, abs=5e-3)
    before, after = crank.angles_at(5.0)
    near = crank.angles_at(5.01)
    assert near[0] - before < 0.05  # the same 0.01 mm at a stop
    assert after == pytest.approx(before)


def test_a_stop_finds_the_top() -> None:
    """Invented readings: 28.5 before and 33.5 after."""
    assert zero_error(28.5, 33.5) == 2.5
    assert stop_reading(28.5, 33.5) == 31.0
    error = zero_error(Measured.of(28.5, 0.25, "eye 1"), Measured.of(33.5, 0.25, "eye 2"))
    assert error.u == pytest.approx(0.25 / math.sqrt(2))


@given(cranks, st.floats(-5.0, 5.0), st.floats(2.0, 20.0))
def test_a_stop_finds_the_top_with_an_offset_too(crank: Crank, zero: float, depth: float) -> None:
    before, after = crank.angles_at(depth)
    found = zero_error(before - zero, after + zero) - crank.stop_bias(depth)
    assert found == pytest.approx(zero, abs=1e-9)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: Crank(0.0, 100.0), "above 0"),
        (lambda: Crank(25.0, math.nan), "above 0"),
        (lambda: Crank(25.0, 26.0, 1.0), "could not turn"),
        (lambda: piston_depth(25.0, 20.0, 0.0), "could not turn"),
        (lambda: Crank(25.0, 100.0).angles_at(50.1), "within the stroke"),
        (lambda: Crank(25.0, 100.0).angles_at(-0.1), "within the stroke"),
    ],
)
def test_the_impossible_is_refused(call: Callable[[], object], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        call()
