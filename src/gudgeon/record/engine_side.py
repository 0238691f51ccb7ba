"""The engine drawn from its sheet along its crank: mains and pins with what stands at them.

The throws stand as the firing angles of the sheet put them; without these they are drawn by turns,
and a note says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gudgeon.record.engine_drawing import NO_VALUES, balloon
from gudgeon.record.engine_places import (
    MARGIN,
    cylinder_names,
    main_boundaries,
    named_side,
    plan_layout,
    throws,
)
from gudgeon.record.marks import Tag, draw_mark
from gudgeon.record.svg import CENTRE, MEDIUM, PRINT, THICK, THIN, Board, Ink, fitting
from gudgeon.sheet.model import Sheet


@dataclass(frozen=True, slots=True)
class _Crank:
    """Measures of the crank on paper [mm]: left end, pitch of the throws, centre line, throw."""

    left: float
    pitch: float
    axis: float
    throw: float
    order: tuple[int, ...]


def draw_side(
    sheet: Sheet,
    values: Mapping[str, Tag] = NO_VALUES,
    ink: Ink = PRINT,
    width: float = 170.0,
) -> str:
    """The crank and, of an inline engine, its bores, seen from the side, as SVG.

    Args:
        sheet: which engine. values: address -> what stands there. ink: colours and faces.
        width: of the drawing [mm].
    """
    lobes = throws(sheet)
    if not lobes:
        board = Board(width, 10.0, ink)
        board.text((width / 2, 6), "the sheet names no cylinders yet", 3.0)
        return board.svg(f"{sheet.engine.name}: no crank to draw")
    inline = sheet.engine.layout.kind == "inline"
    barrels = 34.0 if inline else 0.0
    crank = _measures(sheet, lobes, width, axis=barrels + 16.0)
    board = Board(width, crank.axis + 28.0, ink)
    ends = (
        max(crank.left - 9.0, 12.0),
        min(crank.left + crank.pitch * len(lobes) + 9.0, width - 12.0),
    )
    board.line((ends[0], crank.axis), (ends[1], crank.axis), THIN, "line", CENTRE)
    heights = _throw_heights(sheet, len(lobes))
    if inline:
        _barrels(board, sheet, crank, heights)
    _journals(board, sheet, crank, lobes, heights)
    _tags(board, sheet, crank, lobes, heights, values)
    if named_side(sheet.layout.end) and not plan_layout(sheet, width).upright:
        board.text((3.0, crank.axis + 0.9), "LEFT", 2.4, "start", "faint")
        board.text((width - 3.0, crank.axis + 0.9), "RIGHT", 2.4, "end", "faint")
    return board.svg(f"{sheet.engine.name}, crank from the side. {sheet.layout.end}")


def side_notes(sheet: Sheet) -> tuple[str, ...]:
    """What must be said under the side view."""
    if _angles(sheet) is not None:
        return ("Crank seen from the side, the first cylinder on its top centre.",)
    if len(throws(sheet)) < 2:
        return ("Crank seen from the side.",)
    return ("Crank seen from the side; its throws are drawn by turns, not by the sheet.",)


def _measures(sheet: Sheet, lobes: Sequence[tuple[str, ...]], width: float, axis: float) -> _Crank:
    """An inline engine's throws stand under its bores; another's have a pitch of their own."""
    count = len(lobes)
    plan = plan_layout(sheet, width)
    reverse = named_side(sheet.layout.end) == "right" and not plan.upright
    order = tuple(reversed(range(count))) if reverse else tuple(range(count))
    if sheet.engine.layout.kind == "inline" and len(plan.cylinders) > 1:
        xs = sorted(cylinder.bore.x for cylinder in plan.cylinders)
        pitch = xs[1] - xs[0]
        left = width / 2 - pitch * count / 2 if count != len(xs) else xs[0] - pitch / 2
    else:
        pitch = min(46.0, (width - 2 * MARGIN) / count)
        left = width / 2 - pitch * count / 2
    return _Crank(left, pitch, axis, 6.4, order)


def _angles(sheet: Sheet) -> list[float] | None:
    """Crank angle of each throw behind the first [degrees], where firing angles give it."""
    firing = sheet.turning.firing
    names = cylinder_names(sheet)
    if sheet.engine.layout.kind != "inline" or not firing or any(n not in firing for n in names):
        return None
    return [firing[name] - firing[names[0]] for name in names]


def _throw_heights(sheet: Sheet, count: int) -> list[float]:
    """Height of each pin over the crank's centre line, as a share of the throw: 1 is top."""
    angles = _angles(sheet)
    if angles is None or len(angles) != count:
        return [1.0 if index % 2 == 0 else -1.0 for index in range(count)]
    return [math.cos(math.radians(angle)) for angle in angles]


def _x(crank: _Crank, lobe: int) -> float:
    """Middle of a throw on paper."""
    return crank.left + (crank.order.index(lobe) + 0.5) * crank.pitch


