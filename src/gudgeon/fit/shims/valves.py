"""What each valve needs: the clearance that a shim of a given thickness would leave.

    clearance = read + (shim there then − rise − shim now) / ratio

where the rise is how much further up the valve sits than when the clearance was read. Errors keep
their sources, so the zero error of one micrometer cancels in "shim there then − shim now", and the
shim that stays where it is cancels altogether.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from gudgeon.faults import Fault
from gudgeon.metrology.measured import Measured
from gudgeon.sheet.places import Places
from gudgeon.sheet.select import Shims

Base = Literal["found", "seated", "estimate", "dry", "built"]

#: Seats bed in the first hours: the change of clearance [mm], where the sheet states none.
#: Common practice, no source.
BEDDING: Final = (-0.03, -0.01)

#: Why a valve has no pick where nobody said which shim sits there.
NOT_RECORDED: Final = "the shim there was not recorded: measure it"
NO_GAP: Final = (
    "no gap could be read, the valve is held open or nearly so: fit a thinner checking shim and"
    " read again"
)


@dataclass(frozen=True, slots=True)
class Fitted:
    """A shim that sits, or sat, at a place.

    Attributes:
        entry: the log entry that says so.
        thickness: by the micrometer, else by its mark [mm].
        mark: as stamped, if it was read.
        condition: good, dished or chipped.
        measured: whether the micrometer was used.
        note: what was noticed, such as a mark that disagrees with the micrometer.
    """

    entry: str
    thickness: Measured
    mark: str | None = None
    condition: str = "good"
    measured: bool = True
    note: str = ""


@dataclass(frozen=True, slots=True)
class Valve:
    """One valve as the choice sees it.

    Attributes:
        place: its address. side: `in` or `ex`.
        window: least and greatest clearance [mm]. aim: clearance to aim at [mm].
        base: which readings the forecast rests on.
        read: clearance at that time [mm]; none where no gap could be read.
        shim: the shim there then; none where it is not known.
        rise: how much further up the valve sits since [mm].
        ratio: movement at the valve for each unit where the clearance is read.
        beds: whether fresh seat work will bed in.
        needs: what is missing before a shim can be chosen; empty when nothing is.
    """

    place: str
    side: str
    window: tuple[float, float]
    aim: float
    base: Base
    read: Measured | None
    shim: Fitted | None
    rise: Measured
    ratio: float
    beds: bool
    needs: str = ""

    def clearance(self, thickness: Measured) -> Measured:
        """The clearance [mm] with a shim of that thickness [mm].

        Raises ValueError where the valve still needs something.
        """
        if self.read is None or self.shim is None:
            raise ValueError(f"{self.place}: {self.needs}")
        moved = self.shim.thickness - self.rise - thickness
        return self.read + moved / self.ratio

    @property
    def room(self) -> Measured:
        """The thickness [mm] that would leave no clearance at all.

        Raises ValueError where the valve still needs something.
        """
        if self.read is None or self.shim is None:
            raise ValueError(f"{self.place}: {self.needs}")
        return self.shim.thickness - self.rise + self.read * self.ratio

    @property
    def with_old_shim(self) -> Measured | None:
        """The clearance [mm] if the old shim stayed; none where it is not known."""
        if self.read is None or self.shim is None:
            return None
        return self.read - self.rise / self.ratio


@dataclass(frozen=True, slots=True)
class ShimReadings:
    """The readings the valves are built from, each by place and epoch.

    Attributes:
        gaps: clearance [mm]; a key with none means the blade that should go did not: no gap.
        shims: what sat there.
        rises: change of the stem tip by readings [mm], by place.
        estimates: rise by a person's estimate [mm], by place.
        recut: places where something was done since the clearance was read, in words.
        worked: places whose seats were worked on at any time, so that they will bed in.
        unread: what is wrong with a shim that was recorded but can't be sized.
    """

    gaps: Mapping[tuple[str, str], Measured | None]
    shims: Mapping[tuple[str, str], Fitted]
    rises: Mapping[str, Measured]
    estimates: Mapping[str, Measured]
    recut: Mapping[str, str]
    worked: frozenset[str] = frozenset()
    unread: Mapping[tuple[str, str], str] = field(default_factory=dict)

    def before_build(self) -> ShimReadings:
        """The same without what was read as built: what the forecast rested on."""
        return ShimReadings(
            {key: gap for key, gap in self.gaps.items() if key[1] != "built"},
            {key: shim for key, shim in self.shims.items() if key[1] != "built"},
            self.rises,
            self.estimates,
            self.recut,
            self.worked,
            self.unread,
        )


def valves(
    layout: Places, spec: Shims, readings: ShimReadings
) -> tuple[tuple[Valve, ...], list[Fault]]:
    """Every valve of the engine, and the faults that keep the choice from being made."""
    faults: list[Fault] = []
    made = []
    for place in layout.of(spec.at):
        side = layout.side(place) or "in"
        window = _window(spec, side)
        if window is None:
            faults.append(
                Fault(place, "the sheet gives no window for this valve", "fill in shims: window")
            )
            continue
        made.append(_valve(spec, readings, place, side, window))
    return tuple(made), faults


def _window(spec: Shims, side: str) -> tuple[float, float] | None:
    limits = getattr(spec.window, "in_" if side == "in" else "ex", None) if spec.window else None
    if limits is None or limits.min is None or limits.max is None:
        return None
    return float(limits.min), float(limits.max)


def _valve(
    spec: Shims, readings: ShimReadings, place: str, side: str, window: tuple[float, float]
) -> Valve:
    aims = spec.aim
    aim = getattr(aims, "in_" if side == "in" else "ex", None) if aims else None
    base, rise, needs = _base(readings, place)
    read = readings.gaps.get((place, _epoch(base)))
    shim = readings.shims.get((place, _epoch(base)))
    if not needs:
        needs = _missing(readings, place, base)
    return Valve(
        place,
        side,
        window,
        float(aim) if aim is not None else (window[0] + window[1]) / 2,
        base,
        read,
        shim,
        rise,
        float(spec.ratio) if spec.read_at == "cam" else 1.0,
        beds=base in ("seated", "estimate") or place in readings.worked,
        needs=needs,
    )


def _epoch(base: Base) -> str:
    return base if base in ("dry", "built") else "found"


def _base(readings: ShimReadings, place: str) -> tuple[Base, Measured, str]:
    """The readings to rest on, newest first: built, dry build, found with rise, found."""
    nothing = Measured(0.0)
    for epoch in ("built", "dry"):
        if (place, epoch) in readings.gaps and (place, epoch) in readings.shims:
            return ("built" if epoch == "built" else "dry"), nothing, ""
    if place in readings.rises:
        return "seated", readings.rises[place], ""
    if place in readings.estimates:
        return "estimate", readings.estimates[place], ""
    if place in readings.recut:
        return (
            "found",
            nothing,
            f"{readings.recut[place]} since the clearance was read: measure the stem tip"
            " again, estimate the rise with its spread, or build dry with a checking shim",
        )
    return "found", nothing, ""


def _missing(readings: ShimReadings, place: str, base: Base) -> str:
    epoch = _epoch(base)
    if (place, epoch) not in readings.shims:
        return readings.unread.get((place, epoch), NOT_RECORDED)
    if (place, epoch) not in readings.gaps:
        return "no clearance was read: build dry with a checking shim and read it"
    if readings.gaps[place, epoch] is None:
        return NO_GAP
    return ""


def held_open(found: Sequence[Valve]) -> tuple[Valve, ...]:
    """The valves that their old shim holds open, or would, or leaves too little gap to read.

    Below 0.02 mm no blade tells (common practice, no source).
    """
    told = []
    for valve in found:
        old = valve.with_old_shim
        if old is None:
            if valve.shim is not None and valve.needs == NO_GAP:
                told.append(valve)
        elif valve.base in ("seated", "estimate") and old.value < 0.02:
            told.append(valve)
    return tuple(told)
