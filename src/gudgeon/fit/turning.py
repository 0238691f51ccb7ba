"""Where the crank must stand so that which valves can be read: "turn to here, read these four"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from gudgeon.sheet.model import Sheet

#: Crank degrees a lobe must be clear of its opening and closing, so that no ramp is read.
#: Common practice, no source.
RAMP_MARGIN: Final = 20.0
_CYCLE: Final = 720.0


@dataclass(frozen=True, slots=True)
class Stop:
    """One position of the crank.

    Attributes:
        angle: crank degrees after the first cylinder's compression TDC, 0 to below 720.
        cylinder: the cylinder that stands at its compression TDC there.
        turn: crank degrees to turn on from the stop before.
        valves: addresses of the valves to read there.
    """

    angle: float
    cylinder: str
    turn: float
    valves: tuple[str, ...]


def lifted(side: str, opens: float | None, closes: float | None) -> tuple[float, float]:
    """The arc over which a lobe lifts its valve, in crank degrees after compression TDC.

    `opens` and `closes` as a manual states them: inlet opening before TDC and closing after BDC,
    exhaust opening before BDC and closing after TDC [crank degrees]. Where either is missing the
    arc is the whole cycle but for compression TDC itself, where both lobes always point away
    (common practice, no source).

    >>> lifted("in", 28, 71), lifted("ex", 70, 45)
    ((332, 611), (110, 405))
    """
    if opens is None or closes is None:
        return RAMP_MARGIN, _CYCLE - RAMP_MARGIN
    if side == "in":
        return 360 - opens, 540 + closes
    return 180 - opens, 360 + closes


def readable(angle: float, firing: float, arc: tuple[float, float]) -> bool:
    """Whether a valve rests on its base circle at crank `angle` [degrees].

    `firing` is the angle of its cylinder's compression TDC, `arc` what `lifted` gives; the ramp
    margin is kept on both sides.
    """
    start, end = arc[0] - RAMP_MARGIN, arc[1] + RAMP_MARGIN
    after = (angle - firing - start) % _CYCLE
    return after >= (end - start) - 1e-9 or after < 1e-9


def stops(sheet: Sheet, valves: tuple[str, ...]) -> tuple[Stop, ...]:
    """The fewest compression-TDC positions at which every valve can be read, in turning order.

    Nothing where the sheet has no firing order. Ties go to the earlier positions.
    """
    firing = sheet.turning.firing
    if not firing or not valves:
        return ()
    can = _cover(sheet, firing, valves)
    wanted = {valve for seen in can.values() for valve in seen}
    angles = sorted(can)
    chosen = next(
        group
        for size in range(1, len(angles) + 1)
        for group in combinations(angles, size)
        if wanted <= {valve for angle in group for valve in can[angle]}
    )
    names = {float(angle) % _CYCLE: name for name, angle in firing.items()}
    told: list[Stop] = []
    done: set[str] = set()
    before = 0.0
    for angle in chosen:
        here = tuple(valve for valve in can[angle] if valve not in done)
        done.update(here)
        told.append(Stop(angle, names[angle], angle - before, here))
        before = angle
    return tuple(told)


def _cover(
    sheet: Sheet, firing: Mapping[str, float], valves: tuple[str, ...]
) -> dict[float, tuple[str, ...]]:
    """The valves that can be read at each cylinder's compression TDC."""
    turning, layout = sheet.turning, sheet.layout
    arcs = {
        side: lifted(side, events.opens if events else None, events.closes if events else None)
        for side, events in (("in", turning.in_), ("ex", turning.ex))
    }
    found: dict[float, tuple[str, ...]] = {}
    for angle in sorted(float(value) % _CYCLE for value in firing.values()):
        found[angle] = tuple(
            valve
            for valve in valves
            if (cylinder := (layout.parent(valve) or "").partition("/")[2]) in firing
            and readable(angle, firing[cylinder], arcs[layout.side(valve) or "in"])
        )
    return found
