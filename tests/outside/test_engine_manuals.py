"""Engine arithmetic against government manuals. Their figures test arithmetic here, no more."""

from __future__ import annotations

import math

import pytest

from gudgeon.calc.calculation import run
from gudgeon.calc.registry import BY_NAME
from gudgeon.formulas.bearings import undersize_wall
from gudgeon.formulas.fallback import WEAR_RULES, suspect_wear
from gudgeon.formulas.readings import below_mean, leaks_more_than, orifice_for
from gudgeon.formulas.rings import gap_growth
from gudgeon.formulas.valves import axial_from_normal
from gudgeon.metrology.conformity import decide
from gudgeon.metrology.form import bend_from_run_out
from gudgeon.timing.events import duration, events, lobe_centre, lobe_lift, overlap
from gudgeon.timing.volumes import compression_ratio, displacement, skim_for_ratio

INCH = 25.4


def test_displacement() -> None:
    """FAA-H-8083-32B (2023), pp. 1-28 and 1-29: 5.5 in bore and stroke, 14 cylinders, 1829 in³.

    The manual rounds pi to 3.1416 and the bore's area to 23.7584 in², and prints 1829.3968.
    """
    cubic_inches = displacement(5.5 * INCH, 5.5 * INCH, 14) * 1000.0 / INCH**3
    assert cubic_inches == pytest.approx(1829.3887, abs=1e-3)
    area = displacement(5.5 * INCH, INCH) * 1000.0 / INCH**3
    assert area * 3.1416 / math.pi == pytest.approx(23.7584, abs=1e-4)
    assert cubic_inches * 23.7584 / area == pytest.approx(1829.3968, abs=1e-3)
    typed = {"bore": ["5.5 in"], "stroke": ["5.5 in"], "cylinders": ["14"]}
    assert run(BY_NAME["displacement"], typed, "in^3").value == pytest.approx(cubic_inches)


def test_compression_ratio() -> None:
    """FAA-H-8083-32B (2023), p. 1-29: 140 in³ at the bottom and 20 in³ at the top are 7 to 1."""
    cubic_inch = INCH**3 / 1000.0
    stroke = 120.0 * INCH / (math.pi / 4.0 * 5.0**2)
    ratio = compression_ratio(5.0 * INCH, stroke, 20.0 * cubic_inch)
    assert ratio == pytest.approx(7.0, rel=1e-12)
    swept = displacement(5.0 * INCH, stroke)
    assert skim_for_ratio(7.0, swept, 20.0 * cubic_inch, 5000.0) == pytest.approx(0.0, abs=1e-12)
    typed = {"bore": ["5 in"], "stroke": [f"{stroke:.9f}"], "chamber": ["20 in^3"]}
    assert run(BY_NAME["compression-ratio"], typed).value == pytest.approx(7.0, abs=1e-6)


@pytest.mark.parametrize(("held", "suspect"), [(61, False), (60, False), (59, True), (55, True)])
def test_differential_test(held: int, suspect: bool) -> None:
    """FAA AC 43.13-1B, paragraphs 8-14 and 8-15: 80 psi; a loss in excess of 25 % is suspect."""
    psi = 6.894757293168361
    assert leaks_more_than(80.0, held, 25.0) is suspect
    assert leaks_more_than(80.0 * psi, held * psi, 25.0) is suspect
    typed = {"supply": ["80 psi"], "held": [f"{held} psi"]}
    answer = run(BY_NAME["leak-down"], typed)
    assert answer.value == pytest.approx(100.0 * (1.0 - held / 80.0))
    assert answer.unit == "%"


def test_orifice_of_the_differential_tester() -> None:
    """FAA AC 43.13-1B, paragraph 8-14: 0.040 in below a bore of 5.00 in, 0.060 in from there."""
    assert orifice_for(4.99 * INCH) == pytest.approx(0.040 * INCH)
    assert orifice_for(5.00 * INCH) == pytest.approx(0.060 * INCH)


@pytest.mark.parametrize(
    ("lowest", "mean", "limit", "low"), [(85.0, 109.75, 87.8, (3,)), (92.0, 111.5, 89.2, ())]
)
def test_cranking_compression(
    lowest: float, mean: float, limit: float, low: tuple[int, ...]
) -> None:
    """US Army TM 1-1500-204-23-1: 20 % below the mean of all fails; numbers derived from that."""
    found = below_mean([120.0, 118.0, 116.0, lowest])
    assert (found.mean, found.low) == (mean, low)
    assert found.limit == pytest.approx(limit, abs=0.01)


