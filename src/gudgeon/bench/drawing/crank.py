"""The engine from the side: its crank with mains and pins, an inline engine's barrels over it.

The throws stand as the firing angles of the sheet put them; without these they are drawn by turns,
and a note says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from gudgeon.bench.drawing.frame import Callout, Frame
from gudgeon.bench.drawing.plan import NARROW, TOUCHED, WIDE
from gudgeon.record.engine_places import (
    cylinder_names,
    main_boundaries,
    named_side,
    throws,
)
from gudgeon.record.svg import CENTRE, MEDIUM, THICK, THIN, Anchor, Shade, fitting
from gudgeon.sheet.model import Sheet

_THROW: Final = 7.0
_ROOM: Final = 14.5
_BARREL: Final = 30.0
#: Room past the outermost mains, for their lettering [mm].
_END: Final = 11.0


def draw_crank(sheet: Sheet, values: Mapping[str, Callout], narrow: bool = False) -> str:
    """The crank from the side as SVG; every place in `values` is a link.

    Args:
        sheet: which engine. values: address -> what stands there. narrow: for narrow paper, on
            which the crank stands on end.
    """
    lobes = throws(sheet)
    if not lobes or not (sheet.layout.of("main") or sheet.layout.of("pin")):
        return ""
    return _Crank(sheet, values, lobes, narrow).drawn()


def crank_notes(sheet: Sheet) -> tuple[str, ...]:
    """What must be said with the crank."""
    if firing_angles(sheet) is not None:
        return ("Seen from the side, the first cylinder on its top centre.",)
    if len(throws(sheet)) < 2:
        return ("Seen from the side.",)
    return ("Seen from the side; its throws are drawn by turns, not by the sheet.",)


def firing_angles(sheet: Sheet) -> list[float] | None:
    """Crank angle of each throw behind the first [degrees], where firing angles give it."""
    firing, names = sheet.turning.firing, cylinder_names(sheet)
    if sheet.engine.layout.kind != "inline" or not firing or any(n not in firing for n in names):
        return None
    return [float(firing[name]) - float(firing[names[0]]) for name in names]


class _Crank:
    """One crank being drawn."""

    def __init__(
        self,
        sheet: Sheet,
        values: Mapping[str, Callout],
        lobes: list[tuple[str, ...]],
        narrow: bool,
    ) -> None:
        self.sheet, self.values, self.lobes, self.narrow = sheet, values, lobes, narrow
        count = len(lobes)
        self.barrels = not narrow and sheet.engine.layout.kind == "inline"
        if narrow:
            most = max((len(pins) for pins in lobes), default=1)
            self.pitch = max(32.0, TOUCHED * most + 0.6)
            self.along = self.pitch * count + 22.0
            self.axis, across = NARROW / 2, NARROW
        else:
            self.pitch = min(46.0, (WIDE - 2 * _END) / count)
            self.along = WIDE
            self.axis = (_BARREL + 24.5) if self.barrels else 16.0
            across = self.axis + 15.0 + 2 * _ROOM
        self.left = (self.along - self.pitch * count) / 2
        self.frame = Frame(self.along, across, narrow)
        reverse = named_side(sheet.layout.end) == "right"
        self.order = list(range(count))[:: -1 if reverse else 1]
        angles = firing_angles(sheet)
        fits = angles is not None and len(angles) == count
        self.heights = [
            math.cos(math.radians(angles[k])) if fits and angles else (1.0 if k % 2 == 0 else -1.0)
            for k in range(count)
        ]

    def drawn(self) -> str:
        """The whole of it."""
        frame, count = self.frame, len(self.lobes)
        past = 5.5 if self.narrow else 9.0
        ends = (self.left - past, self.left + self.pitch * count + past)
        frame.line((ends[0], self.axis), (ends[1], self.axis), THIN, "line", CENTRE)
        if self.barrels:
            self._barrels()
        for lobe in range(count):
            self._throw(lobe)
        self._shaft()
        self._mains()
        for lobe, pins in enumerate(self.lobes):
            self._pins(lobe, pins)
        self._sides()
        name = self.sheet.engine.name or "engine"
        return frame.board.svg(f"{name}: crank from the side").replace(
            ' role="img"', ' role="group"', 1
        )

    def _a(self, lobe: int) -> float:
        """Middle of a throw along the crank."""
        return self.left + (self.order.index(lobe) + 0.5) * self.pitch

    def _pin(self, lobe: int) -> float:
        """How far across the paper a pin stands."""
        return self.axis - self.heights[lobe] * _THROW

    def _long(self) -> float:
        return min(10.0, self.pitch * 0.32)

    def _throw(self, lobe: int) -> None:
        """Two webs and the pin between them."""
        a, c = self._a(lobe), self._pin(lobe)
        long, web = self._long(), min(3.4, self.pitch * 0.1)
        upper, lower = min(c, self.axis) - 4.4, max(c, self.axis) + 4.4
        for way in (-1, 1):
            near = a + way * long / 2
            self.frame.box((near, upper), (near + way * web, lower))
        self.frame.box((a - long / 2, c - 2.9), (a + long / 2, c + 2.9), THICK)

    def _main_spots(self) -> dict[str, float]:
        mains = self.sheet.layout.of("main")
        count = len(self.lobes)
        at = main_boundaries(len(mains), count)
        if self.order and self.order[0] != 0:
            at = [count - place for place in at]
        return {
            address: self.left + place * self.pitch
            for address, place in zip(mains, at, strict=True)
        }

    def _shaft(self) -> None:
        """Mains from web to web, and plain shaft where two throws meet without a main."""
        mains = [round(a, 2) for a in self._main_spots().values()]
        clear = self._long() / 2 + min(3.4, self.pitch * 0.1)
        count = len(self.lobes)
        for boundary in range(count + 1):
            a = self.left + boundary * self.pitch
            left = a - (self.pitch / 2 - clear if boundary else 6.0)
            right = a + (self.pitch / 2 - clear if boundary < count else 6.0)
            is_main = round(a, 2) in mains
            half = 3.5 if is_main else 2.1
            box = ((left, self.axis - half), (right, self.axis + half))
            self.frame.box(*box, THICK if is_main else MEDIUM)

    def _barrels(self) -> None:
        """Bores in section with their pistons and rods, as they stand over the crank."""
        names = cylinder_names(self.sheet)
        if len(names) != len(self.lobes):
            return
        half, foot, board = self.pitch * 0.36, self.axis - 15.5, self.frame.board
        top = foot - _BARREL
        for index, name in enumerate(names):
            a, pin = self._a(index), self._pin(index)
            for way in (-1, 1):
                board.line((a + way * half, top), (a + way * half, foot), THICK)
            crown = pin - 28.0
            board.rect((a - half + 0.5, crown), 2 * half - 1.0, 9.5, MEDIUM, fill="paper")
            for ring in (1.6, 3.0, 4.4):
                board.line((a - half + 0.5, crown + ring), (a + half - 0.5, crown + ring), THIN)
            board.circle((a, crown + 6.9), 1.3, MEDIUM, fill="paper")
            for way in (-1, 1):
                board.line((a + way * 0.9, crown + 8.0), (a + way * 1.5, pin - 2.6), MEDIUM)
            board.line((a, top - 1.5), (a, self.axis + 9.5), THIN, "line", CENTRE)
            board.circle((a, top - 4.6), 3.0, MEDIUM, fill="line" if index == 0 else "paper")
            size = fitting(name, 4.6, 3.7)
            shade: Shade = "paper" if index == 0 else "line"
            at = (a, top - 4.6 + size * 0.36)
            board.text(at, name, size, shade=shade, bold=True, face="figures")

    def _mains(self) -> None:
        """The mains' values, led out to one side."""
        room = self._room(max(1, len(self._main_spots())))
        for address, a in self._main_spots().items():
            out = self.axis - 14.0 if self.narrow else self.axis + 14.0
            middle = out - room[0] / 2 if self.narrow else out + room[1] / 2
            start = self.axis + (-3.5 if self.narrow else 3.5)
            self._led_out(address, (a, start), (a, out), (a, middle), room, "start")

    def _pins(self, lobe: int, pins: tuple[str, ...]) -> None:
        """The pins' values, led out to the other side, or below those of the mains."""
        share = self.pitch / max(1, len(pins))
        for number, pin in enumerate(pins):
            a = self._a(lobe) + (number - (len(pins) - 1) / 2) * share
            room = self._room(len(self.lobes), share)
            out = self.axis + 14.0 if self.narrow else self.axis + 14.0 + _ROOM
            middle = out + room[0] / 2 if self.narrow else out + room[1] / 2
            start = (self._a(lobe), self._pin(lobe) + 2.9)
            self._led_out(pin, start, (a, out), (a, middle), room, "end")

    def _room(self, count: int, share: float = 0.0) -> tuple[float, float]:
        """Width and height for one lettering on paper."""
        along = share or min(self.pitch, (self.along - 4.0) / count)
        if self.narrow:
            return NARROW / 2 - 15.0, min(along, TOUCHED)
        return min(along, 34.0, along if share else 2 * self.left) - 0.6, _ROOM - 1.0

    def _led_out(
        self,
        address: str,
        start: tuple[float, float],
        out: tuple[float, float],
        middle: tuple[float, float],
        room: tuple[float, float],
        anchor: Anchor,
    ) -> None:
        callout = self.values.get(address)
        if callout is None:
            return
        self.frame.open_link(callout)
        self.frame.path([start, out], THIN)
        at = self.frame.at(*middle)
        self.frame.callout(callout, at, room, anchor if self.narrow else "middle")
        self.frame.close_link()

    def _sides(self) -> None:
        if not named_side(self.sheet.layout.end):
            return
        board = self.frame.board
        if self.narrow:
            board.text((board.width / 2, 4.0), "LEFT", 3.4)
            board.text((board.width / 2, board.height - 1.4), "RIGHT", 3.4)
            return
        board.text((0.8, self.axis - 1.4), "LEFT", 3.0, "start")
        board.text((board.width - 0.8, self.axis - 1.4), "RIGHT", 3.0, "end")
