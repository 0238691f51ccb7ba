"""Joint chance under shared errors: closed forms, an independent integrator, and bounds."""

from __future__ import annotations

from math import hypot, inf, prod, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr, ndtri
from scipy.stats import multivariate_normal, norm

from gudgeon.fit import joint
from gudgeon.fit.joint import Forecast, chance_alone, joint_chance, normal_cdf, shared_loadings


def rectangle(forecasts: list[Forecast]) -> float:
    """The same chance by scipy's multivariate normal."""
    names = sorted({name for f in forecasts for name in f.parts})
    loadings = np.array([[f.parts.get(name, 0.0) for name in names] for f in forecasts])
    return float(
        multivariate_normal.cdf(
            np.array([f.hi for f in forecasts]),
            mean=np.array([f.mean for f in forecasts]),
            cov=loadings @ loadings.T,
            lower_limit=np.array([f.lo for f in forecasts]),
            allow_singular=True,
            abseps=1e-9,
            releps=1e-9,
            maxpts=500_000,
            rng=np.random.default_rng(1),
        )
    )


def test_independent_errors_multiply() -> None:
    forecasts = [Forecast(0.14 + 0.002 * k, 0.11, 0.17, {f"own {k}": 0.014}) for k in range(16)]
    answer = joint_chance(forecasts)
    assert answer.all == pytest.approx(prod(answer.per_place), abs=1e-12)
    assert answer.per_place[0] == pytest.approx(norm.cdf(0.03 / 0.014) * 2 - 1, abs=1e-14)


def test_one_error_common_to_all_is_one_interval() -> None:
    forecasts = [Forecast(0.14 + 0.002 * k, 0.11, 0.17, {"feel": 0.014}) for k in range(8)]
    low, high = (0.11 - 0.14) / 0.014, (0.17 - 0.154) / 0.014
    assert joint_chance(forecasts).all == pytest.approx(norm.cdf(high) - norm.cdf(low), abs=1e-12)


def test_an_error_that_moves_two_places_apart_counts_with_its_sign() -> None:
    """One goes up as the other goes down: both inside means inside the narrower side of each."""
    pair = [Forecast(0.0, -inf, 0.5, {"e": 1.0}), Forecast(0.0, -inf, 0.5, {"e": -1.0})]
    assert joint_chance(pair).all == pytest.approx(2 * norm.cdf(0.5) - 1, abs=1e-12)


def test_sources_that_cancel_leave_nothing() -> None:
    same = {"zero of micrometer": 0.0, "feel": 0.01}
    alone = Forecast(0.14, 0.11, 0.17, same)
    other = Forecast(0.14, 0.11, 0.17, {"zero of micrometer": 0.002, "own": 0.01})
    assert joint_chance([alone, other]).all == pytest.approx(
        chance_alone(alone) * chance_alone(other), abs=1e-14
    )


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
@pytest.mark.parametrize("count", [2, 4, 16])
def test_equal_correlation_by_another_route(count: int, share: float) -> None:
    """Sixteen alike: one integral over the common error, by 200 001 plain steps."""
    common, own = sqrt(share) * 0.014, sqrt(1 - share) * 0.014
    forecasts = [
        Forecast(0.135, 0.11, 0.17, {"feel": common, f"own {k}": own}) for k in range(count)
    ]
    z = np.linspace(-9, 9, 200_001)
    inside = ndtr((0.035 - common * z) / own) - ndtr((-0.025 - common * z) / own)
    expected = float((inside**count * norm.pdf(z)).sum() * (z[1] - z[0]))
    answer = joint_chance(forecasts)
    assert answer.all == pytest.approx(expected, abs=1e-9)
    assert abs(answer.all - expected) <= answer.error + 1e-10


@pytest.mark.parametrize("rank", [1, 2, 3, 4, 6])
def test_several_shared_sources_agree_with_scipy(rank: int) -> None:
    random = np.random.default_rng(rank)
    forecasts = [
        Forecast(
            float(random.uniform(0.12, 0.16)),
            0.11,
            0.17,
            {f"s{j}": float(random.uniform(-0.008, 0.008)) for j in range(rank)}
            | {f"own {k}": float(random.uniform(0.006, 0.012))},
        )
        for k in range(max(4, rank + 1))
    ]
    answer = joint_chance(forecasts)
    assert abs(answer.all - rectangle(forecasts)) <= answer.error + 1e-5
    assert answer.error < (1e-6 if rank <= 3 else 2e-4)
    loadings, _ = shared_loadings([f.parts for f in forecasts], range(len(forecasts)))
    assert loadings.shape[1] == rank