def test_cam_timing() -> None:
    """US Army TM 9-8000, p. 2-35, figures 2-54 and 2-55: 28° before, 45° after, 279° open.

    The closing and the centre are derived, taking both figures for one cam.
    """
    assert overlap(28.0, 45.0) == 73.0
    opens, closes = events("in", 111.5, 279.0)
    assert (opens, closes) == (28.0, 71.0)
    assert duration(28.0, 71.0) == 279.0
    assert lobe_centre("in", 28.0, 71.0) == 111.5
    typed = {"cam": ["in"], "opens": ["28"], "closes": ["71"]}
    assert run(BY_NAME["lobe-centre"], typed).value == 111.5


def test_cam_lift() -> None:
    """US Army TM 5-3805-258-24-1, p. 4-28: lift is lobe height less base circle; sizes invented."""
    assert lobe_lift(1.500, 1.250) == 0.250


def test_ring_gap_against_bore() -> None:
    """US Army TM 5-3805-261-34: the gap rises 0.003 in for each 0.001 in of bore."""
    assert round(gap_growth(0.001), 3) == 0.003
    assert gap_growth(0.001) == pytest.approx(0.0031416, abs=1e-7)


def test_ring_gap_growth() -> None:
    """Derived (circumference of a circle): 0.05 mm of bore opens the gap 0.157080 mm."""
    assert gap_growth(0.05) == pytest.approx(0.157080, abs=1e-6)


@pytest.mark.parametrize(
    ("rule", "size_in", "wear_in"),
    [
        ("bore wear", 3.0, 0.0030),
        ("bore taper", 3.0, 0.0015),
        ("piston wear", 3.0, 0.0015),
        ("journal clearance", 1.5, 0.00075),
        ("journal out-of-round", 1.5, 0.0006),
        ("end play", 0.0, 0.005),
        ("valve stem wear", 0.0, 0.001),
        ("guide wear", 0.0, 0.0015),
        ("seat width", 0.060, 0.009),
    ],
)
def test_wear_that_scales_with_size(rule: str, size_in: float, wear_in: float) -> None:
    """US Army TM 10-3930-647-14&P, general wear limits; worked figures derived from its rules."""
    assert suspect_wear(rule, size_in * INCH) == pytest.approx(wear_in * INCH, rel=1e-12)


def test_every_rule_of_that_manual_is_tested() -> None:
    """The nine rules of US Army TM 10-3930-647-14&P, no more and no fewer."""
    assert len(WEAR_RULES) == 9


def test_bend_from_run_out() -> None:
    """US Army TM 10-3930-653-14&P, pp. 4-37 and 4-38: bend is half the indicator reading.

    A reading of 0.08 mm is a bend of 0.04: over the 0.02 to correct to, under the limit of 0.05.
    """
    bend = bend_from_run_out(0.08)
    assert bend == 0.04
    assert decide(bend, 0.0, upper=0.02).verdict == "does not conform"
    assert decide(bend, 0.0, upper=0.05).verdict == "conforms"


@pytest.mark.parametrize(
    ("undersize", "low", "high"), [(0.0, 0.1245, 0.1250), (0.002, 0.1255, 0.1260),
                                   (0.010, 0.1295, 0.1300)]
)  # fmt: skip
def test_undersize_shells(undersize: float, low: float, high: float) -> None:
    """US Army TM 5-4320-300-14, p. 6-83: the wall grows by half the nominal undersize."""
    for standard, wall in ((0.1245, low), (0.1250, high)):
        found = undersize_wall(standard * INCH, undersize * INCH)
        assert found == pytest.approx(wall * INCH, abs=0.00005 * INCH)
    assert undersize_wall(0.1245 * INCH, 0.0) == pytest.approx(3.1623, abs=5e-5)


def test_valve_recession() -> None:
    """Derived (a cone's geometry): a 45° seat, and one of 30° from the head face."""
    assert axial_from_normal(0.050, 45.0, "face") == pytest.approx(0.070711, abs=1e-6)
    assert axial_from_normal(0.050, 45.0, "axis") == pytest.approx(0.070711, abs=1e-6)
    assert axial_from_normal(0.050, 30.0, "face") == pytest.approx(0.057735, abs=1e-6)
    assert axial_from_normal(0.050, 60.0, "axis") == pytest.approx(0.057735, abs=1e-6)
