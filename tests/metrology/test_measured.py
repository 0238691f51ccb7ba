"""Measured values: their algebra, and three independent libraries as judges."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import GTC
import metrolopy
import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.metrology.measured import Measured, linear, mean_of, propagate

numbers = st.floats(-100.0, 100.0)
measured = st.builds(
    Measured, numbers, st.dictionaries(st.sampled_from("abcd"), st.floats(-1.0, 1.0))
)


def test_a_shared_source_cancels_in_a_difference() -> None:
    old = Measured(1.850, {"micrometer zero": 0.002, "reading 1": 0.001})
    new = Measured(1.750, {"micrometer zero": 0.002, "reading 2": 0.001})
    assert (old - new).value == pytest.approx(0.100)
    assert (old - new).u == pytest.approx(0.001 * math.sqrt(2))
    assert (old + new).u == pytest.approx(math.hypot(0.004, 0.001, 0.001))


@given(measured, measured)
def test_variance_of_a_sum(x: Measured, y: Measured) -> None:
    expected = x.u**2 + y.u**2 + 2.0 * x.covariance(y)
    assert (x + y).u ** 2 == pytest.approx(expected, abs=1e-9)
    assert (x - y).u ** 2 == pytest.approx(x.u**2 + y.u**2 - 2.0 * x.covariance(y), abs=1e-9)
    assert -1.0 <= x.correlation(y) <= 1.0


@given(measured, measured, numbers)
def test_algebra(x: Measured, y: Measured, k: float) -> None:
    assert (x - x).value == 0.0
    assert (x - x).u == 0.0
    assert (x + y).value == (y + x).value
    assert (-x).u == x.u
    assert (x * k).value == (k * x).value == pytest.approx(k * x.value)
    assert x.scale(k).u == pytest.approx(abs(k) * x.u)
    assert (x + k) == x.shift(k)
    assert (k + x).value == x.value + k
    assert (k - x).value == pytest.approx(k - x.value)
    assert (x / 4.0).value == x.value / 4.0
    assert (x / 4.0).u == pytest.approx(x.u / 4.0)


def test_only_and_drop_split_the_variance() -> None:
    size = Measured(5.0, {"zero": 3.0, "feel": 4.0}, {"feel": 6.0})
    assert size.only(["zero"]).u == 3.0
    assert size.drop(["zero"]).u == 4.0
    assert size.only(["zero"]).dof == {}
    assert size.drop(["not there"]) == size


def test_mean_keeps_what_is_shared() -> None:
    readings = [Measured(10.0 + i, {"zero": 0.3, f"feel {i}": 0.4}) for i in range(4)]
    assert mean_of(readings).value == 11.5
    assert mean_of(readings).u == pytest.approx(math.hypot(0.3, 0.4 / 2))
    with pytest.raises(ValueError, match="mean of no values"):
        mean_of([])


def test_effective_degrees_need_a_finite_source() -> None:
    assert Measured(1.0).effective_dof() == math.inf
    assert Measured(1.0, {"a": 0.1}).effective_dof() == math.inf
    assert Measured(1.0, {"a": 0.1, "b": 0.0}, {"b": 3.0}).effective_dof() == math.inf
    assert Measured.of(1.0, 0.1, "a", dof=7).effective_dof() == pytest.approx(7.0)


@pytest.mark.parametrize("dof", range(1, 40))
def test_whole_degrees_are_not_truncated_by_a_rounding(dof: int) -> None:
    size = Measured(1.0, {"a": 0.1 / 3, "b": 0.0}, {"a": float(dof)})
    exact = Measured.of(1.0, 1.0, "a", dof=dof).expanded(0.99)
    assert size.expanded(0.99) == pytest.approx(exact * 0.1 / 3, rel=1e-12)


@pytest.mark.parametrize(
    "build",
    [
        lambda: Measured(math.nan),
        lambda: Measured(math.inf),
        lambda: Measured(1.0, {"a": math.nan}),
        lambda: Measured(1.0, {"a": 0.1}, {"a": 0.0}),
        lambda: Measured.of(1.0, -0.1, "a"),
        lambda: Measured.of(1.0, 0.1, "a").expanded(1.0),
        lambda: linear([(1, Measured.of(1, 0.1, "a", 3)), (1, Measured.of(1, 0.1, "a", 4))]),
    ],
)
def test_nonsense_is_refused(build: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match=r"must|between|degrees"):
        build()


def _random_parts(rng: np.random.Generator) -> tuple[list[float], list[float], list[float]]:
    count = int(rng.integers(2, 6))
    values = [float(x) for x in rng.uniform(0.5, 3.0, count)]
    us = [float(x) for x in rng.uniform(0.001, 0.02, count)]
    dofs = [float(x) for x in rng.integers(2, 30, count)]
    return values, us, dofs


def test_random_linear_models_agree_with_gtc_metrolopy_and_uncertainties() -> None:
    rng = np.random.default_rng(11)
    for _ in range(30):
        values, us, dofs = _random_parts(rng)
        factors = [float(x) for x in rng.normal(0.0, 2.0, len(values))]
        triples = list(zip(values, us, dofs, strict=True))
        ours = linear(
            (factor, Measured.of(value, u, f"x{i}", dof))
            for i, (factor, (value, u, dof)) in enumerate(zip(factors, triples, strict=True))
        )
        gtc = sum(f * GTC.ureal(v, u, d) for f, (v, u, d) in zip(factors, triples, strict=True))
        other = sum(
            f * metrolopy.gummy(v, u=u, dof=d)
            for f, (v, u, d) in zip(factors, triples, strict=True)
        )
        third = sum(
            f * uncertainties.ufloat(v, u) for f, (v, u, _) in zip(factors, triples, strict=True)
        )
        assert ours.value == pytest.approx(GTC.value(gtc))
        assert ours.u == pytest.approx(GTC.uncertainty(gtc))
        assert ours.effective_dof() == pytest.approx(GTC.dof(gtc), rel=1e-9)
        assert ours.u == pytest.approx(float(other.u))
        assert ours.effective_dof() == pytest.approx(float(other.dof), rel=1e-6)
        assert ours.u == pytest.approx(third.std_dev)


@pytest.mark.parametrize("shape", range(3))
def test_random_smooth_models_agree_with_gtc_and_uncertainties(shape: int) -> None:
    models: list[Callable[..., Any]] = [
        lambda x, y, z: (x * x + y) ** 0.5 / (z + x * y),
        lambda x, y, z: x * y / (1.0 + 0.1 * z) - z**3,
        lambda x, y, z: (x - y) ** 2 + 1.0 / z,
    ]
    model = models[shape]
    rng = np.random.default_rng(12)
    for _ in range(30):
        values = [float(v) for v in rng.uniform(0.5, 3.0, 3)]
        us = [float(v) for v in rng.uniform(0.001, 0.02, 3)]
        pairs = list(zip(values, us, strict=True))
        ours = propagate(model, [Measured.of(v, u, f"x{i}") for i, (v, u) in enumerate(pairs)])
        gtc = model(*(GTC.ureal(v, u) for v, u in pairs))
        third = model(*(uncertainties.ufloat(v, u) for v, u in pairs))
        assert ours.value == pytest.approx(GTC.value(gtc))
        assert ours.u == pytest.approx(GTC.uncertainty(gtc), rel=1e-7)
        assert ours.u == pytest.approx(third.std_dev, rel=1e-7)


def test_correlated_inputs_through_a_smooth_model() -> None:
    """A square's area from two sides of one rule: the shared error counts twice, not √2 times."""
    side = Measured.of(10.0, 0.1, "rule")
    area = propagate(lambda a, b: a * b, [side, side])
    assert area.u == pytest.approx(2.0)
    other = propagate(lambda a, b: a * b, [side, Measured.of(10.0, 0.1, "other rule")])
    assert other.u == pytest.approx(math.sqrt(2.0))


def test_exact_inputs_give_an_exact_answer() -> None:
    assert propagate(lambda x, y: x / y, [3.0, Measured(2.0)]) == Measured(1.5)
