"""Tables whose cells step evenly: a cell that breaks the step and still fits the window."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from statistics import median
from typing import Final, NamedTuple

from gudgeon.sheet.base import Limits
from gudgeon.sheet.check.clearances import numbers_of
from gudgeon.sheet.check.found import SAME, Remark, Remarks, mm
from gudgeon.sheet.load import Loaded
from gudgeon.sheet.scheme import Cells, MarkPair, cells_of, marks_of
from gudgeon.sheet.select import Shells
from gudgeon.sheet.yamltext import Path

#: A table with fewer cells shows no step that could be broken.
_LEAST: Final = 6
#: A cell this share of a step off its place breaks the step.
_SHARE: Final = 0.4
#: One cell in so many may break it; where more do, the table does not step evenly.
_ONE_IN: Final = 8


class Steps(NamedTuple):
    """The even steps of a table of walls [mm].

    Attributes:
        first: the wall of the first cell. down: step for each case mark. along: for each crank
            mark.
    """

    first: float
    down: float
    along: float

    def at(self, row: int, column: int) -> float:
        """The wall that keeps the steps."""
        return self.first + row * self.down + column * self.along


def steps_of(walls: Mapping[tuple[int, int], float]) -> Steps | None:
    """The steps that most neighbours in a table keep; none where there is none to speak of.

    >>> steps_of({(r, c): 1.0 + 3 * r + 2 * c for r in range(3) for c in range(3)})
    Steps(first=1.0, down=3.0, along=2.0)
    """
    down = [walls[r + 1, c] - wall for (r, c), wall in walls.items() if (r + 1, c) in walls]
    along = [walls[r, c + 1] - wall for (r, c), wall in walls.items() if (r, c + 1) in walls]
    if len(walls) < _LEAST or not down or not along:
        return None
    by, on = median(down), median(along)
    if min(abs(by), abs(on)) <= SAME:
        return None
    return Steps(median(wall - r * by - c * on for (r, c), wall in walls.items()), by, on)


def check_even_steps(loaded: Loaded) -> Remarks:
    """A table whose neighbouring cells step evenly has no cell that breaks the step."""
    for name, shells in loaded.sheet.select.shells.items():
        if shells.scheme is not None and shells.scheme.kind == "table" and shells.grades:
            yield from _table(shells, ("select", "shells", name))


def _table(shells: Shells, path: Path) -> Remarks:
    cells, (case, crank) = cells_of(shells), marks_of(shells)
    plain = numbers_of(shells, shells.window or Limits(min=None, max=None))
    at = {
        (case.index(pair[0]), crank.index(pair[1])): pair
        for pair, (upper, lower) in cells.grades.items()
        if upper == lower and upper in plain.walls
    }
    walls = {spot: plain.walls[cells.grades[pair][0]] for spot, pair in at.items()}
    steps = steps_of(walls)
    if steps is None:
        return
    step = min(abs(steps.down), abs(steps.along))
    odd = [spot for spot, wall in walls.items() if abs(wall - steps.at(*spot)) > _SHARE * step]
    if len(odd) > max(1, len(walls) // _ONE_IN):
        return
    for spot in odd:
        pair = at[spot]
        keeps = _grade_of(plain.walls, steps.at(*spot), step)
        if keeps is not None and not plain.fails(pair, cells.grades[pair]):
            yield _remark(path, cells, pair, keeps, spot, steps, (case, crank), plain.walls)


def _grade_of(walls: Mapping[str, float], wanted: float, step: float) -> str | None:
    """The grade with that wall, if the shop can have one."""
    near = min(walls, key=lambda grade: abs(walls[grade] - wanted))
    return near if abs(walls[near] - wanted) <= _SHARE * step else None


def _remark(
    path: Path,
    cells: Cells,
    pair: MarkPair,
    keeps: str,
    spot: tuple[int, int],
    steps: Steps,
    marks: tuple[Sequence[str], Sequence[str]],
    walls: Mapping[str, float],
) -> Remark:
    grade = cells.grades[pair][0]
    (row, column), (case, crank) = spot, marks
    sum_ = (
        f"wall of {case[0]} {crank[0]} by the steps {mm(steps.first)}; {row} × {mm(steps.down)} for"
        f" the case mark, {column} × {mm(steps.along)} for the crank mark: {mm(steps.at(*spot))},"
        f" which is grade {keeps}; grade {grade} is {mm(walls[grade])}"
    )
    return Remark(
        (*path, *cells.paths[pair]),
        f"case {pair[0]} with crank {pair[1]} takes {grade}, which breaks the even step of the"
        " table, though it stays inside the window",
        f"grade {keeps} would continue the step, compare with the manual",
        sum_,
        severity="look",
    )