def _barrels(board: Board, sheet: Sheet, crank: _Crank, heights: Sequence[float]) -> None:
    """Bores in section with their pistons and rods, over the crank."""
    names = cylinder_names(sheet)
    if len(names) != len(heights):
        return
    half = crank.pitch * 0.42
    top, foot = 9.0, crank.axis - 14.5
    for index, name in enumerate(names):
        x = _x(crank, index)
        for way in (-1, 1):
            wall = x + way * half
            thickness = crank.pitch * 0.08
            board.line((wall, top), (wall, foot), THICK)
            board.line((wall, top), (wall + way * thickness, top), MEDIUM)
            board.line((wall, foot), (wall + way * thickness, foot), MEDIUM)
            _hatch(board, wall, wall + way * thickness, top, foot)
        board.line((x, top - 2.0), (x, crank.axis + 8.5), THIN, "line", CENTRE)
        pin_y = crank.axis - heights[index] * crank.throw
        crown = pin_y - 26.0
        board.rect((x - half + 0.5, crown), 2 * half - 1.0, 9.0, MEDIUM, fill="paper", round_=0.6)
        for ring in (1.6, 2.9, 4.2):
            board.line((x - half + 0.5, crown + ring), (x + half - 0.5, crown + ring), THIN)
        board.circle((x, crown + 6.4), 1.3, MEDIUM, fill="paper")
        board.line((x - 0.9, crown + 7.5), (x - 1.5, pin_y - 2.2), MEDIUM)
        board.line((x + 0.9, crown + 7.5), (x + 1.5, pin_y - 2.2), MEDIUM)
        balloon(board, (x, 3.6), name, first=index == 0)


def _hatch(board: Board, near: float, far: float, top: float, foot: float) -> None:
    """Section lines at 45 degrees between two upright edges."""
    left, right = min(near, far), max(near, far)
    step, wide = 1.5, right - left
    y = top + wide
    while y <= foot:
        board.line((left, y), (right, y - wide), 0.1)
        y += step


def _journals(
    board: Board,
    sheet: Sheet,
    crank: _Crank,
    lobes: Sequence[tuple[str, ...]],
    heights: Sequence[float],
) -> None:
    """Mains as blocks on the centre line, pins as blocks at their throw, webs between."""
    count = len(lobes)
    r_pin = 2.6
    long = min(9.0, crank.pitch * 0.34)
    for lobe in range(count):
        x = _x(crank, lobe)
        y = crank.axis - heights[lobe] * crank.throw
        upper, lower = min(y, crank.axis) - 4.2, max(y, crank.axis) + 4.2
        web = crank.pitch * 0.1
        for way in (-1, 1):
            corner = x + way * (long / 2 + web / 2) - web / 2
            board.rect((corner, upper), web, lower - upper, MEDIUM, fill="paper", round_=0.8)
        board.rect((x - long / 2, y - r_pin), long, 2 * r_pin, THICK, fill="paper")
        if len(lobes[lobe]) > 1:
            board.line((x, y - r_pin), (x, y + r_pin), MEDIUM)
    _shaft(board, sheet, crank, count, long / 2 + crank.pitch * 0.1)


def _shaft(board: Board, sheet: Sheet, crank: _Crank, count: int, clear: float) -> None:
    """Mains from web to web, and plain shaft where two throws meet without a main."""
    at_main = [round(x, 2) for x in _mains(sheet, crank, count).values()]
    for boundary in range(count + 1):
        x = crank.left + boundary * crank.pitch
        left = x - (crank.pitch / 2 - clear if boundary > 0 else 5.0)
        right = x + (crank.pitch / 2 - clear if boundary < count else 5.0)
        is_main = round(x, 2) in at_main
        radius = 3.1 if is_main else 2.0
        weight = THICK if is_main else MEDIUM
        board.rect((left, crank.axis - radius), right - left, 2 * radius, weight, fill="paper")
    for x in at_main:
        board.centre_cross((x, crank.axis), 4.4)


def _mains(sheet: Sheet, crank: _Crank, count: int) -> dict[str, float]:
    """Where each main stands across the paper."""
    mains = sheet.layout.of("main")
    at = main_boundaries(len(mains), count)
    if crank.order and crank.order[0] != 0:
        at = [count - place for place in at]
    return {
        address: crank.left + place * crank.pitch for address, place in zip(mains, at, strict=True)
    }


def _tags(
    board: Board,
    sheet: Sheet,
    crank: _Crank,
    lobes: Sequence[tuple[str, ...]],
    heights: Sequence[float],
    values: Mapping[str, Tag],
) -> None:
    """Names and values under the crank: mains in one row, pins in the row below."""
    upper, lower = crank.axis + 15.5, crank.axis + 23.0
    room = crank.pitch * 0.92
    for address, x in _mains(sheet, crank, len(lobes)).items():
        board.line((x, crank.axis + 3.1), (x, upper - 3.4), THIN)
        _tag(board, address, (x, upper), values.get(address, Tag()), room)
    for lobe, pins in enumerate(lobes):
        x = _x(crank, lobe)
        y = crank.axis - heights[lobe] * crank.throw
        share = room / max(1, len(pins))
        for number, pin in enumerate(pins):
            at = x + (number - (len(pins) - 1) / 2) * share
            board.path([(x + (at - x) * 0.1, y + 2.6), (at, lower - 3.4)], THIN)
            _tag(board, pin, (at, lower), values.get(pin, Tag()), share)


def _tag(board: Board, address: str, at: tuple[float, float], tag: Tag, room: float) -> None:
    """One place's name, and the value that stands there under it."""
    board.open_group("journal", address)
    name = address.replace("/", " ")
    board.rect((at[0] - room * 0.3, at[1] - 3.3), room * 0.6, 3.5, 0.01, "paper", "paper")
    board.text(at, name, fitting(name, room * 0.7, 2.2), face="figures")
    if tag.text:
        size = fitting(tag.text, room * 0.6, 2.7)
        board.text((at[0], at[1] + 3.3), tag.text, size, shade="reading", face="figures")
        if tag.mark:
            far = at[0] + 0.33 * size * len(tag.text) + 2.0
            draw_mark(board, (far, at[1] + 3.3 - size * 0.36), tag.mark, 1.8)
    elif tag.mark:
        draw_mark(board, (at[0], at[1] + 2.4), tag.mark, 1.8)
    board.close_group()
