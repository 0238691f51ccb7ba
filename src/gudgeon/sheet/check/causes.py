"""Many cells that leave the window, and the one figure that would clear most of them.

Tried in turn: the range of one mark, one wall, and, where most cells fail and no grade would help,
the window itself. A range or a wall may only move as far as its neighbours in the row let it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from gudgeon.sheet.check.clearances import Numbers, Span
from gudgeon.sheet.check.found import SAME, limits_text, span
from gudgeon.sheet.scheme import MarkPair
from gudgeon.sheet.select import Shells
from gudgeon.sheet.yamltext import Path

#: Fewer cells are told one by one.
_LEAST: Final = 2
#: Share of all cells that must fail before the window itself is doubted.
_MOST_FAIL: Final = 2 / 3
Grades = Mapping[MarkPair, tuple[str, str]]


class Cause(NamedTuple):
    """One figure, and the cells that stay inside once it is mended.

    Attributes:
        path: where it stands in the group of shells. wrong, right: as in a remark.
        clears: the failing cells that it would clear.
    """

    path: Path
    wrong: str
    right: str
    clears: tuple[MarkPair, ...]


def one_cause(
    shells: Shells, plain: Numbers, cells: Grades, failing: Sequence[MarkPair]
) -> Cause | None:
    """The change of one figure that clears most of the failing cells; none below two of them.

    Where two figures would clear equally many, nothing tells them apart, and neither is blamed
    unless it clears all.
    """
    if len(failing) < _LEAST:
        return None
    found = [*_ranges(plain, cells, failing), *_walls(shells, plain, cells, failing)]
    found = [cause for cause in found if len(cause.clears) >= _LEAST]
    window = _window(plain, cells, failing)
    if window is not None:
        found = [cause for cause in found if len(cause.clears) == len(failing)] or [window]
    found.sort(key=lambda cause: -len(cause.clears))
    if not found:
        return None
    best = found[0]
    alike = [cause for cause in found if len(cause.clears) == len(best.clears)]
    if len(alike) > 1 and len(best.clears) < len(failing):
        return None
    return best


def _ranges(plain: Numbers, cells: Grades, failing: Sequence[MarkPair]) -> Iterator[Cause]:
    """The range of one mark, of the case or of the crank."""
    for side, key in ((0, "case"), (1, "crank")):
        spans = plain.case if side == 0 else plain.crank
        for mark in spans:
            mine = [(pair, grades) for pair, grades in cells.items() if pair[side] == mark]
            clears = tuple(pair for pair in failing if pair[side] == mark)
            if len(clears) < _LEAST:
                continue
            room = _room(plain, mine, side)
            if room is None or not _between(spans, mark, room):
                continue
            yield Cause(
                (key, "marks", mark),
                f"the range of {key} mark {mark}, {span(*spans[mark])}, makes {len(clears)} cells"
                f" leave the window {limits_text(plain.window)}",
                f"a range inside {span(*room)} would clear them all",
                clears,
            )


def _room(
    plain: Numbers, mine: Sequence[tuple[MarkPair, tuple[str, str]]], side: int
) -> Span | None:
    """Within which a mark's range keeps all its cells inside; none where nothing would."""
    low, high = float("-inf"), float("inf")
    least, most = plain.window.min, plain.window.max
    for pair, grades in mine:
        other = plain.crank.get(pair[1]) if side == 0 else plain.case.get(pair[0])
        if other is None or any(grade not in plain.walls for grade in grades):
            continue
        both = sum(plain.walls[grade] for grade in grades)
        spread = 2 * plain.tolerance
        # The sums at the head of grades.py, solved for the range of this mark.
        if side == 0:
            low = max(low, float("-inf") if least is None else least + other[1] + both + spread)
            high = min(high, float("inf") if most is None else most + other[0] + both - spread)
        else:
            high = min(high, float("inf") if least is None else other[0] - both - spread - least)
            low = max(low, float("-inf") if most is None else other[1] - both + spread - most)
    if low == float("-inf") or high == float("inf") or high - low <= SAME:
        return None
    return low, high


def _between(spans: Mapping[str, Span], mark: str, room: Span) -> bool:
    """Whether a range in that room would still stand between those of its neighbours."""
    marks = list(spans)
    place = marks.index(mark)
    others = [sum(spans[name]) / 2 for name in marks if name != mark]
    rising = others == sorted(others)
    if not rising and others != sorted(others, reverse=True):
        return True
    before, after = marks[:place][-1:], marks[place + 1 :][:1]
    lower, upper = (before, after) if rising else (after, before)
    return all(room[1] > sum(spans[name]) / 2 for name in lower) and all(
        room[0] < sum(spans[name]) / 2 for name in upper
    )


def _walls(
    shells: Shells, plain: Numbers, cells: Grades, failing: Sequence[MarkPair]
) -> Iterator[Cause]:
    """The wall of one grade."""
    order = list(plain.walls)
    for place, grade in enumerate(order):
        clears = tuple(pair for pair in failing if grade in cells[pair])
        if len(clears) < _LEAST:
            continue
        low, high = float("-inf"), float("inf")
        for pair, grades in cells.items():
            found = plain.clearance(pair, grades) if grade in grades else None
            if found is None:
                continue
            share = grades.count(grade)
            now = plain.walls[grade]
            if plain.window.min is not None:  # a thicker wall takes clearance away
                high = min(high, now + (found[0] - plain.window.min) / share)
            if plain.window.max is not None:
                low = max(low, now + (found[1] - plain.window.max) / share)
        if low - high > SAME or high - low == float("inf"):
            continue
        near = [plain.walls[name] for name in (*order[:place][-1:], *order[place + 1 :][:1])]
        if len(near) == 2 and not (low < max(near) - SAME and high > min(near) + SAME):
            continue
        if len(near) < 2 and len(order) > 2 and not _outer(plain, order, place, low, high):
            continue
        yield Cause(
            ("grades", grade, "wall"),
            f"the wall of grade {grade}, {shells.grades[grade].wall}, makes {len(clears)} cells"
            f" leave the window {limits_text(plain.window)}",
            f"a wall inside {span(low, high)} would clear them all",
            clears,
        )


def _outer(plain: Numbers, order: Sequence[str], place: int, low: float, high: float) -> bool:
    """Whether the first or last wall would still lie beyond its neighbour."""
    inner, next_ = (order[1], order[2]) if place == 0 else (order[-2], order[-3])
    rising = plain.walls[inner] > plain.walls[next_]
    return high > plain.walls[inner] + SAME if rising else low < plain.walls[inner] - SAME


def _window(plain: Numbers, cells: Grades, failing: Sequence[MarkPair]) -> Cause | None:
    """The window itself, where most cells leave it and no grade would keep them inside."""
    spans = [found for pair, grades in cells.items() if (found := plain.clearance(pair, grades))]
    hopeless = [
        pair for pair in failing if all(plain.fails(pair, (grade, grade)) for grade in plain.walls)
    ]
    if len(hopeless) < _LEAST or len(hopeless) < _MOST_FAIL * len(spans):
        return None
    together = span(min(low for low, _ in spans), max(high for _, high in spans))
    return Cause(
        ("window",),
        f"{len(failing)} of {len(spans)} cells leave the window {limits_text(plain.window)}, and no"
        " grade would keep them inside",
        f"the cells give {together} together, check the window and the wall-tolerance",
        tuple(failing),
    )
