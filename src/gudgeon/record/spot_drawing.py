"""Where on a part a reading is taken: a bore or a shaft in section, its end, a face, a gap.

Each level of a plan is a group named `axis=level`, so that a page can show the one that is meant.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from gudgeon.record.svg import CENTRE, MEDIUM, PRINT, THICK, THIN, Board, Ink, Point, fitting

WIDTH: Final = 76.0
HEIGHT: Final = 40.0
#: Axes of a plan that go round a part; the others go along it.
AROUND: Final = ("axis", "angle")
#: Levels that go round a part, in degrees from the horizontal.
_TURNS: Final = {"thrust": 0.0, "pin": 90.0, "across": 0.0, "along": 90.0}
_FACE: Final[dict[str, tuple[Point, Point]]] = {
    "front": ((0.0, 1.0), (1.0, 1.0)),
    "rear": ((0.0, 0.0), (1.0, 0.0)),
    "left": ((0.0, 0.0), (0.0, 1.0)),
    "right": ((1.0, 0.0), (1.0, 1.0)),
    "diagonal-1": ((0.0, 0.0), (1.0, 1.0)),
    "diagonal-2": ((0.0, 1.0), (1.0, 0.0)),
}


def spot_drawing(
    axes: Mapping[str, Sequence[str]],
    kind: str,
    at: str,
    wears: str | None,
    ink: Ink = PRINT,
) -> str:
    """The spots of one feature as SVG.

    Args:
        axes: its plan, axis by axis. kind: sort of reading. at: kind of place.
        wears: `larger` for a hole, `smaller` for a shaft.
        ink: colours and faces.
    """
    board = Board(WIDTH, HEIGHT, ink)
    hole = wears == "larger"
    along = [(axis, levels) for axis, levels in axes.items() if axis not in AROUND]
    around = [(axis, levels) for axis, levels in axes.items() if axis in AROUND]
    if kind == "gap":
        _gap(board, at)
    elif kind == "height":
        _height(board)
    elif kind == "flatness" or (along and along[0][0] == "line"):
        _face(board, along)
    elif kind == "run-out":
        _run_out(board)
    elif kind == "mass":
        _mass(board)
    else:
        _section(board, hole, along[0] if along else None)
        _end(board, hole, around[0] if around else None)
    return board.svg(_title(axes, at))


def _title(axes: Mapping[str, Sequence[str]], at: str) -> str:
    told = "; ".join(f"{axis}: {', '.join(levels)}" for axis, levels in axes.items())
    return f"where the {at} is read" + (f", {told}" if told else "")


def _section(board: Board, hole: bool, along: tuple[str, Sequence[str]] | None) -> None:
    """A hole or a shaft cut along its axis, its levels as lines of dimension."""
    left, right, top, foot = 6.0, 30.0, 3.0, 37.0
    if hole:
        for x in (left, right - 4.0):
            _hatched(board, (x, top), 4.0, foot - top)
        inner = (left + 4.0, right - 4.0)
    else:
        inner = (left + 5.0, right - 5.0)
        board.rect((inner[0], top), inner[1] - inner[0], foot - top, THICK, fill="paper")
    middle = (inner[0] + inner[1]) / 2.0
    board.line((middle, top - 2.0), (middle, foot + 2.0), THIN, "line", CENTRE)
    axis, levels = along if along else ("", ("",))
    for number, level in enumerate(levels):
        y = top + (foot - top) * (number + 0.5) / len(levels)
        board.open_group("spot", f"{axis}={level}" if axis else "only")
        _across(board, hole, inner, y)
        if level:
            size = fitting(level, 13.0, 3.2)
            board.text((right + 1.5, y + size * 0.36), level, size, "start")
        board.close_group()


def _across(board: Board, hole: bool, inner: tuple[float, float], y: float) -> None:
    """A size taken across at one level: from inside a hole, or from outside a shaft."""
    low, high = inner
    middle = (low + high) / 2.0
    if hole:
        board.arrow((low, y), (middle, y))
        board.arrow((high, y), (middle, y))
    else:
        board.arrow((low, y), (low - 6.0, y))
        board.arrow((high, y), (high + 6.0, y))


def _end(board: Board, hole: bool, around: tuple[str, Sequence[str]] | None) -> None:
    """The end of a hole or shaft, its directions as lines of dimension."""
    centre, radius = (61.0, 20.0), 10.0
    if around is None:
        return
    if hole:
        board.circle(centre, radius + 1.6, THIN)
    board.circle(centre, radius, THICK, fill="paper")
    axis, levels = around
    for number, level in enumerate(levels):
        angle = math.radians(_turn(level, number, len(levels)))
        way = (math.cos(angle), -math.sin(angle))
        board.open_group("spot", f"{axis}={level}")
        for sign in (1.0, -1.0):
            tip = (centre[0] + sign * way[0] * radius, centre[1] + sign * way[1] * radius)
            board.arrow(tip, centre)
        out = radius + 3.2
        at = (centre[0] + way[0] * out, centre[1] + way[1] * out)
        size = 2.9
        if abs(way[0]) > 0.95:
            board.text((centre[0], centre[1] + radius + 5.5), level, size)
        else:
            board.text((at[0], at[1] + 0.9 * (way[1] > 0)), level, size)
        board.close_group()


def _turn(level: str, number: int, count: int) -> float:
    """The direction of a level [degrees from the horizontal]."""
    if level in _TURNS:
        return _TURNS[level]
    return float(level) if level.isdigit() else 180.0 * number / count


def _hatched(board: Board, corner: Point, width: float, height: float) -> None:
    """A cut face: an outline with slanting lines."""
    x, y = corner
    for a, b in _slants(width, height, 2.6):
        board.line((x + a[0], y + a[1]), (x + b[0], y + b[1]), THIN)
    board.rect(corner, width, height, MEDIUM)


def _slants(width: float, height: float, step: float) -> Iterator[tuple[Point, Point]]:
    """Lines at 45 degrees across a rectangle, from its left and lower edges upwards."""
    reach = step
    while reach < width + height:
        yield (
            (max(0.0, reach - height), min(reach, height)),
            (min(reach, width), max(0.0, reach - width)),
        )
        reach += step


def _face(board: Board, along: Sequence[tuple[str, Sequence[str]]]) -> None:
    """A face from above, with the lines along which it is read."""
    left, top, width, height = 12.0, 8.0, 50.0, 24.0
    board.rect((left, top), width, height, THICK, fill="paper")
    for axis, levels in along:
        for number, level in enumerate(levels):
            even = (number + 0.5) / len(levels)
            a, b = _FACE.get(level, ((0.0, even), (1.0, even)))
            board.open_group("spot", f"{axis}={level}")
            ends = [
                (left + 3.0 + (width - 6.0) * x, top + 3.0 + (height - 6.0) * y) for x, y in (a, b)
            ]
            board.line(ends[0], ends[1], THIN)
            board.close_group()
    board.text((left + width / 2, top + height + 5.0), "front", 3.0)
    board.text((left + width / 2, top - 2.0), "rear", 3.0)


def _gap(board: Board, at: str) -> None:
    """A gap: a lobe over a bucket at a valve, two faces elsewhere."""
    if at == "valve":
        base, top = (38.0, 11.0), 21.4
        board.curve(
            "M 31.6 8.6 A 6.8 6.8 0 1 0 44.4 8.6 L 40.4 1.2 A 2.8 2.8 0 0 0 35.6 1.2 Z", 0.5
        )
        board.circle(base, 0.6, MEDIUM)
        _hatched(board, (29.0, top), 18.0, 2.6)
        board.rect((29.0, top), 18.0, 12.0, THICK)
        board.line((38.0, top + 2.6), (38.0, 39.0), THICK)
        low, high = 17.8, top
    else:
        _hatched(board, (24.0, 4.0), 28.0, 12.0)
        _hatched(board, (24.0, 24.0), 28.0, 12.0)
        low, high = 16.0, 24.0
    board.open_group("spot", "only")
    board.line((47.5, low), (58.0, low), THIN)
    board.line((47.5, high), (58.0, high), THIN)
    board.arrow((55.0, low), (55.0, low - 7.0))
    board.arrow((55.0, high), (55.0, high + 7.0))
    board.close_group()


def _height(board: Board) -> None:
    """A height above a seat: a stem tip, its spring seat, and the depth between them."""
    _hatched(board, (14.0, 30.0), 34.0, 6.0)
    board.rect((28.0, 6.0), 6.0, 24.0, THICK, fill="paper")
    board.open_group("spot", "only")
    board.line((36.0, 6.0), (58.0, 6.0), THIN)
    board.line((50.0, 30.0), (58.0, 30.0), THIN)
    board.arrow((55.0, 6.0), (55.0, 18.0))
    board.arrow((55.0, 30.0), (55.0, 18.0))
    board.close_group()


def _run_out(board: Board) -> None:
    """A shaft on two supports, a dial over its middle."""
    board.rect((8.0, 22.0), 60.0, 6.0, THICK, fill="paper")
    for x in (14.0, 62.0):
        board.path([(x - 4.0, 36.0), (x, 28.0), (x + 4.0, 36.0)], MEDIUM, closed=True)
    board.line((4.0, 25.0), (72.0, 25.0), THIN, "line", CENTRE)
    board.open_group("spot", "only")
    board.circle((38.0, 9.0), 6.0, MEDIUM, fill="paper")
    board.line((38.0, 9.0), (41.0, 5.6), THIN)
    board.arrow((38.0, 22.0), (38.0, 15.0))
    board.close_group()


def _mass(board: Board) -> None:
    """A pan with something on it."""
    board.rect((22.0, 26.0), 32.0, 8.0, THICK, fill="paper")
    board.line((18.0, 24.0), (58.0, 24.0), THICK)
    board.open_group("spot", "only")
    board.circle((38.0, 17.0), 6.4, MEDIUM)
    board.close_group()
