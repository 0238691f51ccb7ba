"""Small figures for the record: a value beside its limits, chances of landing in a window."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from gudgeon.record.marks import draw_mark
from gudgeon.record.said import span
from gudgeon.record.svg import CENTRE, PRINT, THIN, Board, Ink, fitting

ROW: Final = 5.6
_HUMP: Final = 41
_Scale = Callable[[float], float]


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
    ('>99.9 %', '42 %', '<0.1 %', '>99.9 %')
    """
    if chance > 0.9995:
        return ">99.9 %"
    if chance < 0.0005:
        return "<0.1 %"
    decimals = 1 if chance > 0.99 or chance < 0.01 else 0
    return f"{min(100 * chance, 99.9):.{decimals}f} %"


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
    inside = low <= value <= high
    at = x(value)
    if expanded_u > 0 and inside:
        a, b = x(value - expanded_u), x(value + expanded_u)
        board.line((a, middle), (b, middle), 0.36, "reading")
        for end in (a, b):
            board.line((end, middle - 0.7), (end, middle + 0.7), 0.25, "reading")
    if inside:
        board.circle((at, middle), 0.75, 0.1, "reading", "reading")
    else:
        way = 1 if value > high else -1
        board.path(
            [(at + way * 1.2, middle), (at - way * 0.8, middle - 1), (at - way * 0.8, middle + 1)],
            0.1,
            "reading",
            "reading",
            closed=True,
        )
    return board.svg("value and uncertainty against the limits")


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


def _strip(board: Board, row: Strip, foot: float, ends: tuple[float, float], x: _Scale) -> None:
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


def _hump(board: Board, row: Strip, foot: float, x: _Scale) -> None:
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


@dataclass(frozen=True, slots=True)
class Profile:
    """Readings of a bore down two axes.

    Attributes:
        title: what and where. heights: from the top down. axes: the two, left and right.
        values: (height, axis) -> size [mm]; a missing one is left out.
        expanded_u: of one reading [mm]. new, service: limits of the size [mm].
        word: verdict of the size, drawn beside the title.
    """

    title: str
    heights: tuple[str, ...]
    axes: tuple[str, str]
    values: dict[tuple[str, str], float]
    expanded_u: float
    new: Band
    service: Band
    word: str = ""


def bore_profile(profile: Profile, ink: Ink = PRINT, width: float = 56.0) -> str:
    """A bore in section with its departures from the smallest limit drawn large, as SVG.

    The left wall shows the first axis, the right wall the second; limits are upright lines.
    """
    heights = profile.heights
    top, step = 11.0, 7.4
    foot = top + step * (len(heights) - 1)
    board = Board(width, foot + 15.5, ink)
    middle = width / 2
    ends = (*profile.new.ends, *profile.service.ends)
    sizes = (*profile.values.values(), *ends)
    low, high = min(sizes), max(sizes)
    room = max(high - low, 4 * profile.expanded_u, 1e-4)
    low -= 0.12 * room
    scale = 9.0 / (1.24 * room)
    inner = width * 0.115

    def out(size: float) -> float:
        return inner + (size - low) * scale

    for word, at in zip(profile.axes, (middle - inner - 4.5, middle + inner + 4.5), strict=True):
        board.text((at, 7.2), word, 2.4)
    board.text((1.0, 3.0), profile.title, fitting(profile.title, width - 8.0, 2.7), "start")
    if profile.word:
        draw_mark(board, (width - 2.4, 2.2), profile.word, 2.0)
    board.line((middle, 5.0), (middle, foot + 4.0), THIN, "line", CENTRE)
    for way, axis in ((-1, profile.axes[0]), (1, profile.axes[1])):
        _limits(board, profile, middle, way, (top, foot), out)
        _wall_line(board, profile, axis, middle, way, (top, step), out)
    for number, height in enumerate(heights):
        board.rect((middle - 3.6, top + step * number - 1.5), 7.2, 3.0, 0.01, "paper", "paper")
        board.text((middle, top + step * number + 0.8), height, fitting(height, 7.0, 2.1))
    _profile_foot(board, profile, foot, scale)
    return board.svg(f"{profile.title}, bore in section")


def _limits(
    board: Board, profile: Profile, middle: float, way: int, rows: tuple[float, float], out: _Scale
) -> None:
    """Limit lines along one wall: thin for the new range, thick and hatched for service."""
    top, foot = rows[0] - 3.0, rows[1] + 3.0
    for end in profile.new.ends:
        board.line(
            (middle + way * out(end), top), (middle + way * out(end), foot), 0.14, dash="1.2 0.6"
        )
    for end in profile.service.ends:
        x = middle + way * out(end)
        board.line((x, top), (x, foot), 0.4)
        for number in range(int((foot - top) / 1.6)):
            y = top + 1.6 * (number + 1)
            board.line((x, y), (x + way * 1.0, y - 1.0), 0.1)


def _wall_line(
    board: Board,
    profile: Profile,
    axis: str,
    middle: float,
    way: int,
    rows: tuple[float, float],
    out: _Scale,
) -> None:
    """The wall as read down one axis, each reading with its uncertainty and its number."""
    top, step = rows
    points = []
    for number, height in enumerate(profile.heights):
        size = profile.values.get((height, axis))
        if size is None:
            continue
        y = top + step * number
        x = middle + way * out(size)
        reach = [middle + way * out(size + s * profile.expanded_u) for s in (-1, 1)]
        board.line((reach[0], y), (reach[1], y), 0.22, "reading")
        for end in reach:
            board.line((end, y - 0.6), (end, y + 0.6), 0.18, "reading")
        points.append((x, y))
        edge = 1.0 if way < 0 else board.width - 1.0
        board.text(
            (edge, y + 0.9), f"{size:.3f}", 2.4, "start" if way < 0 else "end", "reading", "figures"
        )
    if len(points) > 1:
        board.path(points, 0.4, "reading")
    for point in points:
        board.circle(point, 0.6, 0.1, "reading", "reading")


def _profile_foot(board: Board, profile: Profile, foot: float, scale: float) -> None:
    """What the lines stand for, and how much larger the departures are drawn than they are."""
    y = foot + 7.4
    told = []
    if profile.new.ends:
        told.append(f"new {span(profile.new.low, profile.new.high)}")
    if profile.service.ends:
        told.append(f"service {span(profile.service.low, profile.service.high)}")
    for line in told:
        board.line(
            (1.0, y - 0.8),
            (6.0, y - 0.8),
            0.4 if line[0] == "s" else 0.14,
            dash="" if line[0] == "s" else "1.2 0.6",
        )
        board.text((7.5, y), line, 2.1, "start", face="figures")
        y += 3.2
    board.text(
        (board.width - 1.0, foot + 7.4), f"× {2 * scale:.0f}", 2.1, "end", "faint", "figures"
    )
