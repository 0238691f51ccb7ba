"""Volumes: against numerical integration, units by pint, invented engines, and each way round."""

from __future__ import annotations

import math
from collections.abc import Callable

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from gudgeon.timing import volumes
from gudgeon.timing.crank import Crank

bores = st.floats(30.0, 120.0)


@settings(deadline=None)
@given(bores, st.floats(20.0, 120.0))
def test_a_swept_volume_integrated_from_the_crank(bore: float, stroke: float) -> None:
    crank = Crank(stroke / 2.0, 1.8 * stroke)
    area = math.pi / 4.0 * bore**2
    swept, _ = quad(lambda angle: area * crank.rate(angle), 0.0, 180.0)
    assert volumes.displacement(bore, stroke) == pytest.approx(swept / 1000.0, rel=1e-9)


def test_a_disc_by_rings() -> None:
    rings, _ = quad(lambda r: 2.0 * math.pi * r * 0.65, 0.0, 59.5 / 2.0)
    assert volumes.disc(59.5, 0.65) == pytest.approx(rings / 1000.0)


def test_units_against_pint() -> None:
    unit = pint.UnitRegistry()
    bore, stroke = unit.Quantity(2.5, "inch"), unit.Quantity(2.0, "inch")
    theirs = (math.pi / 4 * bore**2 * stroke).to("cm**3").magnitude
    assert volumes.displacement(2.5 * 25.4, 2.0 * 25.4) == pytest.approx(theirs)


def test_a_rebored_cylinder() -> None:
    """Invented: 58.255 by 50, head 11.2, gasket 59.5 by 0.65, deck 0.20, dome 2.0."""
    parts = {"dome": 2.0, "gasket": 0.65, "gasket_bore": 59.5, "deck": 0.20}
    assert volumes.displacement(58.255, 50.0) == pytest.approx(133.27, abs=5e-3)
    left = volumes.clearance_volume(58.255, 11.2, **parts)
    assert left == pytest.approx(11.540, abs=5e-4)
    ratio = volumes.compression_ratio(58.255, 50.0, 11.2, **parts)
    assert ratio == pytest.approx(12.55, abs=5e-3)
    area = 0.9 * math.pi / 4.0 * 58.255**2
    skimmed = left - 0.15 * area / 1000.0
    assert left - skimmed == pytest.approx(0.360, abs=5e-4)
    assert 1.0 + 133.27 / skimmed == pytest.approx(12.92, abs=5e-3)
    burette = ratio - volumes.compression_ratio(58.255, 50.0, 11.4, **parts)
    assert burette == pytest.approx(0.20, abs=5e-3)
    assert volumes.squish(0.20, 0.65) - 0.15 == pytest.approx(0.70)
    assert volumes.sunk_valves(20.6, 0.12, 4) == pytest.approx(0.16, abs=5e-4)


@given(bores, st.floats(20.0, 100.0), st.floats(5.0, 60.0), st.floats(0.0, 1.0))
def test_a_skim_gives_the_ratio_it_was_made_for(
    bore: float, stroke: float, chamber: float, skim: float
) -> None:
    area = 0.9 * math.pi / 4.0 * bore**2
    after = chamber - skim * area / 1000.0
    assume(after > 1.0)
    wanted = volumes.compression_ratio(bore, stroke, after)
    swept = volumes.displacement(bore, stroke)
    assert volumes.skim_for_ratio(wanted, swept, chamber, area) == pytest.approx(skim, abs=1e-9)


def test_a_two_stroke() -> None:
    """Invented: stroke 54, rod 105, exhaust edge 27.4 down, bore 54, head 10.5."""
    crank = Crank(27.0, 105.0)
    assert crank.angles_at(27.4)[1] == pytest.approx(83.44, abs=5e-3)
    assert volumes.port_duration(crank, 27.4) == pytest.approx(193.1, abs=0.05)
    assert volumes.port_duration(crank, 27.1) == pytest.approx(194.4, abs=0.05)
    assert volumes.trapped_ratio(54.0, 27.4, 10.5) == pytest.approx(6.98, abs=5e-3)
    assert volumes.compression_ratio(54.0, 54.0, 10.5) == pytest.approx(12.8, abs=0.05)


@settings(deadline=None, max_examples=30)
@given(st.floats(1.0, 53.0))
def test_a_port_is_open_where_the_piston_stands_below_it(edge: float) -> None:
    crank = Crank(27.0, 105.0, 0.8)
    below = sum(crank.depth(n / 20.0) > edge for n in range(7200)) / 20.0
    assert volumes.port_duration(crank, edge) == pytest.approx(below, abs=0.11)


def test_a_port_at_the_bottom_edge_never_opens() -> None:
    crank = Crank(27.0, 105.0)
    assert volumes.port_duration(crank, crank.stroke) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: volumes.displacement(58.0, 0.0, 4), "above 0"),
        (lambda: volumes.displacement(math.inf, 50.0, 4), "above 0"),
        (lambda: volumes.clearance_volume(58.0, 10.0, 12.0), "check dome and chamber"),
        (lambda: volumes.skim_for_ratio(1.0, 100.0, 10.0, 2000.0), "more than 1"),
        (lambda: volumes.skim_for_ratio(10.0, 100.0, 10.0, 0.0), "above 0"),
        (lambda: volumes.trapped_ratio(54.0, 27.4, 0.0), "above 0"),
        (lambda: volumes.port_duration(Crank(27.0, 105.0), 54.1), "within the stroke"),
    ],
)
def test_the_impossible_is_refused(call: Callable[[], object], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        call()
