"""The oil clearance of every pair of marks as plain numbers, and its arithmetic in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from gudgeon.sheet.base import Limits
from gudgeon.sheet.check.found import outside, span
from gudgeon.sheet.scheme import MarkPair
from gudgeon.sheet.select import Marks, Shells

#: Cells named one by one before the rest is only counted.
MOST_CELLS: Final = 12
Span = tuple[float, float]


@dataclass(frozen=True)
class Numbers:
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


def numbers_of(shells: Shells, window: Limits) -> Numbers:
    """The figures of a group of shells as plain numbers [mm], by the window given."""
    return Numbers(
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


def spoiled(
    cured: Sequence[MarkPair],
    plain: Numbers,
    cells: Mapping[MarkPair, tuple[str, str]],
    shells: Shells,
) -> str:
    """The cells one wrong figure spoils, with the sum of the first."""
    names = ", ".join(f"{case} {crank}" for case, crank in cured[:MOST_CELLS])
    more = f" and {len(cured) - MOST_CELLS} more" if len(cured) > MOST_CELLS else ""
    return f"it spoils {names}{more}: {sum_of(cured[0], cells[cured[0]], plain, shells)}"


def sum_of(pair: MarkPair, grades: tuple[str, str], plain: Numbers, shells: Shells) -> str:
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
