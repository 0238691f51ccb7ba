"""From marks to grades: every kind of scheme brought to one form, marks -> (upper, lower) grade."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from gudgeon.sheet.select import Scheme, Shells
from gudgeon.sheet.yamltext import Path

#: Marks of one case and one crank.
MarkPair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Cells:
    """What a scheme says for every pair of marks.

    Attributes:
        grades: (case mark, crank mark) -> (upper grade, lower grade), as the scheme names them.
        missing: pairs of known marks for which the scheme says nothing, with the reason.
        paths: pair -> where in the group of shells its grade is stated.
    """

    grades: Mapping[MarkPair, tuple[str, str]] = field(default_factory=dict)
    missing: Mapping[MarkPair, str] = field(default_factory=dict)
    paths: Mapping[MarkPair, Path] = field(default_factory=dict)


_NOTHING: Final = Cells()


def cells_of(shells: Shells) -> Cells:
    """The grades for every pair of marks of a group of shells; none where it has no scheme.

    >>> from gudgeon.sheet.select import Shells
    >>> shells = Shells.model_validate({
    ...     "at": "main", "journal": "journal",
    ...     "case": {"marks": {"1": {}, "2": {}}}, "crank": {"marks": {"1": {}}},
    ...     "scheme": {"kind": "sum", "constant": "-1"}})
    >>> cells_of(shells).grades
    {('1', '1'): ('1', '1'), ('2', '1'): ('2', '2')}
    """
    scheme = shells.scheme
    if scheme is None:
        return _NOTHING
    case, crank = marks_of(shells)
    grades: dict[MarkPair, tuple[str, str]] = {}
    missing: dict[MarkPair, str] = {}
    paths: dict[MarkPair, Path] = {}
    for pair in ((a, b) for a in case for b in crank):
        found, path = cell_of(scheme, *pair)
        paths[pair] = ("scheme", *path)
        if isinstance(found, str):
            missing[pair] = found
        else:
            grades[pair] = found
    return Cells(grades, missing, paths)


def marks_of(shells: Shells) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The marks of the case and of the crank: as listed, else as the scheme uses them."""
    scheme = shells.scheme
    case = tuple(shells.case.marks) if shells.case else ()
    crank = tuple(shells.crank.marks) if shells.crank else ()
    if scheme is not None:
        rows = [mark for row in scheme.cells.values() for mark in row]
        case = case or tuple({**scheme.cells, **scheme.case_numbers, **scheme.upper})
        crank = crank or tuple(dict.fromkeys((*rows, *scheme.crank_numbers, *scheme.lower)))
    return case, crank


def cell_of(scheme: Scheme, case: str, crank: str) -> tuple[tuple[str, str] | str, Path]:
    """The two grades of one pair of marks, or why there are none; and where that is stated."""
    if scheme.kind == "table":
        return _table(scheme, case, crank)
    if scheme.kind == "halves":
        upper, lower = scheme.upper.get(case), scheme.lower.get(crank)
        if upper is None:
            return f"no upper shell is named for case mark {case}", ("upper",)
        if lower is None:
            return f"no lower shell is named for crank mark {crank}", ("lower",)
        return (upper, lower), ("upper", case)
    return _arithmetic(scheme, case, crank)


def _table(scheme: Scheme, case: str, crank: str) -> tuple[tuple[str, str] | str, Path]:
    row = scheme.cells.get(case)
    if row is None:
        return f"the table has no row for case mark {case}", ("cells",)
    cell = row.get(crank)
    if cell is None:
        return f"row {case} has no cell for crank mark {crank}", ("cells", case)
    pair = [cell, cell] if isinstance(cell, str) else cell
    if len(pair) != 2:
        return f"cell {case} {crank} holds {len(pair)} grades", ("cells", case, crank)
    return (pair[0], pair[1]), ("cells", case, crank)


def _arithmetic(scheme: Scheme, case: str, crank: str) -> tuple[tuple[str, str] | str, Path]:
    a, b = _number(case, scheme.case_numbers), _number(crank, scheme.crank_numbers)
    if a is None:
        return f"case mark {case} stands for no number", ("case-numbers",)
    if b is None:
        return f"crank mark {crank} stands for no number", ("crank-numbers",)
    grade = a - b - scheme.constant if scheme.kind == "difference" else a + b + scheme.constant
    if abs(grade - round(grade)) > 1e-9:
        return f"case {case} with crank {crank} comes to {grade:g}, no whole grade", ("constant",)
    return (str(round(grade)), str(round(grade))), ()


def _number(mark: str, numbers: Mapping[str, int]) -> int | None:
    if mark in numbers:
        return numbers[mark]
    return int(mark) if mark.isascii() and mark.isdigit() and len(mark) < 6 else None
