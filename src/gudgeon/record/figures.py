"""Small figures for the record: a value beside its limits, chances of landing in a window."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from gudgeon.record.svg import PRINT, THIN, Board, Ink, Point, fitting

ROW: Final = 5.6
_HUMP: Final = 41
#: Where a value [mm] lies on paper [mm].
Scale = Callable[[float], float]


@dataclass(frozen=True, slots=True)
class Band:
    """Limits of one kind [mm]; either may be missing."""

    low: float | None = None
    high: float | None = None

    @property
    def ends(self) -> tuple[float, ...]:
        """The limits that are given."""
        return tuple(end for end in (self.low, self.high) if end is not None)


@dataclass(frozen=True, slots=True)
class Strip:
    """One row of a strip figure.

    Attributes:
        place: what stands at the left. low, high: the window [mm]. aim: aimed at [mm].
        value: forecast [mm]; none where nothing can be forecast. u: its standard uncertainty [mm].
        chance: of landing inside, from 0 to 1. built: what was read after the build [mm].
    """

    place: str
    low: float
    high: float
    aim: float | None = None
    value: float | None = None
    u: float = 0.0
    chance: float | None = None
    built: float | None = None


def percent(chance: float) -> str:
    """A chance in per cent, never rounded to a certainty it hasn't got.

    >>> percent(0.9996), percent(0.42), percent(0.0003), percent(1.0)
    ('>99.9 %', '42.0 %', '<0.1 %', '>99.9 %')
    """
    if chance > 0.9995:
        return ">99.9 %"
    if chance < 0.0005:
        return "<0.1 %"
    return f"{min(100 * chance, 99.9):.1f} %"


def verdict_strip(
    value: float | None,
    expanded_u: float,
    new: Band,
    service: Band,
    ink: Ink = PRINT,
    width: float = 32.0,
) -> str | None:
    """A value ± U [mm] on a line with its limits; nothing where there is no limit or no value.

    The new range is a box, a service limit a thick stroke with its hatched, forbidden side.
    """
    ends = (*new.ends, *service.ends)
    if value is None or not ends or not math.isfinite(value):
        return None
    board = Board(width, 4.0, ink)
    low, high = _strip_reach(value, expanded_u, ends)
    middle = 2.0

    def x(at: float) -> float:
        return 2.0 + (width - 4.0) * (min(max(at, low), high) - low) / (high - low)

    board.line((1.0, middle), (width - 1.0, middle), 0.12, "faint")
    if new.low is not None or new.high is not None:
        left = x(new.low) if new.low is not None else 1.0
        right = x(new.high) if new.high is not None else width - 1.0
        board.rect((left, middle - 1.1), max(right - left, 0.2), 2.2, 0.18)
    for end, way in ((service.low, -1), (service.high, 1)):
        if end is not None:
            _wall(board, x(end), middle, way)
    if low <= value <= high:
        _dot(board, (x(value), middle), [x(value + way * expanded_u) for way in (-1, 1)])
    else:
        _off_scale(board, (x(value), middle), 1 if value > high else -1)
    return board.svg("value and uncertainty against the limits")


def _dot(board: Board, at: Point, reach: Sequence[float]) -> None:
    """A value with its uncertainty bar."""
    if reach[1] > reach[0]:
        board.line((reach[0], at[1]), (reach[1], at[1]), 0.36, "reading")
        for end in reach:
            board.line((end, at[1] - 0.7), (end, at[1] + 0.7), 0.25, "reading")
    board.circle(at, 0.75, 0.1, "reading", "reading")


def _off_scale(board: Board, at: Point, way: int) -> None:
    """A value too far off to draw: an arrow that way."""
    x, y = at
    tip = [(x + way * 1.2, y), (x - way * 0.8, y - 1), (x - way * 0.8, y + 1)]
    board.path(tip, 0.1, "reading", "reading", closed=True)


def _strip_reach(value: float, expanded_u: float, ends: tuple[float, ...]) -> tuple[float, float]:
    """The scale of a strip [mm]: its limits, and the value unless it lies far outside them."""
    low, high = min(ends), max(ends)
    far = max(high - low, 20.0 * expanded_u, min(abs(high), 0.05))
    if low - far <= value < low:
        low = value
    elif high < value <= high + far:
        high = value
    spread = max(high - low, 4.0 * expanded_u, 1e-4)
    return low - 0.3 * spread, high + 0.3 * spread


def _wall(board: Board, x: float, middle: float, way: int) -> None:
    """A service limit: a thick stroke, with short hatching on the side that is not allowed."""
    board.line((x, middle - 1.8), (x, middle + 1.8), 0.42)
    for step in (-1.6, -0.5, 0.6):
        board.line((x, middle + step + 1.0), (x + way * 1.0, middle + step), 0.1)


def chance_strips(
    rows: Sequence[Strip], ink: Ink = PRINT, width: float = 172.0, decimals: int = 2
) -> str:
    """Windows with the forecast in each as a hump, and the chance of landing inside, as SVG.

    All rows share one scale [mm], so that they can be compared.
    """
    board = Board(width, ROW * len(rows) + 8.5, ink)
    left, right = 30.0, width - 24.0
    low, high = _reach(rows)

    def x(at: float) -> float:
        return left + (right - left) * (min(max(at, low), high) - low) / (high - low)

    foot = ROW * len(rows) + 3.0
    for tick in _ticks(low, high):
        board.line((x(tick), 2.0), (x(tick), foot), 0.08, "faint")
        board.text((x(tick), foot + 3.2), f"{tick:.{decimals}f}", 2.2, face="figures")
    board.text((right + 3.0, foot + 3.2), "mm", 2.2, "start", face="figures")
    for number, row in enumerate(rows):
        _strip(board, row, 2.0 + ROW * (number + 1), (left, right), x)
    return board.svg(
        "; ".join(
            f"{row.place}: {percent(row.chance)}" for row in rows[:8] if row.chance is not None
        )
        or "windows without a forecast"
    )


def _reach(rows: Sequence[Strip]) -> tuple[float, float]:
    """The scale [mm]: all windows, and forecasts as far as a window's width beyond them."""
    low, high = min(row.low for row in rows), max(row.high for row in rows)
    room = max(high - low, 1e-3)
    for row in rows:
        for at in (row.value, row.built):
            if at is not None:
                low = min(low, max(at - 3 * row.u, low - room))
                high = max(high, min(at + 3 * row.u, high + room))
    return low - 0.06 * room, high + 0.06 * room


