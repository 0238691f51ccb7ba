"""Tolerance classes against published tables and an independent compilation (pressfit 0.1.0)."""

from __future__ import annotations

import math
from decimal import Decimal

import pressfit
import pytest

from gudgeon.metrology.iso286 import (
    BANDS,
    FINE_BANDS,
    clearance,
    deviations,
    limits,
    standard_tolerance,
)


@pytest.mark.parametrize(
    ("size", "widths"),
    [(25.0, (9, 13, 21, 33)), (40.0, (11, 16, 25, 39)), (65.0, (13, 19, 30, 46))],
)
def test_standard_tolerances(size: float, widths: tuple[int, ...]) -> None:
    """ISO 286-1, Table 1 (two secondary tables, which agree): IT5 to IT8."""
    assert tuple(standard_tolerance(size, grade) for grade in (5, 6, 7, 8)) == widths


@pytest.mark.parametrize(("low", "high"), [(18, 30), (30, 50), (50, 80)])
def test_standard_tolerances_come_from_their_formula(low: int, high: int) -> None:
    """ISO 286-1: i = 0.45 D^(1/3) + 0.001 D; IT5 to IT8 are 7, 10, 16 and 25 i, then rounded."""
    mean = math.sqrt(low * high)
    unit = 0.45 * mean ** (1 / 3) + 0.001 * mean
    for grade, factor in ((5, 7), (6, 10), (7, 16), (8, 25)):
        assert standard_tolerance(high, grade) == pytest.approx(factor * unit, abs=0.5)


@pytest.mark.parametrize(
    ("letter", "grade", "over_18", "over_30"),
    [
        ("H", 6, (0, 13), (0, 16)),
        ("H", 7, (0, 21), (0, 25)),
        ("H", 8, (0, 33), (0, 39)),
        ("f", 7, (-41, -20), (-50, -25)),
        ("g", 5, (-16, -7), (-20, -9)),
        ("g", 6, (-20, -7), (-25, -9)),
        ("h", 6, (-13, 0), (-16, 0)),
        ("k", 5, (2, 11), (2, 13)),
        ("k", 6, (2, 15), (2, 18)),
        ("m", 6, (8, 21), (9, 25)),
        ("n", 6, (15, 28), (17, 33)),
        ("p", 6, (22, 35), (26, 42)),
        ("r", 6, (28, 41), (34, 50)),
        ("s", 6, (35, 48), (43, 59)),
    ],
)
def test_limit_deviations(
    letter: str, grade: int, over_18: tuple[int, int], over_30: tuple[int, int]
) -> None:
    """ISO 286-2 by way of JIS B 0401 (shafts): over 18 to 30 and over 30 to 50 mm."""
    for size, expected in ((25.0, over_18), (40.0, over_30)):
        lower, upper = deviations(size, letter, grade)
        assert (int(lower), int(upper)) == expected


@pytest.mark.parametrize("size", [*(end for end in FINE_BANDS if end > 3), 3.5, 25, 60, 90])
@pytest.mark.parametrize("grade", [5, 6, 7, 8])
def test_every_cell_agrees_with_pressfit(size: float, grade: int) -> None:
    """pressfit 0.1.0 (MIT), a compilation of ISO 286 made independently; it has no r."""
    assert standard_tolerance(size, grade) == pressfit.it_value(size, grade)
    for letter in "fgh":
        assert deviations(size, letter, grade)[1] == pressfit.shaft_deviation(size, letter, grade)
    for letter in "kmnps":
        assert deviations(size, letter, grade)[0] == pressfit.shaft_deviation(size, letter, grade)


@pytest.mark.parametrize(
    ("letter", "lower"),
    [
        ("m", (4, 6, 7, 8, 9, 11, 11, 13, 13)),
        ("n", (8, 10, 12, 15, 17, 20, 20, 23, 23)),
        ("p", (12, 15, 18, 22, 26, 32, 32, 37, 37)),
        ("r", (15, 19, 23, 28, 34, 41, 43, 51, 54)),
        ("s", (19, 23, 28, 35, 43, 53, 59, 71, 79)),
    ],
)
def test_lower_deviations(letter: str, lower: tuple[int, ...]) -> None:
    """Machine Drawing (textbook), Table 15.2, p. 216: fundamental deviations of shafts m to s."""
    assert tuple(deviations(size, letter, 6)[0] for size in FINE_BANDS[1:]) == lower


@pytest.mark.parametrize(
    ("fit", "least", "most"),
    [("25 H7/g6", 0.007, 0.041), ("40 H7/p6", -0.042, -0.001), ("40 H7/k6", -0.018, 0.023)],
)
def test_fits(fit: str, least: float, most: float) -> None:
    """Derived from ISO 286-2; interference is a clearance below 0. And pressfit 0.1.0."""
    assert clearance(fit) == (least, most)
    theirs = pressfit.fit(fit)
    assert least == pytest.approx((theirs.hole_ei_um - theirs.shaft_es_um) / 1000)
    assert most == pytest.approx((theirs.hole_es_um - theirs.shaft_ei_um) / 1000)


@pytest.mark.parametrize(
    ("size", "width"), [("30.000", 21), ("30.001", 25), ("50.000", 25), ("50.001", 30)]
)
def test_bands_include_their_upper_end(size: str, width: int) -> None:
    """ISO 286-1, Table 1, headings: over ... up to and including ..."""
    lower, upper = limits(f"{size} H7")
    assert lower == float(size)
    assert upper == float(Decimal(size) + Decimal(width) / 1000)
    assert int(float(size)) in BANDS
