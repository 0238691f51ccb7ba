"""Code as prior, measurement as evidence: exactness, false alarms, and what is found."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from gudgeon.metrology.class_likelihood import (
    HOUSING,
    JOURNAL,
    Band,
    Status,
    Wear,
    from_class,
    honest_u,
    judge,
    log_density,
    posterior,
    weigh,
)
from gudgeon.metrology.measured import Measured

BAND = Band(32.982, 32.988)


def _prior(x: float, wear: Wear) -> float:
    """Density of a worn part's true size, written out as the integral it is."""
    sign = 1.0 if wear.way == "smaller" else -1.0
    low, high = (max(x, BAND.lower), BAND.upper)
    if sign < 0:
        low, high = BAND.lower, min(x, BAND.upper)
    if low >= high:
        return 0.0
    value, _ = integrate.quad(lambda new: math.exp(-sign * (new - x) / wear.scale), low, high)
    return float(value) / wear.scale / (BAND.upper - BAND.lower)


@pytest.mark.parametrize("way", ["smaller", "larger"])
@pytest.mark.parametrize(
    ("value", "u", "scale"),
    [
        (32.981, 0.002, 0.002),
        (32.9775, 0.004, 0.0027),
        (32.990, 0.001, 0.005),
        (32.985, 0.003, 4e-4),
    ],
)
def test_closed_forms_are_the_integrals(way: str, value: float, u: float, scale: float) -> None:
    wear = Wear(scale, "smaller" if way == "smaller" else "larger", 0.0)

    def moment(power: int, centre: float = 0.0) -> float:
        def integrand(x: float) -> float:
            return _prior(x, wear) * float(stats.norm.pdf(value, x, u)) * (x - centre) ** power

        edges = sorted({value - 9 * u, BAND.lower, BAND.upper, value + 9 * u})
        return math.fsum(
            integrate.quad(integrand, *pair, epsabs=1e-12, epsrel=1e-9, limit=200)[0]
            for pair in pairwise(edges)
        )

    total = moment(0)
    mean = value + moment(1, value) / total
    assert log_density(value, u, BAND, wear) == pytest.approx(math.log(total), abs=1e-6)
    got_mean, got_variance = posterior(value, u, BAND, wear)
    assert got_mean == pytest.approx(mean, abs=1e-9)
    assert got_variance == pytest.approx(moment(2, mean) / total, rel=1e-5)


def _statuses(values: Iterable[float], u: float, band: Band, wear: Wear) -> list[Status]:
    return [judge(value, u, band, wear)[0] for value in values]


def _share(statuses: list[Status], wanted: Iterable[Status]) -> float:
    return sum(status in wanted for status in statuses) / len(statuses)


@pytest.mark.parametrize("u", [0.001, 0.0015, 0.002])
def test_sound_journals_are_hardly_ever_called_wrong(u: float) -> None:
    rng = np.random.default_rng(20)
    for scale in (0.0, JOURNAL.scale):
        true = rng.uniform(*BAND, 8000) - rng.exponential(scale or 1e-12, 8000)
        statuses = _statuses(true + rng.normal(0.0, u, 8000), u, BAND, JOURNAL)
        assert _share(statuses, ["contradicts"]) < 0.02
        if scale == 0.0:
            assert _share(statuses, ["contradicts", "worn"]) < 0.02


@pytest.mark.parametrize("u", [0.002, 0.003, 0.004])
def test_sound_housings_are_hardly_ever_called_wrong(u: float) -> None:
    rng = np.random.default_rng(21)
    band = Band(36.006, 36.012)
    true = rng.uniform(*band, 8000) + rng.normal(0.0, u, 8000)
    assert _share(_statuses(true, u, band, HOUSING), ["contradicts", "worn"]) < 0.02


@pytest.mark.parametrize(("u", "least"), [(0.0010, 0.99), (0.0015, 0.975)])
def test_an_error_of_ten_micrometres_is_found(u: float, least: float) -> None:
    rng = np.random.default_rng(22)
    measured = rng.uniform(*BAND, 8000) + rng.normal(0.0, u, 8000)
    for error in (-0.010, 0.010):
        statuses = _statuses(measured + error, u, BAND, JOURNAL)
        assert _share(statuses, ["contradicts", "worn"]) > least > 0.95


