"""A V or flat engine seen along its crank, with the angle between its banks."""

from __future__ import annotations

import math

from gudgeon.record.engine_places import banks_of
from gudgeon.record.svg import CENTRE, MEDIUM, PRINT, THICK, THIN, Board, Ink
from gudgeon.sheet.model import Sheet


def draw_end(sheet: Sheet, ink: Ink = PRINT, width: float = 60.0) -> str | None:
    """A V or flat engine seen along its crank, with its bank angle; nothing for an inline one."""
    kind = sheet.engine.layout.kind
    banks, _ = banks_of(sheet)
    if kind == "inline" or len(banks) != 2:
        return None
    angle = 180.0 if kind == "flat" else sheet.engine.layout.angle
    drawn = angle if angle is not None else 90.0
    half = math.radians(drawn / 2)
    long, wide = width * (0.28 if half > 1.2 else 0.38), width * 0.17
    top = 9.0 + max(long * math.cos(half), 0.0) + wide / 2 * math.sin(half)
    centre = (width / 2, max(top, long * 0.62 + 5.0) + 4.0)
    board = Board(width, centre[1] + 12.0, ink)
    names = sorted(banks, key=lambda bank: "right" in bank.lower() or "rear" in bank.lower())
    for way, bank in zip((-1, 1), names, strict=True):
        _end_barrel(board, centre, way * half, long, wide)
        reach = long + (5.0 if half <= 1.2 else 8.5)
        at = (centre[0] + way * math.sin(half) * reach, centre[1] - math.cos(half) * reach)
        words = f"{bank.strip()} {' '.join(banks[bank])}".strip()
        board.text((at[0], at[1] + 0.9), words, 2.5, face="figures")
    board.circle(centre, 6.0, THICK, fill="paper")
    board.centre_cross(centre, 8.0)
    words = f"{drawn:g}°" if angle is not None else "angle not given"
    _angle_arc(board, centre, half, long * (0.62 if half > 1.2 else 0.98), words)
    return board.svg(f"{sheet.engine.name} seen along the crank, {words}")


def _end_barrel(
    board: Board, centre: tuple[float, float], turn: float, long: float, wide: float
) -> None:
    """A barrel standing out from the crank at an angle to the upright [rad]."""

    def at(out: float, side: float) -> tuple[float, float]:
        return (
            centre[0] + math.sin(turn) * out + math.cos(turn) * side,
            centre[1] - math.cos(turn) * out + math.sin(turn) * side,
        )

    for side in (-wide / 2, wide / 2):
        board.line(at(7.0, side), at(long, side), THICK)
        board.line(at(7.0, side * 0.76), at(long, side * 0.76), THIN)
    board.line(at(long, -wide / 2), at(long, wide / 2), THICK)
    board.line(at(7.0, -wide / 2), at(7.0, wide / 2), MEDIUM)
    board.line(at(0.0, 0.0), at(long + 2.0, 0.0), THIN, "line", CENTRE)


def _angle_arc(
    board: Board, centre: tuple[float, float], half: float, radius: float, words: str
) -> None:
    """The angle between the banks, dimensioned as on a drawing."""
    dx, dy = math.sin(half) * radius, math.cos(half) * radius
    a, b = (centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] - dy)
    board.curve(
        f"M{a[0]:.2f} {a[1]:.2f}A{radius:.2f} {radius:.2f} 0 0 1 {b[0]:.2f} {b[1]:.2f}", THIN
    )
    size = 2.6
    at = (centre[0], centre[1] - radius + 0.9)
    wide = 0.66 * size * len(words)
    board.rect((at[0] - wide / 2, at[1] - 2.6), wide, 3.4, 0.01, "paper", "paper")
    board.text(at, words, size, face="figures")
