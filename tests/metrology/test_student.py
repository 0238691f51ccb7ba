"""The distributions against scipy, and against each other."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.special import log_ndtr, ndtr

from gudgeon.metrology.student import (
    interval_chance,
    log_interval_chance,
    normal_cdf,
    normal_quantile,
    t_cdf,
    t_quantile,
)


@pytest.mark.parametrize("dof", [0.5, 1.0, 1.7, 2.0, 4.0, 9.0, 16.656, 30.0, 300.0, 1e4, 1e7])
def test_t_agrees_with_scipy(dof: float) -> None:
    for t in (-40.0, -8.0, -2.92, -1.0, -1e-3, 0.0, 0.3, 1.0, 2.0, 12.7, 300.0):
        assert t_cdf(t, dof) == pytest.approx(float(stats.t.cdf(t, dof)), rel=2e-9)
    for p in (1e-6, 0.005, 0.025, 0.3, 0.5, 0.6, 0.975, 0.995, 1 - 1e-6):
        expected = float(stats.t.ppf(p, dof))
        assert t_quantile(p, dof) == pytest.approx(expected, rel=1e-7, abs=1e-12)


@given(st.floats(1e-4, 1 - 1e-4), st.floats(1.0, 500.0))
def test_quantile_undoes_cdf(p: float, dof: float) -> None:
    assert t_cdf(t_quantile(p, dof), dof) == pytest.approx(p, rel=1e-9)


def test_infinite_degrees_are_the_normal() -> None:
    assert t_quantile(0.977, math.inf) == normal_quantile(0.977)
    assert t_cdf(1.3, math.inf) == normal_cdf(1.3)
    assert t_quantile(0.975, 1e9) == pytest.approx(normal_quantile(0.975), rel=1e-7)


@pytest.mark.parametrize("p", [0.0, 1.0, -0.1, 1.1, math.nan])
def test_a_chance_outside_0_to_1_is_refused(p: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        t_quantile(p, 5.0)
    with pytest.raises(ValueError, match="between 0 and 1"):
        normal_quantile(p)


@pytest.mark.parametrize("dof", [0.0, -1.0, math.nan])
def test_degrees_of_freedom_must_be_positive(dof: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        t_cdf(0.1, dof)


@pytest.mark.parametrize("z", [-37.0, -20.0, -6.0, -1.0, 0.0, 2.0, 8.0])
def test_normal_tail_keeps_its_digits(z: float) -> None:
    assert normal_cdf(z) == pytest.approx(float(ndtr(z)), rel=1e-12)


def test_interval_chance_far_out_on_either_side() -> None:
    expected = float(ndtr(-9.0) - ndtr(-11.0))
    assert interval_chance(-10.0, 1.0, -1.0, 1.0) == pytest.approx(expected, rel=1e-10)
    assert interval_chance(10.0, 1.0, -1.0, 1.0) == pytest.approx(expected, rel=1e-10)


def test_interval_chance_of_an_exact_value_includes_the_limits() -> None:
    assert interval_chance(1.0, 0.0, 1.0, 2.0) == 1.0
    assert interval_chance(2.0, 0.0, 1.0, 2.0) == 1.0
    assert interval_chance(2.0000001, 0.0, 1.0, 2.0) == 0.0


@pytest.mark.parametrize(
    "arguments",
    [(0.0, -1.0, 0.0, 1.0), (0.0, 1.0, 1.0, 0.0), (math.nan, 1.0, 0.0, 1.0), (0, 1, math.nan, 1)],
)
def test_interval_chance_refuses_nonsense(arguments: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match="no chance can be given"):
        interval_chance(*arguments)


def test_log_chance_agrees_with_the_plain_one_where_that_is_a_float() -> None:
    rng = np.random.default_rng(20)
    mean, u = rng.normal(0.0, 4.0, 3000), rng.uniform(0.05, 3.0, 3000)
    lower = rng.normal(0.0, 2.0, 3000)
    upper = lower + rng.exponential(1.0, 3000)
    logs = log_interval_chance(mean, u, lower, upper)
    for log, *arguments in zip(logs, mean, u, lower, upper, strict=True):
        plain = interval_chance(*(float(x) for x in arguments))
        if plain > 1e-250:
            assert math.exp(log) == pytest.approx(plain, rel=1e-8)


@pytest.mark.parametrize("z", [0.0, 0.5, 3.0, 8.0, 30.0, 38.0, 100.0, 1e4])
def test_log_chance_of_a_tail_agrees_with_scipy(z: float) -> None:
    expected = float(log_ndtr(-z))
    assert float(log_interval_chance(0.0, 1.0, z, math.inf)) == pytest.approx(expected, rel=1e-13)
    assert float(log_interval_chance(0.0, 1.0, -math.inf, -z)) == pytest.approx(expected, rel=1e-13)


@pytest.mark.parametrize("width", [1e-4, 1e-3, 0.1])
@pytest.mark.parametrize("z", [0.0, 1.0, 10.0, 50.0])
def test_log_chance_of_a_narrow_window(z: float, width: float) -> None:
    """Against the integral of the density, to second order about the middle."""
    middle = z + width / 2
    density = -0.5 * middle**2 - 0.5 * math.log(2 * math.pi)
    shape = math.log(math.sinh(0.5 * middle * width) / (0.5 * middle)) if middle else 0.0
    curvature = -(width**2) / 24
    expected = density + shape + curvature
    tolerance = 1e-3 if width == 0.1 else 1e-9
    found = float(log_interval_chance(0.0, 1.0, z, z + width))
    assert found == pytest.approx(expected, abs=tolerance)


def test_log_chance_at_the_edges() -> None:
    assert float(log_interval_chance(1.0, 0.0, 0.0, 1.0)) == 0.0
    assert float(log_interval_chance(1.1, 0.0, 0.0, 1.0)) == -math.inf
    assert float(log_interval_chance(1.0, 0.1, 2.0, 1.0)) == -math.inf
    assert float(log_interval_chance(0.0, 1.0, -math.inf, math.inf)) == 0.0
    assert math.isnan(float(log_interval_chance(math.nan, 1.0, 0.0, 1.0)))
    assert math.isnan(float(log_interval_chance(0.0, -1.0, 0.0, 1.0)))


def test_further_out_is_always_worse() -> None:
    means = np.linspace(0.0, 400.0, 5000)
    logs = log_interval_chance(means, 1.0, -1.0, 1.0)
    assert np.all(np.diff(logs) < 0.0)
    assert np.all(np.isfinite(logs))


def test_broadcasts() -> None:
    assert log_interval_chance(np.zeros((4, 1)), np.ones(3), -1.0, 1.0).shape == (4, 3)
