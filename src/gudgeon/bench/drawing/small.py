"""Small figures beside numbers: where a clearance is expected to land, where the crank stands, what
buying more would do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from gudgeon.record.figures import percent
from gudgeon.record.svg import MEDIUM, SCREEN, THICK, THIN, Board, Shade

_POINTS: Final = 41


class Landing(NamedTuple):
    """A window and what is expected to land in it [mm].

    Attributes:
        low, high: the window. aim: aimed at. value, u: forecast and its standard uncertainty.
        built: what was read after the build.
    """

    low: float
    high: float
    aim: float | None = None
    value: float | None = None
    u: float = 0.0
    built: float | None = None


def landing(item: Landing, words: str, width: float = 62.0) -> str:
    """A window as an open box, the forecast in it as a hump, a cross for what was read, as SVG."""
    board = Board(width, 11.5, SCREEN)
    room = max(item.high - item.low, 1e-6)
    low, high = item.low - 0.45 * room, item.high + 0.45 * room
    foot = 7.6

    def x(at: float) -> float:
        return 2.0 + (width - 4.0) * (min(max(at, low), high) - low) / (high - low)

    board.line((1.0, foot), (width - 1.0, foot), THIN, "faint")
    for end, way in ((item.low, 1), (item.high, -1)):
        lip = x(end) + way * 1.6
        board.path([(lip, 0.6), (x(end), 0.6), (x(end), foot), (lip, foot)], THICK)
        board.text((x(end), foot + 3.2), _end(end), 2.9, face="figures")
    if item.aim is not None:
        board.line((x(item.aim), 0.6), (x(item.aim), foot), THIN, "line", "0.8 0.6")
    if item.value is not None:
        _hump(board, item.value, item.u, foot, (low, high), width)
    if item.built is not None:
        at, up = x(item.built), foot - 3.4
        board.line((at - 1.3, up - 1.3), (at + 1.3, up + 1.3), THICK)
        board.line((at - 1.3, up + 1.3), (at + 1.3, up - 1.3), THICK)
    return board.svg(words)


def _end(at: float) -> str:
    """An end of a window with two decimals, or as many as it needs.

    >>> _end(0.2), _end(0.044)
    ('0.20', '0.044')
    """
    return f"{at:.3f}" if abs(round(at, 2) - at) > 5e-5 else f"{at:.2f}"


def _hump(
    board: Board, value: float, u: float, foot: float, reach: tuple[float, float], width: float
) -> None:
    """The spread of a forecast, or an arrow where it lies off the scale."""
    low, high = reach

    def x(at: float) -> float:
        return 2.0 + (width - 4.0) * (min(max(at, low), high) - low) / (high - low)

    if not low <= value <= high:
        way = 1 if value > high else -1
        board.arrow((x(value) + way * 1.5, foot - 3), (x(value) - way * 8, foot - 3), 2.8, 0.35)
        return
    if u > 0:
        steps = [6.0 * number / (_POINTS - 1) - 3.0 for number in range(_POINTS)]
        points = [(x(value + z * u), foot - 6.2 * math.exp(-z * z / 2)) for z in steps]
        board.path(points, 0.36, "reading")
        board.line((x(value - 2 * u), foot), (x(value + 2 * u), foot), 0.9, "reading")
    board.line((x(value), foot - 6.2), (x(value), foot), 0.22, "reading")
    board.circle((x(value), foot), 0.9, 0.1, "reading", "reading")


def dial(angle: float, words: str) -> str:
    """Where the crank stands: a disc with the angle turned from the first top centre, as SVG.

    Two turns make a cycle; the second is drawn as a second ring.
    """
    board = Board(26.0, 26.0, SCREEN)
    centre, r = (13.0, 13.5), 9.5
    board.circle(centre, r, MEDIUM, fill="paper")
    board.centre_cross(centre, r + 1.8)
    board.path([(11.6, 0.6), (14.4, 0.6), (13.0, 3.4)], 0.1, fill="line", closed=True)
    turned = math.radians(angle % 360)
    tip = (centre[0] + math.sin(turned) * r, centre[1] - math.cos(turned) * r)
    board.line(centre, tip, 0.7, "reading")
    board.circle(tip, 1.3, 0.1, "reading", "reading")
    board.circle(centre, 1.2, MEDIUM, fill="paper")
    if angle % 720 >= 360:
        board.circle(centre, r - 2.4, MEDIUM, "reading")
    return board.svg(words)


class Step(NamedTuple):
    """What a number of purchases does: how many, the chance, whether it was picked."""

    bought: int
    chance: float
    chosen: bool


def stairs(steps: Sequence[Step], words: str) -> str:
    """The chance over the number of pieces bought, as SVG: the picked one is solid."""
    width, high = 92.0, 44.0
    board = Board(width, high, SCREEN)
    left, right, top, foot = 20.0, width - 6.0, 5.0, high - 9.0
    least = min(step.chance for step in steps)
    floor = max(0.0, least - 0.25 * max(1.0 - least, 0.02))
    most, fewest = max(step.bought for step in steps), min(step.bought for step in steps)

    def at(step: Step) -> tuple[float, float]:
        share = (step.bought - fewest) / (most - fewest) if most > fewest else 0.5
        rise = (step.chance - floor) / (1.0 - floor) if floor < 1.0 else 1.0
        return left + 6.0 + (right - left - 12.0) * share, foot - (foot - top) * rise

    board.line((left, top), (right, top), THIN, "faint", "1.6 0.8")
    board.text((left - 1.5, top + 1.2), "100 %", 3.2, "end", face="figures")
    board.line((left, foot), (right, foot), MEDIUM)
    points = [at(step) for step in steps]
    run = [points[0]]
    for (x1, y1), (x2, y2) in pairwise(points):
        run += [(x2, y1)] if (x1, y1) != (x2, y2) else []
        run.append((x2, y2))
    board.path(run, MEDIUM, "reading")
    for step, (x, y) in zip(steps, points, strict=True):
        fill: Shade = "reading" if step.chosen else "paper"
        board.circle((x, y), 1.9 if step.chosen else 1.4, 0.4, "reading", fill)
        board.text((x, foot + 5.2), str(step.bought), 4.0, face="figures", bold=step.chosen)
        if step.chosen:
            board.line((x, y + 1.9), (x, foot), THIN, "reading", "0.8 0.6")
            board.text((left - 1.5, y + 1.2), percent(step.chance), 3.2, "end", face="figures")
    return board.svg(words)
