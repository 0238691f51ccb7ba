"""Engine arithmetic against government manuals. Their figures test arithmetic here, no more."""

from __future__ import annotations

import math

import pytest

from gudgeon.calc.calculation import run
from gudgeon.calc.registry import BY_NAME
from gudgeon.formulas.bearings import undersize_wall
from gudgeon.formulas.fallback import WEAR_RULES, suspect_wear
from gudgeon.formulas.rings import gap_growth
from gudgeon.formulas.valves import axial_from_normal
from gudgeon.metrology.conformity import decide
from gudgeon.metrology.form import bend_from_run_out
from gudgeon.timing.volumes import displacement

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
