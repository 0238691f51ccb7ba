"""Where each place of an engine lies in its drawing: worked out from the sheet, nothing drawn yet.

Coordinates are millimetres on paper. In the plan the crank runs across the paper, or up and down
where the banks stand left and right of it. Each bank is seen along its own bores, so that every
bore is a true circle.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from gudgeon.sheet.model import Sheet

#: Widest pitch between cylinders [mm], so that a single does not fill the page.
WIDEST_PITCH: Final = 46.0
WIDEST_IN_BANKS: Final = 32.0
MARGIN: Final = 24.0
_VIEWED = re.compile(r"\b(seen|look\w*|view\w*|facing|from the front)\b", re.IGNORECASE)
_SIDES = ("left", "right")


class Spot(NamedTuple):
    """A round place: centre and radius [mm]."""

    x: float
    y: float
    r: float


@dataclass(frozen=True, slots=True)
class Cylinder:
    """One cylinder of the plan.

    Attributes:
        name: as the sheet numbers it. bore: its circle.
        outward: direction from the crank away along which its balloon and value stand.
        bank: name of its bank, empty where there is one.
    """

    name: str
    bore: Spot
    outward: tuple[float, float]
    bank: str = ""


@dataclass(frozen=True, slots=True)
class PlanLayout:
    """The plan: its size, the cylinders, and the valves within them.

    Attributes:
        first: name of the first cylinder. sides_known: whether left and right are as seated.
        upright: whether the crank runs up and down the paper.
        notes: what the sheet leaves open and the drawing had to choose.
    """

    width: float
    height: float
    cylinders: tuple[Cylinder, ...]
    valves: dict[str, Spot]
    axis: tuple[tuple[float, float], tuple[float, float]]
    first: str
    sides_known: bool
    upright: bool
    notes: tuple[str, ...]


def named_side(end: str) -> str | None:
    """`left` or `right` where the sheet's words say that number 1 sits there, as seated.

    >>> named_side("1 = left, on the machine"), named_side("1 = right, seen from the front")
    ('left', None)
    """
    if _VIEWED.search(end):
        return None
    found = [side for side in _SIDES if re.search(rf"\b{side}\b", end, re.IGNORECASE)]
    return found[0] if len(found) == 1 else None


def cylinder_names(sheet: Sheet) -> tuple[str, ...]:
    """The cylinders' names, in the order the sheet numbers them."""
    return tuple(address.partition("/")[2] for address in sheet.layout.of("cylinder"))


def banks_of(sheet: Sheet) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...]]:
    """The banks with their cylinders, and notes on what the sheet leaves open."""
    names = cylinder_names(sheet)
    layout = sheet.engine.layout
    if layout.kind == "inline" or len(names) < 2:
        return {"": names}, ()
    if layout.banks:
        given = {
            bank: tuple(name for name in names if name in members)
            for bank, members in layout.banks.items()
        }
        left_out = tuple(name for name in names if not any(name in b for b in given.values()))
        kept = {bank: members for bank, members in given.items() if members}
        if left_out:
            return {**kept, "no bank given": left_out}, (
                "some cylinders have no bank in the sheet",
            )
        return kept, ()
    return (
        {"": names[0::2], " ": names[1::2]},
        ("banks are not in the sheet: cylinders drawn by turns",),
    )


class _Grid(NamedTuple):
    """Measures of a plan on paper [mm].

    Attributes:
        pitch: between cylinders. run: length along the crank. reach: from the crank's line to a
        bank's bores. stagger: shift between banks. width, height: of the paper.
    """

    pitch: float
    run: float
    reach: float
    stagger: float
    width: float
    height: float


def plan_layout(sheet: Sheet, width: float = 170.0) -> PlanLayout:
    """Where every cylinder and valve lies in a plan of the given width [mm]."""
    banks, notes = banks_of(sheet)
    side = named_side(sheet.layout.end)
    upright = len(banks) > 1 and any(word in bank.lower() for bank in banks for word in _SIDES)
    grid = _grid(sheet, [len(members) for members in banks.values()], upright, width)
    names = cylinder_names(sheet)
    cylinders = [
        cylinder
        for number, (bank, members) in enumerate(_in_drawing_order(banks))
        for cylinder in _bank(
            bank,
            members[::-1] if side == "right" and not upright else members,
            grid,
            None if len(banks) == 1 else number,
            upright,
        )
    ]
    cylinders.sort(key=lambda item: names.index(item.name))
    valves: dict[str, Spot] = {}
    for cylinder in cylinders:
        toward = _inlet_side(cylinder, len(banks), upright)
        valves.update(_valves(sheet, cylinder, inlet_toward=toward))
    return PlanLayout(
        width,
        grid.height,
        tuple(cylinders),
        valves,
        _axis(grid, upright),
        names[0] if names else "",
        side is not None or upright,
        upright,
        notes,
    )


def _grid(sheet: Sheet, counts: Sequence[int], upright: bool, width: float) -> _Grid:
    longest = max(counts, default=1) or 1
    alone = len(counts) < 2
    flat = sheet.engine.layout.kind == "flat"
    stagger = 0.0 if alone else (0.25 if flat else 0.12)
    if upright:
        pitch = min(WIDEST_IN_BANKS + 6.0, (width - 52.0) / 2.5, 150.0 / (longest + stagger))
    else:
        widest = WIDEST_PITCH if alone else WIDEST_IN_BANKS
        margin = MARGIN if longest < 5 else MARGIN * 0.75
        pitch = min(widest, (width - 2 * margin) / (longest + stagger))
    run = pitch * (longest + stagger)
    reach = pitch * (0.76 if upright else 0.62)
    depth = pitch if alone else 2 * reach + pitch
    return _Grid(pitch, run, reach, stagger, width, (run if upright else depth) + 25.0)


