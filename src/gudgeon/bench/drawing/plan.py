"""The engine from above: its bores and valves, each value led out to where it can be read.

One drawing for wide paper, one for narrow; or one cylinder alone, drawn large. Nothing is drawn
that the sheet does not say, save what the notes own up to.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final, Literal

from gudgeon.bench.drawing.frame import VALUE, Callout, Frame
from gudgeon.bench.drawing.grid import Cell, Grid, alone, grid_of
from gudgeon.record.engine_places import banks_of, cylinder_names, named_side
from gudgeon.record.svg import CENTRE, MEDIUM, THICK, THIN, Anchor, Point, fitting
from gudgeon.sheet.model import Sheet

#: Width of the paper [mm].
WIDE: Final = 176.0
NARROW: Final = 64.0
#: Height of what is led out above or below a bore, and the gap before it [mm].
_OUT: Final = 13.5
_GAP: Final = 2.0
_EDGE: Final = 9.0
#: Below this there is no room for a value beside the next [mm].
_CROWDED: Final = 15.0
#: Height of what is touched on narrow paper, which a phone shows at some five sixths [mm].
TOUCHED: Final = 18.4
_SHARES: Final = {1: 0.40, 2: 0.345, 3: 0.27}
Kind = Literal["valve", "cylinder"]


def draw_plan(
    sheet: Sheet,
    values: Mapping[str, Callout],
    kind: Kind,
    narrow: bool = False,
    only: str = "",
) -> str:
    """The engine from above as SVG; every place in `values` is a link.

    Args:
        sheet: which engine. values: address -> what stands there.
        kind: whose values are shown, the valves' or the cylinders'.
        narrow: for narrow paper. only: name of the one cylinder to draw, large.
    """
    grid = alone(only) if only else grid_of(sheet)
    if not grid.cells:
        frame = Frame(NARROW, 16.0)
        frame.board.text((NARROW / 2, 9), "the sheet names no cylinders yet", 3.2)
        return frame.board.svg(f"{sheet.engine.name}: no cylinders in the sheet")
    return _Plan(sheet, values, kind, grid, narrow, bool(only)).drawn()


def plan_notes(sheet: Sheet) -> tuple[str, ...]:
    """What must be said with the plan: how it is seen, and what the sheet leaves open."""
    _, notes = banks_of(sheet)
    told = ["Seen from above."]
    if named_side(sheet.layout.end):
        told = ["Seen from above, the rider at the foot: left is left as seated."]
    if sheet.layout.of("valve"):
        told.append("Inlet and exhaust rows are placed by habit of drawing, not by the sheet.")
    told.extend(f"{note[0].upper()}{note[1:]}." for note in notes)
    return tuple(told)


class _Plan:
    """One plan being drawn."""

    def __init__(
        self,
        sheet: Sheet,
        values: Mapping[str, Callout],
        kind: Kind,
        grid: Grid,
        narrow: bool,
        alone: bool,
    ) -> None:
        self.sheet, self.values, self.kind, self.grid = sheet, values, kind, grid
        self.alone = alone
        self.turned = narrow and grid.rows == 1 and grid.columns > 2
        wide = NARROW if narrow else (150.0 if alone else WIDE)
        self.tiers = 1
        most = max((len(row) for cell in grid.cells for _, row in self._rows(cell)), default=1)
        if self.turned:
            self.pitch_a = max(34.0, TOUCHED * most + 0.6)
            self.radius = min(12.2, self.pitch_a * 0.42)
            self.out = wide / 2 - self.radius - _GAP - 1.0
            self.pitch_c = wide
            self.margin_a = 12.0
        else:
            side = 1.0 if narrow else _EDGE
            self.pitch_a = min((wide - 2 * side) / grid.columns, 70.0)
            self.radius = min(self.pitch_a * 0.42, 23.5 if alone else 17.5)
            self.tiers = most if self.pitch_a / most < _CROWDED else 1
            tall = _OUT + 3.0 if alone else _OUT
            self.out = tall * self.tiers if kind == "valve" else 5.0
            room = 6.0 if any(cell.bank for cell in grid.cells) else 3.0
            self.pitch_c = 2 * (self.radius + _GAP + self.out) + room
            self.margin_a = (wide - self.pitch_a * grid.columns) / 2
        banked = any(cell.bank for cell in grid.cells)
        head = 6.0 if banked and not self.turned else 1.0
        self.head = 0.0 if self.turned else head
        along = 2 * self.margin_a + self.pitch_a * grid.columns
        across = self.pitch_c * grid.rows + (0.0 if self.turned else head)
        self.frame = Frame(along, across, self.turned)
        self.board = self.frame.board

    def drawn(self) -> str:
        """The whole of it."""
        if not self.alone:
            self._crank()
            self._outlines()
        for cell in self.grid.cells:
            self._cell(cell)
        if not self.alone:
            self._ends()
        name = self.sheet.engine.name or "engine"
        what = f"{name} from above" if not self.alone else f"cylinder {self.grid.cells[0].name}"
        return self.board.svg(what).replace(' role="img"', ' role="group"', 1)

    def _centre(self, cell: Cell) -> Point:
        return (
            self.margin_a + self.pitch_a * (cell.column + 0.5),
            self.head + self.pitch_c * (cell.row + 0.5),
        )

    def _crank(self) -> None:
        """The crank's centre line."""
        frame, grid = self.frame, self.grid
        if grid.upright:
            a = self.margin_a + self.pitch_a * grid.columns / 2
            frame.line((a, self.head), (a, frame.across), THIN, "line", CENTRE)
            return
        c = self.head + self.pitch_c * grid.rows / 2
        clear = 6.5 if self.turned else 1.0
        frame.line((clear, c), (frame.along - clear, c), THIN, "line", CENTRE)

    def _outlines(self) -> None:
        """A line round the bores of each bank, as a barrel's top face."""
        banks: dict[str, list[Point]] = {}
        for cell in self.grid.cells:
            banks.setdefault(cell.bank, []).append(self._centre(cell))
        room = self.radius * 1.14
        for centres in banks.values():
            points = [self.frame.at(*centre) for centre in centres]
            left, top = (min(axis) - room for axis in zip(*points, strict=True))
            right, foot = (max(axis) + room for axis in zip(*points, strict=True))
            self.board.rect(
                (left, top), right - left, foot - top, MEDIUM, fill="paper", round_=room * 0.26
            )

    def _rows(self, cell: Cell) -> list[tuple[int, tuple[str, ...]]]:
        """Rows of valves: which way they lie from the middle of the bore, and their addresses."""
        layout = self.sheet.layout
        rows: dict[str | None, list[str]] = {}
        for address in layout.of("valve"):
            if address.split("/")[1] == cell.name:
                rows.setdefault(layout.side(address), []).append(address)
        toward = 1
        if self.grid.rows == 2 and not self.grid.upright:
            toward = 1 if cell.row == 0 else -1
        ways = {"in": toward, "ex": -toward}
        return [
            (ways.get(side or "", 1 if number % 2 == 0 else -1), tuple(row))
            for number, (side, row) in enumerate(rows.items())
        ]

    def _cell(self, cell: Cell) -> None:
        """One cylinder with its valves, and what stands beside them."""
        a, c = self._centre(cell)
        address = f"cylinder/{cell.name}"
        callout = self.values.get(address)
        valves = self.kind == "valve"
        if callout:
            self.frame.open_link(callout)
        self.board.circle(self.frame.at(a, c), self.radius, THICK, fill="paper")
        if callout and not valves:
            self._in_bore(callout, self.frame.at(a, c))
        if callout:
            self.frame.close_link()
        if valves:
            reach = self.radius * 1.06
            self.frame.line((a - reach, c), (a + reach, c), THIN, "line", CENTRE)
            self.frame.line((a, c - reach), (a, c + reach), THIN, "line", CENTRE)
            for way, row in self._rows(cell):
                self._valves((a, c), way, row)
        self._balloon(cell, (a, c))

    def _in_bore(self, callout: Callout, at: Point) -> None:
        room = (self.radius * 1.72, self.radius * 1.1)
        self.frame.callout(callout, at, room, "middle", VALUE * 1.8)

    def _valves(self, bore: Point, way: int, row: tuple[str, ...]) -> None:
        count = len(row)
        share = _SHARES.get(count, 0.8 / count)
        inlet = self.sheet.layout.side(row[0]) == "in"
        radius = self.radius * share * (1.06 if inlet else 0.98)
        step = radius * 2.14
        pitch = min(self.pitch_a / count, 42.0 if self.alone else 24.0)
        for index, address in enumerate(row):
            da = (index - (count - 1) / 2) * step
            dc = way * self.radius * (0.47 if count < 3 else 0.55)
            at = (bore[0] + da, bore[1] + dc)
            out = (
                bore[0] + (index - (count - 1) / 2) * pitch,
                bore[1] + way * (self.radius + _GAP),
            )
            callout = self.values.get(address)
            if callout:
                self.frame.open_link(callout)
            self.board.circle(self.frame.at(*at), radius, 0.36, fill="paper")
            if not inlet:
                self.board.circle(self.frame.at(*at), radius * 0.86, THIN)
            if callout:
                self._led_out(callout, at, out, way, pitch, index % self.tiers)
                self.frame.close_link()

    def _led_out(
        self, callout: Callout, at: Point, out: Point, way: int, pitch: float, tier: int
    ) -> None:
        """A leader from the valve to its lettering, which stands on it as on a shoulder.

        Where a row is crowded its lettering stands in tiers, one further out than the other.
        """
        frame = self.frame
        tall = self.out / self.tiers
        end = out[1] + way * tier * tall
        self.board.circle(frame.at(*at), 0.5, 0.05, fill="line")
        frame.path([at, out, (out[0], end)] if tier else [at, out], THIN)
        if self.turned:
            room = (self.out, min(pitch, TOUCHED))
            middle = (out[0], end + way * room[0] / 2)
            anchor: Anchor = "end" if way > 0 else "start"
        else:
            edge = 2.8 * min(out[0], frame.along - out[0])
            room = (min(pitch * self.tiers, edge) - 0.4, tall)
            inside = min(max(out[0], room[0] / 2), frame.along - room[0] / 2)
            middle = (inside, end + way * tall / 2)
            anchor = "middle"
        largest = VALUE * 1.5 if self.alone else VALUE
        frame.callout(callout, frame.at(*middle), room, anchor, largest)

    def _balloon(self, cell: Cell, bore: Point) -> None:
        """The cylinder's number in a ring; that of the first is solid."""
        first = cell.name == cylinder_names(self.sheet)[0]
        x, y = self.frame.at(*bore)
        if self.kind == "cylinder":
            y -= self.radius * 0.74
        size = 3.4 if self.kind == "valve" else 2.9
        self.board.circle((x, y), size, MEDIUM, fill="line" if first else "paper")
        letter = fitting(cell.name, size * 1.5, size * 1.25)
        self.board.text(
            (x, y + letter * 0.36),
            cell.name,
            letter,
            shade="paper" if first else "line",
            bold=True,
            face="figures",
        )

    def _ends(self) -> None:
        """Which end numbering starts from, left and right as seated, the banks' names."""
        board, frame = self.board, self.frame
        for bank, corner in self._bank_corners():
            board.text(corner, bank, 3.0, "start")
        side = named_side(self.sheet.layout.end)
        if side is None or self.grid.upright:
            return
        c = self.head + self.pitch_c * self.grid.rows / 2
        if self.turned:
            board.text((board.width / 2, 5.0), "LEFT", 3.4)
            board.text((board.width / 2, board.height - 2.4), "RIGHT", 3.4)
            return
        lift = -1.2 if self.grid.rows == 1 else -1.4
        board.text(frame.at(0.8, c + lift), "LEFT", 3.0, "start")
        board.text(frame.at(frame.along - 0.8, c + lift), "RIGHT", 3.0, "end")

    def _bank_corners(self) -> Iterator[tuple[str, Point]]:
        """The banks' names, and where they stand on paper."""
        seen: set[str] = set()
        for cell in sorted(self.grid.cells, key=lambda cell: (cell.row, cell.column)):
            if cell.bank and cell.bank not in seen:
                seen.add(cell.bank)
                a, c = self._centre(cell)
                yield cell.bank, (max(1.0, a - self.pitch_a / 2 + 1), c - self.pitch_c / 2 + 3.2)
