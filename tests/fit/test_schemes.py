"""Strings of marks, and every scheme in its normal form."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.faults import Unusable
from gudgeon.fit.schemes import Halves, normal_form
from gudgeon.metrology.class_likelihood import Band, span_of
from gudgeon.sheet.marks import known_mark
from gudgeon.sheet.select import Shells

WALLS = {"1": 1.487, "2": 1.490, "3": 1.493, "4": 1.496, "5": 1.499}
RANGES = {
    "case": {"marks": {"A": [36.0, 36.006], "B": [36.006, 36.012], "C": [36.012, 36.018]}},
    "crank": {"marks": {"1": [32.994, 33.0], "2": [32.988, 32.994], "3": [32.982, 32.988]}},
}


def shells(scheme: dict[str, Any], **more: Any) -> Shells:
    sheet = {"at": "main", "journal": "journal", "scheme": scheme, "grades": WALLS}
    return Shells.model_validate(sheet | RANGES | more)


def fault_of(error: pytest.ExceptionInfo[Unusable]) -> str:
    return str(error.value.faults[0])


def test_an_unknown_mark_names_the_known_ones() -> None:
    form = normal_form(shells({"kind": "sum", "case-numbers": {"A": 0, "B": 1, "C": 2}}))
    with pytest.raises(Unusable) as error:
        form.look_up("D", "1", "main/2")
    assert fault_of(error) == (
        "main/2: the sheet has no case mark 'D', it has A, B, C; put - where a mark can't be read"
    )
    with pytest.raises(
        Unusable, match="no mark on the crank, for which the sheet has no word, it has 1, 2, 3"
    ):
        form.look_up("A", "-", "main/2")
    assert form.look_up("b", "2", "main/2") == Halves("3", "3")
    assert known_mark("a", {"a": 1, "A": 2}, "case", "x") == "a"


def test_table() -> None:
    table = {
        "A": {"1": "1", "2": "2", "3": "3"},
        "B": {"1": "2", "2": ["3", "4"]},
        "C": {"1": ["1", "2", "3"], "2": "9"},
    }
    form = normal_form(shells({"kind": "table", "cells": table}, mixing="table"))
    assert form.look_up("A", "3", "x") == Halves("3", "3")
    assert form.look_up("B", "2", "x") == Halves("3", "4")
    assert str(form.look_up("B", "2", "x")) == "upper 3, lower 4"
    for crank, said in [("1", "holds 3 grades"), ("2", "grade 9"), ("3", "no cell")]:
        with pytest.raises(Unusable) as error:
            form.look_up("C", crank, "main/4")
        assert said in fault_of(error)
    with pytest.raises(Unusable) as error:
        form.look_up("B", "3", "main/4")
    assert "case B goes with crank 1, 2" in fault_of(error)


def test_difference_and_no_mark_as_a_code() -> None:
    scheme = {
        "kind": "difference",
        "case-numbers": {"I": 5, "-": 6},
        "crank-numbers": {"1": 1, "2": 2, "-": 3},
        "constant": 1,
    }
    form = normal_form(shells(scheme, case=None, crank=None))
    assert form.look_up("I", "-", "x") == Halves("1", "1")
    assert form.look_up("-", "-", "x") == Halves("2", "2")
    assert form.look_up("-", "1", "x") == Halves("4", "4")
    assert form.case == {"I": None, "-": None}


def test_arithmetic_on_plain_numbers() -> None:
    form = normal_form(shells({"kind": "difference", "constant": 2}, case=None, crank=None))
    assert form.look_up("8", "3", "x") == Halves("3", "3")
    assert not form.cells
    with pytest.raises(Unusable, match="grade 6, which the sheet does not list"):
        form.look_up("9", "1", "x")
    with pytest.raises(Unusable, match="it takes any whole number"):
        form.look_up("A", "1", "x")
    half = normal_form(shells({"kind": "sum", "constant": "0.5"}, case=None, crank=None))
    with pytest.raises(Unusable, match=r"case 1 with crank 1 comes to 2\.5, no whole grade"):
        half.look_up("1", "1", "x")


def test_halves_with_forbidden_pairs() -> None:
    scheme = {
        "kind": "halves",
        "upper": {"A": "1", "B": "2", "C": "3"},
        "lower": {"1": "1", "2": "2", "3": "3"},
        "forbidden": [["1", "3"]],
    }
    form = normal_form(shells(scheme))
    assert form.look_up("A", "2", "x") == Halves("1", "2")
    assert form.look_up("C", "1", "x") == Halves("3", "1")
    with pytest.raises(Unusable) as error:
        form.look_up("A", "3", "main/3")
    assert "upper 1 with lower 3 is forbidden" in fault_of(error)
    assert ("A", "3") in form.barred


def test_a_table_that_contradicts_the_rules_on_mixing() -> None:
    table = {"A": {"1": ["2", "1"]}}
    form = normal_form(
        shells({"kind": "table", "cells": table}, mixing="never", **{"thicker-in": "lower"})
    )
    first, second = (str(fault) for fault in form.faults)
    assert first == "scheme, case A with crank 1: upper 2 and lower 1 differ, mixing: table"
    assert second.endswith(
        "the thicker half stands in the upper, but thicker-in says lower, [1, 2]"
    )


def test_no_scheme() -> None:
    form = normal_form(Shells.model_validate({"at": "main", "journal": "journal"} | RANGES))
    with pytest.raises(Unusable, match="the sheet has no scheme"):
        form.look_up("A", "1", "x")
    assert form.crank["3"] == Band(32.982, 32.988)
    assert span_of(form.crank) == pytest.approx(0.018)
    assert span_of({"A": None}) == 0.0


def test_walls_stand_thinnest_first() -> None:
    grades = {"green": 1.496, "brown": 1.490, "black": 1.493}
    assert list(normal_form(shells({"kind": "sum"}, grades=grades)).walls) == [
        "brown",
        "black",
        "green",
    ]


names = st.sampled_from(list("ABCDE-"))
numbers = st.integers(0, 9)


@given(
    st.sampled_from(["table", "difference", "sum", "halves"]),
    st.dictionaries(names, numbers, min_size=1),
    st.dictionaries(names, numbers, min_size=1),
    st.integers(-3, 3),
    st.sets(st.tuples(numbers, numbers), max_size=4),
)
def test_the_normal_form_is_the_rule(
    kind: str,
    case: dict[str, int],
    crank: dict[str, int],
    constant: int,
    forbidden: set[tuple[int, int]],
) -> None:
    """Each cell against the rule as the manual would state it."""
    grades = {str(number): 1.400 + number * 0.003 for number in range(10)}
    scheme: dict[str, Any] = {"kind": kind, "constant": constant}
    scheme["forbidden"] = [[str(a), str(b)] for a, b in forbidden]
    if kind == "table":
        scheme["cells"] = {
            a: {b: [str(m), str(n)] for b, n in crank.items()} for a, m in case.items()
        }
    elif kind == "halves":
        scheme["upper"] = {a: str(m) for a, m in case.items()}
        scheme["lower"] = {b: str(n) for b, n in crank.items()}
    else:
        scheme["case-numbers"], scheme["crank-numbers"] = case, crank
    form = normal_form(shells(scheme, case=None, crank=None, grades=grades))
    for a, m in case.items():
        for b, n in crank.items():
            if kind in ("table", "halves"):
                wanted = (m, n)
            else:
                total = m - n - constant if kind == "difference" else m + n + constant
                wanted = (total, total)
            if 0 <= wanted[0] <= 9 and wanted not in forbidden:
                assert form.look_up(a, b, "x") == Halves(str(wanted[0]), str(wanted[1]))
            else:
                assert (a, b) in form.barred
                with pytest.raises(Unusable):
                    form.look_up(a, b, "x")
