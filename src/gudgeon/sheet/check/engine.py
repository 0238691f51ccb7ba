"""Checks of the engine as a whole: swept volume, firing order, banks, the end numbering starts."""

from __future__ import annotations

import math
from typing import Final

from gudgeon.sheet.check.found import Remark, Remarks
from gudgeon.sheet.layout import CamEvents
from gudgeon.sheet.load import Loaded

#: Stated capacities are rounded to a cubic centimetre or to the class; 1 % covers both.
_CAPACITY_SHARE: Final = 0.01
#: Crank degrees a valve is open: from a mild stationary engine to a racing one, from memory.
_OPEN: Final = (180.0, 360.0)


def check_capacity(loaded: Loaded) -> Remarks:
    """Bore, stroke and number of cylinders give the stated capacity within 1 %."""
    engine, count = loaded.sheet.engine, len(loaded.sheet.layout.of("cylinder"))
    bore, stroke, stated = engine.bore, engine.stroke, engine.capacity
    if not bore or not stroke or not stated or not count or bore <= 0 or stroke <= 0:
        return
    swept = math.pi / 4 * bore**2 * stroke * count / 1000
    if abs(swept - stated) <= _CAPACITY_SHARE * stated:
        return
    right = "check bore, stroke, capacity and the number of cylinders"
    each = math.pi / 4 * bore**2 * stroke / 1000
    fitting = round(stated / each) if stated / each < 64 else 0
    if fitting != count and fitting and abs(fitting * each - stated) <= _CAPACITY_SHARE * stated:
        right = f"{fitting} cylinders would give {fitting * each:.1f} cc"
    elif _near(swept * 25.4**2, stated):
        right = f"a bore of {bore} in would give {swept * 25.4**2:.1f} cc"
    elif _near(swept * 25.4, stated):
        right = f"a stroke of {stroke} in would give {swept * 25.4:.1f} cc"
    elif _near(swept * 25.4**3, stated):
        right = f"bore and stroke in inches would give {swept * 25.4**3:.1f} cc"
    yield Remark(
        ("engine", "capacity"),
        f"bore, stroke and {count} cylinders give {swept:.1f} cc, the sheet says {stated:g} cc",
        right,
        f"{count} × π/4 × ({bore})² × {stroke} = {swept:.1f} cc",
    )


def _near(value: float, stated: float) -> bool:
    return abs(value - stated) <= _CAPACITY_SHARE * stated


def check_firing(loaded: Loaded) -> Remarks:
    """Each cylinder fires once in 720 degrees; cams open for a believable time."""
    turning = loaded.sheet.turning
    cylinders = [address.partition("/")[2] for address in loaded.sheet.layout.of("cylinder")]
    if turning.firing:
        path = ("turning", "firing")
        for name in cylinders:
            if name not in turning.firing:
                yield Remark(path, f"cylinder {name} never fires", f"add {name} and its angle")
        for name, angle in turning.firing.items():
            if not 0 <= angle < 720:
                yield Remark(
                    (*path, name), f"cylinder {name} fires at {angle:g} degrees", "from 0 up to 720"
                )
        if min(turning.firing.values()) != 0 and 0 <= min(turning.firing.values()) < 720:
            yield Remark(path, "no cylinder fires at 0", "count from the first one's TDC")
        angles = list(turning.firing.values())
        twice = sorted({angle for angle in angles if angles.count(angle) > 1})
        if twice:
            yield Remark(
                path,
                f"more than one cylinder fires at {twice[0]:g} degrees",
                "right only where they fire together",
                severity="look",
            )
    for side, events in (("in", turning.in_), ("ex", turning.ex)):
        if events is not None:
            yield from _events(side, events)


def _events(side: str, events: CamEvents) -> Remarks:
    if events.opens is None or events.closes is None:
        return
    opened = events.opens + 180 + events.closes
    if not _OPEN[0] <= opened <= _OPEN[1]:
        yield Remark(
            ("turning", side),
            f"the {side} valves are open for {opened:g} degrees",
            "check both angles and their signs (before opening, after closing)",
            f"{events.opens:g} + 180 + {events.closes:g} = {opened:g}",
            "look",
        )


def check_layout(loaded: Loaded) -> Remarks:
    """It is stated which end numbering starts from, and each cylinder stands in one bank."""
    sheet = loaded.sheet
    cylinders = [address.partition("/")[2] for address in sheet.layout.of("cylinder")]
    if len(cylinders) > 1 and not sheet.places.get("end"):
        yield Remark(
            ("places",),
            "nothing says from which end numbering starts",
            "write end: 1 = left, sitting on the machine",
            severity="look",
        )
    banks = sheet.engine.layout.banks
    path = ("engine", "layout", "banks")
    if banks:
        held = [name for bank in banks.values() for name in bank]
        for name in cylinders:
            if held.count(name) != 1:
                times = "in no bank" if name not in held else f"in {held.count(name)} banks"
                yield Remark(path, f"cylinder {name} stands {times}", "name it once")
    elif sheet.engine.layout.kind != "inline" and len(cylinders) > 1:
        yield Remark(
            ("engine", "layout"),
            f"a {sheet.engine.layout.kind} engine without banks",
            "write banks: {front: [1], rear: [2]}",
            severity="look",
        )
