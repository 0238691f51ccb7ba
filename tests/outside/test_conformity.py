"""Decisions against JCGM 106, ISO 14253-1 and ILAC-G8."""

from __future__ import annotations

import pytest
from scipy.stats import norm

from gudgeon.metrology.conformity import Rule, decide
from gudgeon.metrology.student import normal_cdf


def test_two_sided_conformance_probability() -> None:
    """JCGM 106:2012, 7.4 (kinematic viscosity of an SAE 40 oil): p = 0.66."""
    decision = decide(13.6, 1.8, 12.5, 16.3)
    assert decision.probability == pytest.approx(0.66, abs=0.005)
    assert decision.probability == pytest.approx(0.662630, abs=1e-6)
    assert decision.verdict == "not decided"
    expected = norm.cdf(16.3, 13.6, 1.8) - norm.cdf(12.5, 13.6, 1.8)
    assert decision.probability == pytest.approx(float(expected), rel=1e-12)


@pytest.mark.parametrize(
    ("value", "verdict", "probability"),
    [
        (9.979, "does not conform", 0.0179),
        (9.980, "not decided", 0.0228),
        (10.010, "not decided", 0.8413),
        (10.020, "conforms", 0.9772),
        (10.050, "conforms", 1.0000),
        (10.080, "conforms", 0.9772),
        (10.081, "not decided", 0.9713),
        (10.110, "not decided", 0.1587),
        (10.120, "not decided", 0.0228),
        (10.130, "does not conform", 0.00135),
    ],
)
def test_limits_moved_by_the_expanded_uncertainty(
    value: float, verdict: str, probability: float
) -> None:
    """ISO 14253-1, rule of the 1998 and 2013 editions: limits 10.00 and 10.10, U = 0.02 (k = 2).

    Conformance is proved for 10.02 to 10.08, non-conformance below 9.98 and above 10.12. The text
    of the standard was not seen; the zones are those of secondary sources.
    """
    decision = decide(value, 0.01, 10.00, 10.10, Rule("expanded", k=2.0))
    assert decision.verdict == verdict
    assert decision.probability == pytest.approx(probability, abs=6e-5)
    assert decision.guard_band == pytest.approx(0.02)


def test_risk_left_by_a_guard_band() -> None:
    """ILAC-G8:09/2019, 4.2: a guard band of U (k = 2) leaves under 2.5 % false accept."""
    decision = decide(10.10 - 0.02, 0.01, upper=10.10)
    assert decision.verdict == "conforms"
    assert 1.0 - decision.probability == pytest.approx(0.02275, abs=1e-5)
    assert 1.0 - decision.probability < 0.025
    assert 1.0 - normal_cdf(2.0) == pytest.approx(0.02275, abs=1e-5)


def test_one_sided_guard_band_for_95_percent() -> None:
    """ILAC-G8:09/2019 and ISO 14253-1:2017 (edition from memory): w = 1.645 u = 0.822 U."""
    guard = Rule("probability").guard_band(0.01)
    assert guard == pytest.approx(1.645 * 0.01, abs=1e-5)
    assert guard == pytest.approx(0.822 * 0.02, abs=1e-5)
