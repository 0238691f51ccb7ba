"""Tolerance classes as text, and the edges of the table."""

from __future__ import annotations

import pytest

from gudgeon.metrology.iso286 import LETTERS, clearance, deviations, limits, standard_tolerance


@pytest.mark.parametrize(
    ("text", "lower", "upper"),
    [
        ("36 H7", 36.0, 36.025),
        ("36H7", 36.0, 36.025),
        (" Ø36 mm H7 ", 36.0, 36.025),
        ("25 g6", 24.980, 24.993),
        ("40,5 h6", 40.484, 40.5),
        ("16 js5", 15.996, 16.004),
        ("16 js8", 15.9865, 16.0135),
        ("20 k6", 20.002, 20.015),
        ("20 k8", 20.0, 20.033),
        ("60 r6", 60.041, 60.060),
        ("70 r6", 70.043, 70.062),
    ],
)
def test_a_class_is_read(text: str, lower: float, upper: float) -> None:
    assert limits(text) == (lower, upper)


@pytest.mark.parametrize("size", [3.0001, 6, 10, 18, 30, 50, 65, 80, 100, 120])
@pytest.mark.parametrize("letter", LETTERS)
@pytest.mark.parametrize("grade", [5, 6, 7, 8])
def test_every_zone_is_as_wide_as_its_grade(size: float, letter: str, grade: int) -> None:
    lower, upper = deviations(size, letter, grade)
    assert upper - lower == standard_tolerance(size, grade)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("36", "not a tolerance class"),
        ("H7", "not a tolerance class"),
        ("", "not a tolerance class"),
        ("36 H7/g6", "not a tolerance class"),
        ("36 H9", "grade 9"),
        ("36 P7", "letter 'P'"),
        ("3 H7", "over 3 to 120"),
        ("120,001 H7", "over 3 to 120"),
        ("1.2.3 H7", "not a number"),
        ("36 H7" + " " * 100, "not a tolerance class"),
    ],
)
def test_what_is_not_in_the_table_is_refused(text: str, part: str) -> None:
    with pytest.raises(ValueError, match=part):
        limits(text)


@pytest.mark.parametrize("text", ["25 g6/H7", "25 H7", "25 H7/", "/g6", "25 JS7/h6"])
def test_a_fit_stands_on_an_h_hole(text: str) -> None:
    with pytest.raises(ValueError, match="not a fit on an H hole"):
        clearance(text)
