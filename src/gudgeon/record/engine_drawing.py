"""The engine drawn from its sheet, seen from above: bores, valves, numbers, and what stands there.

Nothing is drawn that the sheet does not say, save what a note under the drawing owns up to.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from gudgeon.record.engine_places import Cylinder, PlanLayout, Spot, named_side, plan_layout
from gudgeon.record.marks import Tag, draw_mark
from gudgeon.record.svg import (
    CENTRE,
    MEDIUM,
    PRINT,
    THICK,
    THIN,
    Anchor,
    Board,
    Ink,
    fitting,
)
from gudgeon.sheet.model import Sheet

BALLOON: Final = 3.1
_USUAL_GAP: Final = "0.000"
NO_VALUES: Final[Mapping[str, Tag]] = {}


def draw_plan(
    sheet: Sheet,
    values: Mapping[str, Tag] = NO_VALUES,
    ink: Ink = PRINT,
    width: float = 170.0,
) -> str:
    """The plan of an engine as SVG, with the values and marks of its places.

    Args:
        sheet: which engine. values: address -> what stands there; places not drawn are left out.
        ink: colours and faces. width: of the drawing [mm].
    """
    plan = plan_layout(sheet, width)
    board = Board(plan.width, plan.height, ink)
    if not plan.cylinders:
        board.height = 14.0
        board.text((width / 2, 8), "the sheet names no cylinders yet", 3.0)
        return board.svg(f"{sheet.engine.name}: no cylinders in the sheet")
    board.line(*plan.axis, THIN, "line", CENTRE)
    _outlines(board, plan)
    for cylinder in plan.cylinders:
        _bore(board, cylinder, values.get(f"cylinder/{cylinder.name}", Tag()), plan)
    for address, spot in plan.valves.items():
        row = address.rpartition("/")[0]
        alone = sum(other.startswith(f"{row}/") for other in plan.valves) == 1
        _valve(board, sheet, address, spot, values.get(address, Tag()), alone)
    _row_words(board, sheet, plan)
    _first_end(board, sheet, plan)
    if not plan.upright and len({cylinder.outward for cylinder in plan.cylinders}) == 1:
        board.height -= 6.0
    return board.svg(f"{sheet.engine.name} from above. {sheet.layout.end}")


def plan_notes(sheet: Sheet) -> tuple[str, ...]:
    """What must be said under the plan: how it is seen, and what the sheet leaves open."""
    plan = plan_layout(sheet)
    seen = "Seen from above"
    if plan.sides_known:
        seen += ", the rider at the foot of the drawing: left is left as seated"
    if len({cylinder.bank for cylinder in plan.cylinders}) > 1 or plan.notes:
        seen += "; each bank seen along its own bores"
    notes = [seen + "."]
    if plan.valves:
        notes.append("Inlet and exhaust rows are placed by habit of drawing, not by the sheet.")
    notes.extend(note[0].upper() + note[1:] + "." for note in plan.notes)
    return tuple(notes)


def _outlines(board: Board, plan: PlanLayout) -> None:
    """A thick outline round each bank's bores, as a barrel's top face."""
    banks: dict[str, list[Spot]] = {}
    for cylinder in plan.cylinders:
        banks.setdefault(f"{cylinder.bank}{cylinder.outward}", []).append(cylinder.bore)
    for bores in banks.values():
        room = bores[0].r * 0.17
        left = min(b.x - b.r for b in bores) - room
        right = max(b.x + b.r for b in bores) + room
        top = min(b.y - b.r for b in bores) - room
        foot = max(b.y + b.r for b in bores) + room
        board.rect((left, top), right - left, foot - top, MEDIUM, fill="paper", round_=room * 1.6)


def _bore(board: Board, cylinder: Cylinder, tag: Tag, plan: PlanLayout) -> None:
    bore = cylinder.bore
    board.open_group("cylinder", f"cylinder/{cylinder.name}")
    board.circle((bore.x, bore.y), bore.r, THICK, fill="paper")
    board.centre_cross((bore.x, bore.y), bore.r * 1.1)
    ox, oy = cylinder.outward
    reach = bore.r * 1.17 + BALLOON + 1.6
    at = (bore.x + ox * reach, bore.y + oy * reach)
    balloon(board, at, cylinder.name, first=cylinder.name == plan.first)
    if tag.text or tag.mark:
        _bore_value(board, cylinder, tag, plan)
    board.close_group()


def _bore_value(board: Board, cylinder: Cylinder, tag: Tag, plan: PlanLayout) -> None:
    """The value of a bore: outside the outline, beside the balloon or facing it."""
    bore = cylinder.bore
    ox, oy = cylinder.outward
    reach = bore.r * 1.17 + BALLOON + 1.6
    size = fitting(tag.text, bore.r * 1.5, 3.0)
    long = 0.66 * size * len(tag.text)
    if len({c.outward for c in plan.cylinders}) == 1:
        at, anchor = (bore.x - long / 2, bore.y + bore.r * 1.17 + 4.4), 1
    elif plan.upright:
        at, anchor = (bore.x + ox * (reach - BALLOON), bore.y + BALLOON + 4.2), int(ox)
    else:
        at, anchor = (bore.x + BALLOON + 2.0, bore.y + oy * reach + size * 0.36), 1
    board.text(
        at, tag.text, size, "start" if anchor > 0 else "end", shade="reading", face="figures"
    )
    if tag.mark:
        far = at[0] + anchor * (long + 2.0)
        draw_mark(board, (far, at[1] - size * 0.36), tag.mark, 2.1)


def balloon(board: Board, at: tuple[float, float], name: str, first: bool) -> None:
    """A number in a ring; the first one is solid, so that nobody counts from the wrong end."""
    board.circle(at, BALLOON, MEDIUM, fill="line" if first else "paper")
    size = fitting(name, BALLOON * 1.5, 3.6)
    board.text(
        (at[0], at[1] + size * 0.36),
        name,
        size,
        shade="paper" if first else "line",
        bold=True,
        face="figures",
    )


def _valve(board: Board, sheet: Sheet, address: str, spot: Spot, tag: Tag, alone: bool) -> None:
    """A valve: one ring for the inlet, a second ring for the exhaust, its name beside it."""
    centre = (spot.x, spot.y)
    board.open_group("valve", address)
    board.circle(centre, spot.r, 0.36, fill="paper")
    if sheet.layout.side(address) == "ex":
        board.circle(centre, spot.r * 0.88, THIN)
    name = "" if alone else address.rpartition("/")[2]
    if tag.text:
        # All valves in one size of letter, whether 0.19 or 0.225 stands there.
        size = fitting(max(tag.text, _USUAL_GAP, key=len), spot.r * 1.5, 3.1)
        lift = 0.36 if alone else 0.2
        board.text((spot.x, spot.y + size * lift), tag.text, size, shade="reading", face="figures")
        small = min(2.1, spot.r * 0.42)
        board.text((spot.x, spot.y + spot.r * 0.68), name, small, face="figures")
    else:
        board.centre_cross(centre, spot.r * 0.34)
        small = min(2.1, spot.r * 0.42)
        board.text((spot.x, spot.y + spot.r * 0.76), name, small, face="figures")
    if tag.mark:
        at = (spot.x + spot.r * 0.72, spot.y - spot.r * 0.72)
        draw_mark(board, at, tag.mark, min(1.9, spot.r * 0.4))
    board.close_group()


def _row_words(board: Board, sheet: Sheet, plan: PlanLayout) -> None:
    """The word of each valve row, `in` or `ex`, at the end of the row."""
    bores = {cylinder.name: cylinder for cylinder in plan.cylinders}
    rows: dict[tuple[str, int, int], list[tuple[Spot, Cylinder]]] = {}
    for address, spot in plan.valves.items():
        side = sheet.layout.side(address)
        cylinder = bores[address.split("/")[1]]
        if side is not None:
            level = round((spot.y - cylinder.bore.y) > 0)
            key = (side, round(cylinder.bore.y * 10), level)
            if plan.upright:
                key = (side, round(cylinder.bore.x * 1000 + cylinder.bore.y * 10), level)
            rows.setdefault(key, []).append((spot, cylinder))
    for (side, _, _), row in rows.items():
        way = 1 if plan.upright and row[0][1].outward[0] < 0 else -1
        edge = max(way * (c.bore.x + way * c.bore.r) for _, c in row) * way
        tip, level_at = max((way * s.x + s.r, s.y) for s, _ in row)
        far = edge + way * 6.0
        board.line((far, level_at), (way * tip + way * 0.4, level_at), THIN)
        board.text((far + way * 0.8, level_at + 1.0), side, 3.0, "start" if way > 0 else "end")


def _first_end(board: Board, sheet: Sheet, plan: PlanLayout) -> None:
    """Say at the paper's edge which end numbering starts from, in the sheet's own words."""
    first = next(c for c in plan.cylinders if c.name == plan.first)
    end = sheet.layout.end
    ox, oy = first.outward
    reach = first.bore.r * 1.17 + BALLOON + 1.6
    at = (first.bore.x + ox * reach, first.bore.y + oy * reach)
    at_right = first.bore.x > plan.width / 2 + 1
    way = 1 if at_right else -1
    tail = (plan.width - 4.0 if at_right else 4.0, at[1])
    board.arrow((at[0] + way * (BALLOON + 0.3), at[1]), tail, weight=0.25)
    if plan.upright:
        board.line(tail, (tail[0], 6.0), 0.25)
    words = end if end.strip().startswith("1") else f"1 = {end}"
    size = fitting(words, plan.width * 0.7, 2.5)
    foot = at[1] - BALLOON - 1.5 if oy <= 0 else at[1] + BALLOON + 3.0
    if plan.upright:
        foot = 4.6
    anchor: Anchor = "end" if at_right else "start"
    board.text((tail[0], foot), words, size, anchor, face="figures")
    (_, ay), (bx, by) = plan.axis
    if plan.upright or len({c.outward for c in plan.cylinders}) > 1:
        board.text((bx + 1.5, by + (2.0 if plan.upright else 0.9)), "crank", 2.3, "start", "faint")
    if named_side(end):
        y = (ay + by) / 2 if not plan.upright else plan.height - 2.0
        board.text((3.0, y + 0.9), "LEFT", 2.4, "start", "faint")
        board.text((plan.width - 3.0, y + 0.9), "RIGHT", 2.4, "end", "faint")