def test_comparing_grades_would_cry_wolf() -> None:
    """The reason for all this: two careful measurements of sound parts, 3 µm steps of wall."""
    rng = np.random.default_rng(23)
    count = 4000
    housing, journal = rng.uniform(0.0, 6.0, (2, count))
    housing_read = housing + rng.normal(0.0, 3.0, count)
    journal_read = journal + rng.normal(0.0, 2.0, count)
    by_code = np.zeros(count)
    by_measurement = np.round((housing_read - 3.0 - (journal_read - 3.0)) / 2.0 / 3.0)
    naive = np.mean(by_code != by_measurement)
    assert 0.3 < naive < 0.6
    called = [
        judge(36.0 + h / 1000.0, 0.003, Band(36.0, 36.006), HOUSING)[0] == "contradicts"
        or judge(33.0 + j / 1000.0, 0.002, Band(33.0, 33.006), JOURNAL)[0] == "contradicts"
        for h, j in zip(housing_read, journal_read, strict=True)
    ]
    assert np.mean(called) < 0.03


def test_the_weighed_size_is_as_good_as_it_says() -> None:
    """Over parts drawn from the prior, errors over u have unit variance and no bias."""
    rng = np.random.default_rng(24)
    scores = []
    for _ in range(4000):
        true = rng.uniform(*BAND) - rng.exponential(JOURNAL.scale)
        read = Measured(true + rng.normal(0.0, 0.002), {"reading": 0.002})
        held = weigh(read, BAND, JOURNAL, "class")
        if held.status == "agrees":
            scores.append((held.size.value - true) / held.size.u)
    assert abs(np.mean(scores)) < 0.06
    assert 0.9 < np.std(scores) < 1.1


def test_a_shared_zero_error_stays_shared() -> None:
    first = weigh(Measured(32.985, {"zero": 0.002, "a": 0.001}), BAND, JOURNAL, "class 1")
    second = weigh(Measured(32.984, {"zero": 0.002, "b": 0.001}), BAND, JOURNAL, "class 2")
    assert 0.0 < first.size.covariance(second.size) < 0.002**2
    assert first.size.u < math.hypot(0.002, 0.001)
    assert set(first.size.parts) == {"zero", "a", "class 1"}


def test_far_from_its_class_a_measurement_stands_alone() -> None:
    turned = Measured(32.485, {"reading": 0.002})
    held = weigh(turned, BAND, JOURNAL, "class")
    assert held.size == turned
    assert held.status == "contradicts"
    assert held.outside == pytest.approx(-0.497)
    mean, variance = posterior(32.485, 0.002, BAND, JOURNAL)
    assert mean == pytest.approx(32.485)
    assert variance == pytest.approx(4e-6)


def test_few_readings_widen_the_judgement() -> None:
    few = Measured.of(32.9765, 0.002, "readings", dof=2)
    assert honest_u(few) == pytest.approx(0.002 * 4.302653 / 1.959964, rel=1e-5)
    assert weigh(few, BAND, JOURNAL, "c").status == "agrees"
    assert weigh(Measured.of(32.9765, 0.002, "readings"), BAND, JOURNAL, "c").status == "worn"


def test_by_class_alone() -> None:
    rng = np.random.default_rng(25)
    true = rng.uniform(*BAND, 200_000) - rng.exponential(0.002, 200_000)
    held = from_class(BAND, JOURNAL, "class")
    assert held.value == pytest.approx(float(true.mean()), abs=3e-5)
    assert held.u == pytest.approx(float(true.std()), rel=0.02)


@settings(max_examples=300)
@given(
    st.floats(32.0, 34.0),
    st.floats(1e-7, 0.05),
    st.floats(0.0, 0.02),
    st.floats(0.0, 0.05),
    st.sampled_from(["smaller", "larger"]),
)
def test_any_reading_gives_sound_figures(
    value: float, u: float, width: float, scale: float, way: str
) -> None:
    wear = Wear(scale, "smaller" if way == "smaller" else "larger")
    band = Band(33.0 - width, 33.0)
    mean, variance = posterior(value, u, band, wear)
    assert math.isfinite(mean)
    assert 0.0 < variance < math.inf
    assert math.isfinite(log_density(value, u, band, wear))
    status, chance = judge(value, u, band, wear)
    assert 0.0 <= chance <= 1.0
    assert (status == "contradicts") == (chance < 0.015)


def test_impossible_wear_is_refused() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        Wear(-0.001, "smaller")
    with pytest.raises(ValueError, match="from 0 to 1"):
        Wear(0.001, "smaller", 1.0)
