"""Tolerance arithmetic over every cell of every grade table.

For each pair of marks that can meet, the oil clearance is taken at its extremes,

    least = housing min − journal max − (upper wall + t) − (lower wall + t)
    most  = housing max − journal min − (upper wall − t) − (lower wall − t)

and must lie inside the stated window. A wall or a class that breaks the even step of its
neighbours is named once as a likely typing error, and the cells it spoils are counted there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from gudgeon.numbers import Length
from gudgeon.sheet.base import Limits
from gudgeon.sheet.check.causes import one_cause
from gudgeon.sheet.check.clearances import MOST_CELLS, Numbers, Span, numbers_of, spoiled, sum_of
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
from gudgeon.sheet.scheme import cells_of
from gudgeon.sheet.select import Marks, Shells
from gudgeon.sheet.yamltext import Path


def check_grades(loaded: Loaded) -> Remarks:
    """Every pair of marks gives an oil clearance inside the window, whatever the tolerances do."""
    for name, shells in loaded.sheet.select.shells.items():
        path: Path = ("select", "shells", name)
        if shells.scheme is None or shells.window is None or shells.window.blank:
            continue
        cells = cells_of(shells).grades
        plain = numbers_of(shells, shells.window)
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
                yield Remark(where, wrong, right, spoiled(cured, plain, cells, shells))
        yield from _cells(shells, plain, repaired, path)


_Typing = tuple[Path, str, str, Numbers]


def _likely_typing(shells: Shells, plain: Numbers, path: Path) -> tuple[Numbers, list[_Typing]]:
    """Figures that break an even step, each with the numbers as they would be without it."""
    out: list[_Typing] = []
    walls = dict(plain.walls)
    names = list(walls)
    rungs = ladder(list(walls.values()))
    for place in odd_ones(list(walls.values()), rungs) if rungs else ():
        grade, right = names[place], (rungs or [])[place]
        wrong = f"the wall of grade {grade}, {shells.grades[grade].wall}, breaks the even step"
        walls[grade] = right
        mended = Numbers(plain.case, plain.crank, walls, plain.tolerance, plain.window)
        where = (*path, "grades", grade, "wall")
        out.append((where, wrong, f"{mm(right)} would keep it", mended))
    sides: dict[str, dict[str, Span]] = {}
    for key, spans in (("case", plain.case), ("crank", plain.crank)):
        sides[key] = dict(spans)
        for mark, end, right in _odd_classes(spans):
            low, high = sides[key][mark]
            sides[key][mark] = (right, high) if end == 0 else (low, right)
            mended = Numbers(
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
    repaired = Numbers(sides["case"], sides["crank"], walls, plain.tolerance, plain.window)
    return repaired, out


def _odd_classes(spans: Mapping[str, Span]) -> Iterable[tuple[str, int, float]]:
    """Ends of classes that break an even step: mark, which end, what would keep it."""
    marks = list(spans)
    for end in (0, 1):
        values = [spans[mark][end] for mark in marks]
        rungs = ladder(values)
        for place in odd_ones(values, rungs) if rungs else ():
            yield marks[place], end, (rungs or [])[place]


def _cells(shells: Shells, plain: Numbers, repaired: Numbers, path: Path) -> Remarks:
    """Each cell that leaves the window, and would do so without the likely typing errors too."""
    cells = cells_of(shells)
    failing = [
        (pair, grades)
        for pair, grades in cells.grades.items()
        if plain.fails(pair, grades) and repaired.fails(pair, grades)
    ]
    cause = one_cause(shells, repaired, cells.grades, [pair for pair, _ in failing])
    if cause is not None:
        told = spoiled(cause.clears, plain, cells.grades, shells)
        yield Remark((*path, *cause.path), cause.wrong, cause.right, told)
        failing = [(pair, grades) for pair, grades in failing if pair not in cause.clears]
    for pair, grades in failing[:MOST_CELLS]:
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
            sum_of(pair, grades, plain, shells),
        )
    if len(failing) > MOST_CELLS:
        yield Remark(
            (*path, "scheme"),
            f"{len(failing) - MOST_CELLS} more cells leave the window",
            "mend the first ones and check again",
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
