"""An engine's outline as it stands on the shelf, from what its sheet says: how many cylinders,
how they stand, how long the stroke is for the bore. An inline engine is seen across its crank, a V
or flat one along it."""

from __future__ import annotations

import math
from typing import Final

from gudgeon.record.engine_places import banks_of, cylinder_names
from gudgeon.record.svg import CENTRE, MEDIUM, SCREEN, THIN, Board, Point
from gudgeon.sheet.model import Sheet

#: Size of the drawing, and of a bore in it [mm].
WIDTH: Final = 64.0
HEIGHT: Final = 44.0
_HEAVY: Final = 0.7
_FLOOR: Final = HEIGHT - 0.35


def outline(sheet: Sheet) -> str:
    """The outline as SVG, in the colours of the page; it stands on its lower edge."""
    board = Board(WIDTH, HEIGHT, SCREEN)
    banks, _ = banks_of(sheet)
    names = cylinder_names(sheet)
    if not names:
        _crate(board)
    elif sheet.engine.layout.kind == "inline" or len(banks) != 2:
        _inline(board, len(names), _stroke_share(sheet))
    else:
        flat = sheet.engine.layout.kind == "flat"
        angle = 180.0 if flat else (sheet.engine.layout.angle or 90.0)
        _banked(board, math.radians(float(angle) / 2), _stroke_share(sheet))
    return board.svg(words_for(sheet))


def words_for(sheet: Sheet) -> str:
    """What the outline shows, in words."""
    count = len(cylinder_names(sheet))
    if not count:
        return "an engine whose sheet names no cylinders yet"
    kind = {"inline": "in line", "v": "in a V", "flat": "flat"}[sheet.engine.layout.kind]
    return "one cylinder" if count == 1 else f"{count} cylinders {kind}"


def _stroke_share(sheet: Sheet) -> float:
    """Stroke over bore, kept within what can be drawn; 0.8 where the sheet gives neither."""
    bore, stroke = sheet.engine.bore, sheet.engine.stroke
    share = float(stroke) / float(bore) if bore and stroke else 0.8
    return min(1.4, max(0.5, share))


def _inline(board: Board, count: int, share: float) -> None:
    """Case, barrels, head and cover, one above the other, a centre line through each bore."""
    pitch = min(13.0, 52.0 / count)
    bore = pitch * 0.78
    wide = pitch * count + 2.0
    left = (WIDTH - wide) / 2
    case, head = 13.0, 5.0
    barrel = max(6.0, min(17.0, bore * share * 1.25))
    foot = _FLOOR - case
    _case(board, left - 3.0, left + wide + 3.0, foot)
    for number in range(count):
        x = left + 1.0 + pitch * (number + 0.5)
        board.rect((x - bore / 2, foot - barrel), bore, barrel, MEDIUM, fill="paper")
    top = foot - barrel - head
    board.rect((left, top), wide, head, _HEAVY, fill="paper")
    board.rect((left + 0.8, top - 3.6), wide - 1.6, 3.6, MEDIUM, fill="paper", round_=1.6)
    board.line((left, foot - barrel), (left, foot), _HEAVY)
    board.line((left + wide, foot - barrel), (left + wide, foot), _HEAVY)
    for number in range(count):
        x = left + 1.0 + pitch * (number + 0.5)
        board.line((x, top - 6.4), (x, foot + 9.0), THIN, "line", CENTRE)
    board.line((left - 6.0, foot + 6.5), (left + wide + 6.0, foot + 6.5), THIN, "line", CENTRE)


def _case(board: Board, left: float, right: float, top: float) -> None:
    """A case with its lower corners cut, standing on the floor."""
    cut = 4.0
    board.path(
        [
            (left, top),
            (right, top),
            (right, _FLOOR - cut),
            (right - cut, _FLOOR),
            (left + cut, _FLOOR),
            (left, _FLOOR - cut),
        ],
        _HEAVY,
        fill="paper",
        closed=True,
    )


def _banked(board: Board, half: float, share: float) -> None:
    """Two banks leaning out from a round case."""
    radius = 9.0
    centre = (WIDTH / 2, _FLOOR - radius)
    long = radius + max(5.0, min(11.0, 9.5 * share)) * (1.0 if half < 1.2 else 0.62)
    for way in (-1, 1):
        turn = way * half
        _box(board, centre, turn, (radius * 0.7, long), 10.5, MEDIUM)
        _box(board, centre, turn, (long, long + 4.4), 13.2, _HEAVY)
        _box(board, centre, turn, (long + 4.4, long + 7.6), 11.4, MEDIUM)
        tip = _at(centre, turn, long + 10.0, 0.0)
        board.line(_at(centre, turn, radius * 0.4, 0.0), tip, THIN, "line", CENTRE)
    board.circle(centre, radius, _HEAVY, fill="paper")
    board.centre_cross(centre, radius * 0.45)
    for way in (-1, 1):
        board.line(
            (centre[0] + way * radius * 0.95, _FLOOR), (centre[0] + way * 3.0, _FLOOR), _HEAVY
        )


def _at(centre: Point, turn: float, out: float, side: float) -> Point:
    """A point of a bank: so far out from the crank, so far to the side [mm]."""
    return (
        centre[0] + math.sin(turn) * out + math.cos(turn) * side,
        centre[1] - math.cos(turn) * out + math.sin(turn) * side,
    )


def _box(
    board: Board, centre: Point, turn: float, reach: Point, wide: float, weight: float
) -> None:
    """A box across a bank, between two distances from the crank."""
    near, far = reach
    corners = ((near, -1), (near, 1), (far, 1), (far, -1))
    points = [_at(centre, turn, out, side * wide / 2) for out, side in corners]
    board.path(points, weight, fill="paper", closed=True)


def _crate(board: Board) -> None:
    """An engine that is not drawn yet: a plain crate."""
    left, top = 16.0, 16.0
    board.rect((left, top), WIDTH - 2 * left, _FLOOR - top, _HEAVY, fill="paper", dash="2 1.2")