def _ticks(low: float, high: float) -> list[float]:
    """Round numbers along a scale, some six of them."""
    raw = (high - low) / 6
    base = 10.0 ** math.floor(math.log10(raw))
    step = next(base * m for m in (1, 2, 5, 10) if base * m >= raw * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [index * step for index in range(first, math.floor(high / step + 1e-9) + 1)]


def _strip(board: Board, row: Strip, foot: float, ends: tuple[float, float], x: Scale) -> None:
    """One row: window as an open box, aim as a dashed stroke, forecast as a hump with its dot."""
    left, right = ends
    board.text(
        (left - 2.5, foot - 1.2),
        row.place,
        fitting(row.place, left - 3.5, 2.5),
        "end",
        face="figures",
    )
    board.line((left, foot), (right, foot), 0.1, "faint")
    a, b = x(row.low), x(row.high)
    for end, way in ((a, 1), (b, -1)):
        board.path(
            [
                (end + way * 1.2, foot - 4.4),
                (end, foot - 4.4),
                (end, foot),
                (end + way * 1.2, foot),
            ],
            0.35,
        )
    if row.aim is not None:
        board.line((x(row.aim), foot - 4.6), (x(row.aim), foot), THIN, "line", "0.7 0.5")
    if row.value is not None:
        _hump(board, row, foot, x)
    if row.built is not None:
        at = (x(row.built), foot - 2.2)
        board.line((at[0] - 1.1, at[1] - 1.1), (at[0] + 1.1, at[1] + 1.1), 0.4)
        board.line((at[0] - 1.1, at[1] + 1.1), (at[0] + 1.1, at[1] - 1.1), 0.4)
    if row.chance is not None:
        board.text(
            (right + 3.0, foot - 1.2),
            percent(row.chance),
            2.7,
            "start",
            face="figures",
            bold=row.chance < 0.9,
        )


def _hump(board: Board, row: Strip, foot: float, x: Scale) -> None:
    """The forecast's spread: a bell from −3 to 3 standard uncertainties, or a stroke if narrow."""
    value = row.value or 0.0
    beyond = {x(-math.inf): -1, x(math.inf): 1}.get(x(value))
    if beyond:
        tip = x(value) + beyond * 1.5
        board.arrow((tip, foot - 2.0), (tip - beyond * 8.0, foot - 2.0), 2.6, 0.3)
        return
    if row.u > 0 and x(value + row.u) - x(value - row.u) > 0.5:
        points = []
        for number in range(_HUMP):
            z = 6.0 * number / (_HUMP - 1) - 3.0
            points.append((x(value + z * row.u), foot - 4.0 * math.exp(-z * z / 2)))
        board.path(points, 0.3, "reading")
        spread = (x(value - 2 * row.u), x(value + 2 * row.u))
        board.line((spread[0], foot - 0.1), (spread[1], foot - 0.1), 0.55, "reading")
    board.line((x(value), foot - 4.0), (x(value), foot), 0.2, "reading")
    board.circle((x(value), foot - 0.1), 0.7, 0.1, "reading", "reading")