def test_sixteen_valves_with_five_sources_agree_with_simulation() -> None:
    random = np.random.default_rng(9)
    names = ["feel", "micrometer", "rise", "shim gauge", "warmth"]
    forecasts = [
        Forecast(
            float(random.uniform(0.13, 0.15)),
            0.11,
            0.17,
            {name: float(random.normal(0, 0.004)) for name in names} | {f"own {k}": 0.008},
        )
        for k in range(16)
    ]
    draws = 100_000
    z = random.standard_normal((draws, 5))
    inside = np.ones(draws)
    for f in forecasts:
        shift = f.mean + z @ np.array([f.parts[name] for name in names])
        inside *= ndtr((f.hi - shift) / 0.008) - ndtr((f.lo - shift) / 0.008)
    answer = joint_chance(forecasts)
    noise = float(inside.std()) / sqrt(draws)
    assert abs(answer.all - float(inside.mean())) <= 4 * noise + answer.error


def test_two_sharp_shared_sources() -> None:
    """No error of their own: a rectangle in two shared variables, here turned by 45 degrees."""
    s = sqrt(0.5)
    turned = [
        Forecast(0.0, -1.0, 1.0, {"a": s, "b": s}),
        Forecast(0.0, -1.0, 1.0, {"a": s, "b": -s}),
    ]
    answer = joint_chance(turned)
    expected = (2 * norm.cdf(1.0) - 1) ** 2
    assert abs(answer.all - expected) <= answer.error
    assert answer.error < 5e-3


def test_sources_that_move_together_count_once() -> None:
    parts = [{"a": 1.0, "b": 2.0}, {"a": 2.0, "b": 4.0}, {"a": -0.5, "b": -1.0}]
    loadings, private = shared_loadings(parts, range(3))
    assert loadings.shape == (3, 1)
    assert np.abs(loadings[:, 0]) == pytest.approx([sqrt(5), 2 * sqrt(5), sqrt(1.25)])
    assert private == [0.0, 0.0, 0.0]


def test_a_source_of_one_place_is_its_own_however_many_options_name_it() -> None:
    loadings, private = shared_loadings([{"a": 3.0, "b": 4.0}, {"a": 3.0}, {"c": 1.0}], [0, 0, 1])
    assert loadings.shape == (3, 0)
    assert private == [5.0, 3.0, 1.0]


parts_of = st.dictionaries(st.sampled_from("abcde"), st.floats(-0.03, 0.03), max_size=4)
forecasts_of = st.lists(
    st.builds(
        lambda mean, lo, width, parts: Forecast(mean, lo, lo + width, parts),
        st.floats(0, 0.3),
        st.floats(0, 0.2),
        st.floats(0, 0.2),
        parts_of,
    ),
    max_size=5,
)


@settings(max_examples=150, deadline=None)
@given(forecasts_of)
def test_stays_between_the_bounds_of_any_dependence(forecasts: list[Forecast]) -> None:
    answer = joint_chance(forecasts)
    alone = answer.per_place
    assert max(0.0, 1 - sum(1 - p for p in alone)) - 1e-12 <= answer.all
    assert answer.all <= min(alone, default=1.0)
    for forecast, p in zip(forecasts, alone, strict=True):
        spread = hypot(*forecast.parts.values())
        if spread > 1e-9:
            assert p == pytest.approx(
                norm.cdf(forecast.hi, forecast.mean, spread)
                - norm.cdf(forecast.lo, forecast.mean, spread),
                abs=1e-12,
            )


def test_phi_and_its_inverse_agree_with_scipy() -> None:
    values = np.concatenate([np.linspace(-12, 12, 50_001), [-inf, inf]])
    assert np.abs(normal_cdf(values) - ndtr(values)).max() < 1e-15
    chances = np.concatenate([np.geomspace(1e-12, 0.5, 500), np.linspace(0.5, 1 - 1e-9, 500)])
    assert np.abs(joint._normal_quantile(chances) - ndtri(chances)).max() < 1e-3
    middle = chances[(chances > 1e-7) & (chances < 1 - 1e-7)]
    assert np.abs(joint._normal_quantile(middle) - ndtri(middle)).max() < 1e-7


def test_nothing_to_land_is_certain() -> None:
    assert joint_chance([])[:2] == (1.0, ())
    exact = Forecast(0.14, 0.11, 0.17, {})
    assert joint_chance([exact, exact]).all == 1.0
    assert joint_chance([exact, Forecast(0.2, 0.11, 0.17, {})]).all == 0.0


@pytest.mark.parametrize(
    "forecast",
    [
        Forecast(inf, 0, 1, {}),
        Forecast(0.0, 1.0, 0.0, {}),
        Forecast(0.0, float("nan"), 0.0, {}),
        Forecast(0.0, 0.0, 1.0, {"a": inf}),
    ],
)
def test_refuses_what_it_cannot_weigh(forecast: Forecast) -> None:
    with pytest.raises(ValueError, match="want"):
        joint_chance([forecast])