def _bank(
    bank: str, members: Sequence[str], grid: _Grid, number: int | None, upright: bool
) -> Iterator[Cylinder]:
    """The cylinders of one bank; `number` is its place in the drawing, none where it is alone."""
    across = 0.0 if number is None else grid.reach * (-1 if number % 2 == 0 else 1)
    shift = 0.0 if number is None else grid.stagger * grid.pitch * (number % 2 - 0.5)
    toward = -1.0 if across <= 0 else 1.0
    for index, name in enumerate(members):
        along = (index - (len(members) - 1) / 2) * grid.pitch + shift
        dx, dy = (across, along) if upright else (along, across)
        bore = Spot(grid.width / 2 + dx, grid.height / 2 + dy, grid.pitch * 0.42)
        yield Cylinder(name, bore, (toward, 0.0) if upright else (0.0, toward), bank.strip())


def _axis(grid: _Grid, upright: bool) -> tuple[tuple[float, float], tuple[float, float]]:
    """The crank's centre line."""
    x, y = grid.width / 2, grid.height / 2
    if upright:
        half = grid.run / 2 + 8.0
        return (x, y - half), (x, y + half)
    half = min(grid.run / 2 + 8.0, grid.width / 2 - 15.0)
    return (x - half, y), (x + half, y)


def _in_drawing_order(
    banks: dict[str, tuple[str, ...]],
) -> list[tuple[str, tuple[str, ...]]]:
    """Front or left bank first, as they are drawn from above or from the left."""

    def rank(item: tuple[str, tuple[str, ...]]) -> int:
        low = item[0].lower()
        return 0 if "front" in low or "left" in low else 2 if "rear" in low or "right" in low else 1

    return sorted(banks.items(), key=rank)


def _inlet_side(cylinder: Cylinder, banks: int, upright: bool) -> float:
    """Whether the inlet row is drawn below (+1) or above (-1) the middle of the bore.

    A convention of the drawing, said under it: towards the reader, or into a V.
    """
    if banks < 2 or upright:
        return 1.0
    return -cylinder.outward[1]


def _valves(sheet: Sheet, cylinder: Cylinder, inlet_toward: float) -> dict[str, Spot]:
    """The valves of one cylinder: a row for each side, inlet and exhaust facing each other."""
    places = sheet.layout
    own = [a for a in places.of("valve") if a.split("/")[1] == cylinder.name]
    rows: dict[str | None, list[str]] = {}
    for address in own:
        rows.setdefault(places.side(address), []).append(address)
    spots: dict[str, Spot] = {}
    for number, (side, row) in enumerate(rows.items()):
        if side is None or len(rows) == 1:
            toward = 0.0
        elif side == "in":
            toward = inlet_toward
        elif side == "ex":
            toward = -inlet_toward
        else:
            toward = 1.0 if number % 2 else -1.0
        spots.update(_row(row, cylinder.bore, toward, larger=side == "in"))
    return spots


def _row(addresses: Sequence[str], bore: Spot, toward: float, larger: bool) -> dict[str, Spot]:
    count = len(addresses)
    shares = {1: 0.40, 2: 0.345, 3: 0.27}
    radius = bore.r * shares.get(count, 0.8 / max(count, 1)) * (1.06 if larger else 0.98)
    step = radius * 2.14
    spots: dict[str, Spot] = {}
    for index, address in enumerate(addresses):
        dx = (index - (count - 1) / 2) * step
        dy = toward * math.sqrt(max(0.0, (bore.r * 0.97 - radius) ** 2 - dx * dx))
        limit = bore.r * (0.47 if count < 3 else 0.56)
        spots[address] = Spot(
            bore.x + dx,
            bore.y + math.copysign(min(abs(dy), limit), toward) if toward else bore.y,
            radius,
        )
    return spots


def throws(sheet: Sheet) -> list[tuple[str, ...]]:
    """The crank's throws, each with the pins that share it, in order along the crank.

    In a V whose pins are numbered one a cylinder, the rods of two facing cylinders share a throw.
    """
    pins = sheet.layout.of("pin")
    names = cylinder_names(sheet)
    banks, _ = banks_of(sheet)
    if sheet.engine.layout.kind == "v" and len(pins) == len(names) and len(banks) == 2:
        by_name = {pin.split("/")[1]: pin for pin in pins}
        rows = [[by_name[name] for name in row if name in by_name] for row in banks.values()]
        longest = max(len(row) for row in rows)
        return [tuple(row[k] for row in rows if k < len(row)) for k in range(longest)]
    if pins:
        return [(pin,) for pin in pins]
    count = max((len(members) for members in banks.values()), default=0)
    return [() for _ in range(count if sheet.engine.layout.kind == "v" else len(names))]


def main_boundaries(mains: int, throw_count: int) -> list[float]:
    """At which boundary between throws each main stands: 0 before the first, n after the last.

    >>> main_boundaries(4, 3), main_boundaries(3, 4), main_boundaries(2, 1)
    ([0.0, 1.0, 2.0, 3.0], [0.0, 2.0, 4.0], [0.0, 1.0])
    """
    if mains <= 0:
        return []
    if mains == 1:
        return [throw_count / 2]
    if mains > throw_count + 1:
        return [throw_count * index / (mains - 1) for index in range(mains)]
    return [float(round(throw_count * index / (mains - 1))) for index in range(mains)]
