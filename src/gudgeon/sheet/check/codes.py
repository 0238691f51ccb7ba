"""Codes: every pair of marks leads to grades that exist, and every figure is of use."""

from __future__ import annotations

from typing import Final

from gudgeon.sheet.check.found import Remark, Remarks, Severity
from gudgeon.sheet.load import Loaded
from gudgeon.sheet.scheme import Cells, cells_of
from gudgeon.sheet.select import Scheme, Shells
from gudgeon.sheet.wording import nearest
from gudgeon.sheet.yamltext import Path

#: Pairs reported one by one before the rest is left out.
_MOST: Final = 20


def check_codes(loaded: Loaded) -> Remarks:
    """Marks with no cell, cells with no mark, grades unknown or never reached."""
    for name, shells in loaded.sheet.select.shells.items():
        if shells.scheme is None:
            continue
        path: Path = ("select", "shells", name)
        cells = cells_of(shells)
        yield from _missing(cells, path)
        yield from _unknown_marks(shells, shells.scheme, path)
        if shells.grades:
            yield from _unknown_grades(shells, cells, path)


def _missing(cells: Cells, path: Path) -> Remarks:
    said: set[str] = set()
    for pair, reason in cells.missing.items():
        if reason not in said and len(said) < _MOST:
            said.add(reason)
            yield Remark((*path, *cells.paths[pair]), reason, "every pair of marks needs its grade")


def _unknown_marks(shells: Shells, scheme: Scheme, path: Path) -> Remarks:
    """Marks the scheme uses that the list of marks has not got."""
    case = shells.case.marks if shells.case else {}
    crank = shells.crank.marks if shells.crank else {}
    used: list[tuple[Path, str, str]] = []
    used += [(("cells", mark), mark, "case") for mark in scheme.cells]
    used += [(("cells", a, b), b, "crank") for a, row in scheme.cells.items() for b in row]
    used += [(("case-numbers", mark), mark, "case") for mark in scheme.case_numbers]
    used += [(("crank-numbers", mark), mark, "crank") for mark in scheme.crank_numbers]
    used += [(("upper", mark), mark, "case") for mark in scheme.upper]
    used += [(("lower", mark), mark, "crank") for mark in scheme.lower]
    said: set[tuple[str, str]] = set()
    for where, mark, side in used:
        known = case if side == "case" else crank
        if known and mark not in known and (mark, side) not in said:
            said.add((mark, side))
            yield Remark(
                (*path, "scheme", *where),
                f"there is no {side} mark '{mark}'",
                nearest(mark, known),
                at_key=True,
            )


def _unknown_grades(shells: Shells, cells: Cells, path: Path) -> Remarks:
    reached: set[str] = set()
    arithmetic = shells.scheme is not None and shells.scheme.kind in ("difference", "sum")
    right = f"there is {', '.join(list(shells.grades)[:8])}; check the numbers and the constant"
    said: set[str] = set()
    for pair, grades in cells.grades.items():
        reached.update(grades)
        for grade in grades:
            if grade not in shells.grades and grade not in said and len(said) < _MOST:
                said.add(grade)
                yield Remark(
                    (*path, *cells.paths[pair]),
                    f"case {pair[0]} with crank {pair[1]} takes grade '{grade}', which is not"
                    " among the grades",
                    right if arithmetic else nearest(grade, shells.grades),
                )
    for grade in shells.grades:
        if grade not in reached and reached:
            yield Remark(
                (*path, "grades", grade),
                f"no pair of marks leads to grade '{grade}'",
                "check the scheme, or leave the grade in for choice by measurement",
                severity="look",
                at_key=True,
            )


def check_mixing(loaded: Loaded) -> Remarks:
    """Halves that differ are allowed, are near enough, and are no forbidden pair."""
    for name, shells in loaded.sheet.select.shells.items():
        if shells.scheme is None:
            continue
        path: Path = ("select", "shells", name)
        cells = cells_of(shells)
        halves = shells.scheme.kind == "halves"
        forbidden = [tuple(pair) for pair in shells.scheme.forbidden]
        order = sorted(shells.grades, key=lambda grade: shells.grades[grade].wall)
        for place, pair in enumerate(forbidden):
            if len(pair) != 2:
                yield Remark(
                    (*path, "scheme", "forbidden", place),
                    f"a forbidden pair of {len(pair)} grades",
                    "write [upper, lower]",
                )
        for marks, (upper, lower) in cells.grades.items():
            if upper == lower:
                continue
            severity: Severity = "fault"
            if (upper, lower) in forbidden:
                wrong, right = "is forbidden", "check the cell and the forbidden pairs"
                severity = "look" if halves else "fault"
            elif shells.mixing == "never" and not halves:
                wrong, right = "mixes grades, and mixing says never", "write mixing: table"
            elif shells.mixing == "adjacent" and not _adjacent(upper, lower, order):
                wrong, right = "is more than one grade apart", "check the cell, or mixing: table"
            else:
                continue
            yield Remark(
                (*path, *cells.paths[marks]),
                f"case {marks[0]} with crank {marks[1]} takes {upper} over {lower}, which {wrong}",
                right,
                severity=severity,
            )


def _adjacent(upper: str, lower: str, order: list[str]) -> bool:
    if upper not in order or lower not in order:
        return True
    return abs(order.index(upper) - order.index(lower)) <= 1
