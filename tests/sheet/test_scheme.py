"""Every kind of scheme in one form."""

from __future__ import annotations

from typing import Any

import pytest

from gudgeon.sheet.scheme import cells_of
from gudgeon.sheet.select import Shells


def shells(scheme: dict[str, Any], **more: Any) -> Shells:
    """A group of shells with that scheme."""
    return Shells.model_validate({"at": "main", "journal": "j", "scheme": scheme, **more})


@pytest.mark.parametrize(
    ("scheme", "expected"),
    [
        (
            {"kind": "table", "cells": {"A": {"1": "brown", "-": ["brown", "green"]}}},
            {("A", "1"): ("brown", "brown"), ("A", "-"): ("brown", "green")},
        ),
        (
            {"kind": "difference", "case_numbers": {"4": 4}, "crank_numbers": {"1": 1},
             "constant": 1},
            {("4", "1"): ("2", "2")},
        ),
        (
            {"kind": "sum", "case_numbers": {"A": 0, "B": 1}, "crank_numbers": {"2": 2}},
            {("A", "2"): ("2", "2"), ("B", "2"): ("3", "3")},
        ),
        (
            {"kind": "halves", "upper": {"A": "red"}, "lower": {"1": "blue"}},
            {("A", "1"): ("red", "blue")},
        ),
    ],
)  # fmt: skip
def test_grades_of_every_pair(
    scheme: dict[str, Any], expected: dict[tuple[str, str], tuple[str, str]]
) -> None:
    assert cells_of(shells(scheme)).grades == expected
    assert cells_of(shells(scheme)).missing == {}


def test_pairs_without_a_grade_say_why() -> None:
    marks: dict[str, Any] = {
        "case": {"marks": {"A": {}, "B": {}}},
        "crank": {"marks": {"1": {}, "2": {}}},
    }
    table = cells_of(shells({"kind": "table", "cells": {"A": {"1": "x"}}}, **marks))
    assert table.missing == {
        ("A", "2"): "row A has no cell for crank mark 2",
        ("B", "1"): "the table has no row for case mark B",
        ("B", "2"): "the table has no row for case mark B",
    }
    halves = cells_of(shells({"kind": "halves", "upper": {"A": "x"}, "lower": {"1": "y"}}, **marks))
    assert set(halves.missing) == {("A", "2"), ("B", "1"), ("B", "2")}
    odd = cells_of(
        shells({"kind": "sum", "case_numbers": {"A": 0, "B": 1}, "constant": 0.5}, **marks)
    )
    assert "comes to 1.5, no whole grade" in odd.missing["A", "1"]


def test_without_a_scheme_there_are_no_cells() -> None:
    assert cells_of(Shells.model_validate({"at": "main", "journal": "j"})).grades == {}
