"""Tolerance arithmetic over every cell of every grade table.

For each pair of marks that can meet, the oil clearance is taken at its extremes,

    least = housing min − journal max − (upper wall + t) − (lower wall + t)
    most  = housing max − journal min − (upper wall − t) − (lower wall − t)

and must lie inside the stated window. A wall or a class that breaks the even step of its
neighbours is named once as a likely typing error, and the cells it spoils are counted there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from gudgeon.numbers import Length
from gudgeon.sheet.base import Limits
from gudgeon.sheet.check.found import (
    SAME,
    Remark,
    Remarks,
    limits_text,
    mm,
    outside,
    resolution,
    span,
)
from gudgeon.sheet.check.steps import ladder, odd_ones
from gudgeon.sheet.load import Loaded
from gudgeon.sheet.scheme import MarkPair, cells_of
from gudgeon.sheet.select import Marks, Shells
from gudgeon.sheet.yamltext import Path

#: Cells reported one by one before the rest is only counted.
_MOST_CELLS: Final = 12
Span = tuple[float, float]


@dataclass(frozen=True)
class _Numbers:
    """The figures of a group of shells as plain numbers [mm]."""

    case: Mapping[str, Span]
    crank: Mapping[str, Span]
    walls: Mapping[str, float]
    tolerance: float
    window: Limits

    def clearance(self, pair: MarkPair, grades: tuple[str, str]) -> Span | None:
        """Least and most oil clearance of one pair of marks [mm]."""
        if pair[0] not in self.case or pair[1] not in self.crank:
            return None
        if any(grade not in self.walls for grade in grades):
            return None
        both = self.walls[grades[0]] + self.walls[grades[1]]
        (low, high), (small, large) = self.case[pair[0]], self.crank[pair[1]]
        return (low - large - both - 2 * self.tolerance, high - small - both + 2 * self.tolerance)

    def fails(self, pair: MarkPair, grades: tuple[str, str]) -> bool:
        """Whether this pair can leave the window."""
        found = self.clearance(pair, grades)
        return found is not None and outside(*found, self.window)


def check_grades(loaded: Loaded) -> Remarks:
    """Every pair of marks gives an oil clearance inside the window, whatever the tolerances do."""
    for name, shells in loaded.sheet.select.shells.items():
        path: Path = ("select", "shells", name)
        if shells.scheme is None or shells.window is None or shells.window.blank:
            continue
        cells = cells_of(shells).grades
        plain = _numbers(shells, shells.window)
        if not plain.case or not plain.crank or not plain.walls:
            continue
        if shells.wall_tolerance is None:
            yield Remark(
                (*path, "grades"),
                "no wall-tolerance is given, so walls were taken as exact",
                "add the greatest departure of a wall",
                severity="look",
            )
        repaired, typing = _likely_typing(shells, plain, path)
        for where, wrong, right, mended in typing:
            cured = [
                pair
                for pair, grades in cells.items()
                if plain.fails(pair, grades) and not mended.fails(pair, grades)
            ]
            if cured:
                yield Remark(where, wrong, right, _spoiled(cured, plain, cells, shells))
        yield from _cells(shells, plain, repaired, path)


def _numbers(shells: Shells, window: Limits) -> _Numbers:
    return _Numbers(
        _spans(shells.case),
        _spans(shells.crank),
        {grade: float(item.wall) for grade, item in shells.grades.items()},
        float(shells.wall_tolerance or 0.0),
        window,
    )


def _spans(marks: Marks | None) -> dict[str, Span]:
    """The classes of which both ends are given."""
    return {
        mark: (float(item.min), float(item.max))
        for mark, item in (marks.marks if marks else {}).items()
        if item.min is not None and item.max is not None
    }


def _spoiled(
    cured: list[MarkPair],
    plain: _Numbers,
    cells: Mapping[MarkPair, tuple[str, str]],
    shells: Shells,
) -> str:
    """The cells one wrong figure spoils, with the sum of the first."""
    names = ", ".join(f"{case} {crank}" for case, crank in cured[:_MOST_CELLS])
    more = f" and {len(cured) - _MOST_CELLS} more" if len(cured) > _MOST_CELLS else ""
    return f"it spoils {names}{more}: {_sum(cured[0], cells[cured[0]], plain, shells)}"


_Typing = tuple[Path, str, str, _Numbers]


def _likely_typing(shells: Shells, plain: _Numbers, path: Path) -> tuple[_Numbers, list[_Typing]]:
    """Figures that break an even step, each with the numbers as they would be without it."""
    out: list[_Typing] = []
    walls = dict(plain.walls)
    names = list(walls)
    rungs = ladder(list(walls.values()))
    for place in odd_ones(list(walls.values()), rungs) if rungs else ():
        grade, right = names[place], (rungs or [])[place]
        wrong = f"the wall of grade {grade}, {shells.grades[grade].wall}, breaks the even step"
        walls[grade] = right
        mended = _Numbers(plain.case, plain.crank, walls, plain.tolerance, plain.window)
        where = (*path, "grades", grade, "wall")
        out.append((where, wrong, f"{mm(right)} would keep it", mended))
    sides: dict[str, dict[str, Span]] = {}
    for key, spans in (("case", plain.case), ("crank", plain.crank)):
        sides[key] = dict(spans)
        for mark, end, right in _odd_classes(spans):
            low, high = sides[key][mark]
            sides[key][mark] = (right, high) if end == 0 else (low, right)
            mended = _Numbers(
                sides[key] if key == "case" else plain.case,
                sides[key] if key == "crank" else plain.crank,
                plain.walls,
                plain.tolerance,
                plain.window,
            )
            limit = "lower" if end == 0 else "upper"
            wrong = f"the {limit} limit of {key} mark {mark}, {mm(spans[mark][end])}, breaks the"
            where = (*path, key, "marks", mark, "min" if end == 0 else "max")
            out.append((where, f"{wrong} even step", f"{mm(right)} would keep it", mended))
    repaired = _Numbers(sides["case"], sides["crank"], walls, plain.tolerance, plain.window)
    return repaired, out


def _odd_classes(spans: Mapping[str, Span]) -> Iterable[tuple[str, int, float]]:
    """Ends of classes that break an even step: mark, which end, what would keep it."""
    marks = list(spans)
    for end in (0, 1):
        values = [spans[mark][end] for mark in marks]
        rungs = ladder(values)
        for place in odd_ones(values, rungs) if rungs else ():
            yield marks[place], end, (rungs or [])[place]


def _cells(shells: Shells, plain: _Numbers, repaired: _Numbers, path: Path) -> Remarks:
    """Each cell that leaves the window, and would do so without the likely typing errors too."""
    cells = cells_of(shells)
    failing = [
        (pair, grades)
        for pair, grades in cells.grades.items()
        if plain.fails(pair, grades) and repaired.fails(pair, grades)
    ]
    for pair, grades in failing[:_MOST_CELLS]:
        low, high = plain.clearance(pair, grades) or (0.0, 0.0)
        fitting = [grade for grade in plain.walls if not plain.fails(pair, (grade, grade))]
        if fitting:
            right = f"grade {' or '.join(fitting[:3])} would stay inside"
        else:
            right = "no single grade would stay inside, check the ranges, walls and window"
        shell = grades[0] if grades[0] == grades[1] else f"{grades[0]} over {grades[1]}"
        yield Remark(
            (*path, *cells.paths[pair]),
            f"case {pair[0]} with crank {pair[1]} takes {shell}: oil clearance {span(low, high)}"
            f" leaves the window {limits_text(plain.window)}",
            right,
            _sum(pair, grades, plain, shells),
        )
    if len(failing) > _MOST_CELLS:
        yield Remark(
            (*path, "scheme"),
            f"{len(failing) - _MOST_CELLS} more cells leave the window",
            "mend the first ones and check again",
        )


def _sum(pair: MarkPair, grades: tuple[str, str], plain: _Numbers, shells: Shells) -> str:
    """The arithmetic of one cell."""
    found = plain.clearance(pair, grades)
    if found is None:
        return ""
    walls = " − ".join(f"{shells.grades[grade].wall}" for grade in grades)
    if grades[0] == grades[1]:
        walls = f"2 × {shells.grades[grades[0]].wall}"
    spread = f" ± 2 × {shells.wall_tolerance}" if shells.wall_tolerance else ""
    return (
        f"{span(*plain.case[pair[0]])} − {span(*plain.crank[pair[1]])} − {walls}{spread}"
        f" = {span(*found)}"
    )


def check_classes(loaded: Loaded) -> Remarks:
    """The classes of a string of marks follow each other without overlap or hole."""
    for name, shells in loaded.sheet.select.shells.items():
        for key, marks, feature in (
            ("case", shells.case, shells.housing),
            ("crank", shells.crank, shells.journal),
        ):
            if marks is None:
                continue
            path: Path = ("select", "shells", name, key, "marks")
            yield from _neighbours(marks, path)
            whole = loaded.sheet.features[feature].new if feature else None
            if whole is not None and not whole.blank:
                yield from _within(marks, whole, str(feature), path)


def _neighbours(marks: Marks, path: Path) -> Remarks:
    """Classes in the order of their size, each against the next."""
    whole: list[tuple[Length, Length, str]] = sorted(
        (item.min, item.max, mark)
        for mark, item in marks.marks.items()
        if item.min is not None and item.max is not None
    )
    for (low, high, mark), (low2, high2, mark2) in pairwise(whole):
        sum_ = f"{mark}: {low}..{high}, {mark2}: {low2}..{high2}"
        if low2 < high - SAME:
            yield Remark(
                (*path, mark2),
                f"the classes of marks {mark} and {mark2} overlap by {mm(high - low2)}",
                "each size belongs to one mark",
                sum_,
            )
        elif low2 - high > 1.5 * resolution(low, high, low2, high2):
            yield Remark(
                (*path, mark2),
                f"between the classes of marks {mark} and {mark2} there is a hole of"
                f" {mm(low2 - high)}",
                "each size belongs to one mark",
                sum_,
            )


def _within(marks: Marks, whole: Limits, feature: str, path: Path) -> Remarks:
    for mark, item in marks.marks.items():
        for value in (item.min, item.max):
            if value is not None and outside(value, value, whole):
                yield Remark(
                    (*path, mark),
                    f"the class of mark {mark} reaches {value}, outside the new range of"
                    f" '{feature}', {limits_text(whole)}",
                    "the classes divide that range",
                )
                break
