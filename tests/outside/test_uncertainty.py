"""Uncertainty against the GUM and its supplements, and three independent libraries."""

from __future__ import annotations

import math

import GTC
import metrolopy
import pytest
import uncertainties
from scipy import stats
from scipy.optimize import brentq

from gudgeon.metrology.measured import Measured, linear, propagate
from gudgeon.metrology.student import t_quantile

STANDARD, DIFFERENCE = 50_000_623.0, 215.0  # nm
ALPHA, THETA = 11.5e-6, -0.1


def end_gauge() -> Measured:
    """The end gauge [nm] of GUM H.1, by its first-order model."""
    return propagate(
        lambda ls, d, da, theta, alpha, dt: ls + d - ls * (da * theta + alpha * dt),
        [
            Measured.of(STANDARD, 25.0, "standard", dof=18),
            Measured.of(DIFFERENCE, 9.7, "difference", dof=25.6),
            Measured.of(0.0, 0.58e-6, "difference of expansion", dof=50),
            Measured.of(THETA, 0.41, "temperature"),
            Measured.of(ALPHA, 1.2e-6, "expansion"),
            Measured.of(0.0, 0.029, "difference of temperature", dof=2),
        ],
    )


def test_end_gauge_calibration() -> None:
    """JCGM 100:2008 (GUM), Annex H.1, Table H.1: l = 50.000 838 mm, u = 32 nm, U99 = 93 nm."""
    length = end_gauge()
    assert length.value == pytest.approx(50_000_838.0, abs=0.5)
    parts = {source: abs(part) for source, part in length.parts.items()}
    assert parts["standard"] == pytest.approx(25.0, abs=0.1)
    assert parts["difference"] == pytest.approx(9.7, abs=0.1)
    assert parts["difference of expansion"] == pytest.approx(2.9, abs=0.1)
    assert parts["difference of temperature"] == pytest.approx(16.6, abs=0.1)
    assert parts["expansion"] == pytest.approx(0.0, abs=1e-6)
    assert parts["temperature"] == pytest.approx(0.0, abs=1e-6)
    assert length.u == pytest.approx(31.711, abs=0.05)
    assert round(length.u) == 32
    assert length.effective_dof() == pytest.approx(16.656, abs=0.02)
    assert length.expanded(0.99) / length.u == pytest.approx(2.92, abs=0.005)
    assert round(length.expanded(0.99)) == 93  # 92 unless the degrees are truncated to 16


def test_end_gauge_agrees_with_gtc_and_metrolopy_and_uncertainties() -> None:
    """GUM H.1 again, by GTC 1.5, metrolopy 1.1 and uncertainties 3.2."""
    rows = [
        (STANDARD, 25.0, 18.0), (DIFFERENCE, 9.7, 25.6), (0.0, 0.58e-6, 50.0),
        (THETA, 0.41, math.inf), (ALPHA, 1.2e-6, math.inf), (0.0, 0.029, 2.0),
    ]  # fmt: skip

    ours = end_gauge()
    ls, d, da, theta, alpha, dt = (GTC.ureal(*row) for row in rows)
    gtc = ls + d - ls * (da * theta + alpha * dt)
    assert ours.u == pytest.approx(GTC.uncertainty(gtc), rel=1e-8)
    assert ours.effective_dof() == pytest.approx(GTC.dof(gtc), rel=1e-6)
    ls, d, da, theta, alpha, dt = (
        metrolopy.gummy(x, u=u, **({} if math.isinf(dof) else {"dof": dof})) for x, u, dof in rows
    )
    other = ls + d - ls * (da * theta + alpha * dt)
    assert ours.u == pytest.approx(float(other.u), rel=1e-6)
    assert ours.effective_dof() == pytest.approx(float(other.dof), rel=1e-4)
    ls, d, da, theta, alpha, dt = (uncertainties.ufloat(x, u) for x, u, _ in rows)
    assert ours.u == pytest.approx((ls + d - ls * (da * theta + alpha * dt)).std_dev, rel=1e-8)


@pytest.mark.parametrize(
    ("dof", "percent", "factor"),
    [
        (16, 95.0, 2.12), (16, 95.45, 2.17), (16, 99.0, 2.92), (9, 95.0, 2.26), (4, 95.0, 2.78),
        (1, 95.0, 12.71), (math.inf, 95.45, 2.00),
    ],
)  # fmt: skip
def test_coverage_factors(dof: float, percent: float, factor: float) -> None:
    """JCGM 100:2008 (GUM), Table G.2; and scipy.stats.t."""
    p = 0.5 * (1.0 + percent / 100.0)
    assert t_quantile(p, dof) == pytest.approx(factor, abs=0.005)
    if math.isfinite(dof):
        assert t_quantile(p, dof) == pytest.approx(float(stats.t.ppf(p, dof)), rel=1e-10)
    assert Measured.of(1.0, 1.0, "x", dof).expanded(percent / 100.0) == pytest.approx(
        factor, abs=0.005
    )


def test_additive_model_of_four_normals() -> None:
    """JCGM 101:2008 clause 9.2.2: four standard normals, u = 2.00, 95 % interval ±3.92."""
    total = linear((1.0, Measured.of(0.0, 1.0, f"x{i}")) for i in range(4))
    assert total.value == 0.0
    assert total.u == pytest.approx(2.0)
    assert total.expanded(0.95) == pytest.approx(3.92, abs=0.005)


def test_additive_model_of_four_rectangles_errs_on_the_safe_side() -> None:
    """JCGM 101:2008 clause 9.2.3: four rectangles of unit deviation, u = 2.00, true ±3.88.

    The first-order method says ±3.92 there, as the clause itself points out: wider, by 1 %.
    The true figure is worked out from the Irwin-Hall distribution.
    """

    def irwin_hall(x: float) -> float:
        terms = [(-1) ** k * math.comb(4, k) * (x - k) ** 4 for k in range(math.floor(x) + 1)]
        return math.fsum(terms) / 24.0

    width = 2.0 * math.sqrt(3.0)
    true = width * (brentq(lambda x: irwin_hall(x) - 0.975, 2.0, 4.0) - 2.0)
    assert true == pytest.approx(3.8794, abs=1e-4)
    total = linear((1.0, Measured.of(0.0, width / math.sqrt(12.0), f"x{i}")) for i in range(4))
    assert total.u == pytest.approx(2.0)
    assert true < total.expanded(0.95) < 1.02 * true
