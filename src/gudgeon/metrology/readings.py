"""Readings as typed, brought to millimetres with what is known of their errors.

reading as typed → unit → zero error of the instrument → 20 °C (part and gauge) → repeats of one
spot brought together. Nothing typed is changed; every step is kept for showing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final

from gudgeon.faults import Fault
from gudgeon.metrology.instruments import Cabinet, cabinet
from gudgeon.metrology.measured import Measured, linear, mean_of
from gudgeon.metrology.settings import Settings, settings
from gudgeon.metrology.stale import Done, Stale, reason, stale
from gudgeon.metrology.taken import Reader, Taken, own_source
from gudgeon.metrology.taken import Spot as Spot

if TYPE_CHECKING:
    from gudgeon.log.job import Job, Shop

#: Repeats of one spot further apart than this many times a reading's own part do not agree.
DISAGREE: Final = 6.0
#: Pooled scatter is used in place of the usual figure from this many degrees of freedom on.
ENOUGH_REPEATS: Final = 5


@dataclass(frozen=True, slots=True)
class AtSpot:
    """All readings of one spot brought together.

    Attributes:
        spot: names along the plan. taken: its readings. value: their mean, with error sources.
        below: the gap is smaller than this [mm], where no blade went.
        notes: what had to be assumed.
    """

    spot: Spot
    taken: tuple[Taken, ...]
    value: Measured | None
    below: float | None = None
    notes: tuple[str, ...] = ()


Key = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """Every reading of a job, by feature, place and epoch.

    Attributes:
        spots: (feature, place, epoch) -> spot -> its readings.
        taken: entry -> reading, also of those set aside.
        aside: entries set aside because the same was read again after something was done.
        stale: (feature, place, epoch) -> why its readings no longer hold.
        settings: the settings in force. cabinet: the instruments. faults: what can't be used.
    """

    spots: Mapping[Key, Mapping[Spot, AtSpot]]
    taken: Mapping[str, Taken]
    aside: frozenset[str]
    stale: Mapping[Key, str]
    settings: Settings
    cabinet: Cabinet
    faults: tuple[Fault, ...] = ()
    order: tuple[Key, ...] = field(default=())

    def at(self, feature: str, place: str, epoch: str = "found") -> Mapping[Spot, AtSpot]:
        """The spots read of a feature at a place; empty where nothing was."""
        return self.spots.get((feature, place, epoch), {})

    def values(self, feature: str, place: str, epoch: str = "found") -> dict[Spot, Measured]:
        """The values of the spots read of a feature at a place [mm], corrected."""
        return {
            spot: at.value
            for spot, at in self.at(feature, place, epoch).items()
            if at.value is not None
        }


def read_all(job: Job, shop: Shop) -> Table:
    """Every reading of a job that counts, corrected and brought together."""
    in_force = settings(job.settings, shop.settings)
    held = cabinet(shop.instruments, shop.checks)
    done = stale(job.sheet, job.events)
    faults = [*in_force.faults, *held.faults, *done.faults]
    reader = Reader(job, in_force, held, faults)
    taken: list[Taken] = []
    for entry in job.readings:
        taken.extend(reader.reading(entry))
    for blade in job.feelers:
        taken.extend(reader.feeler(blade))
    taken = _pooled(taken)
    groups: dict[Key, list[Taken]] = {}
    for item in taken:
        groups.setdefault((item.feature, item.place, item.epoch), []).append(item)
    spots: dict[Key, dict[Spot, AtSpot]] = {}
    aside: set[str] = set()
    stales: dict[Key, str] = {}
    for key, items in groups.items():
        kept, old, why = _in_force(items, done)
        aside.update(item.entry for item in old)
        if why:
            stales[key] = why
        spots[key] = _by_spot(kept)
    return Table(
        spots,
        {item.entry: item for item in taken},
        frozenset(aside),
        stales,
        in_force,
        held,
        tuple(faults),
        tuple(spots),
    )


def _in_force(items: list[Taken], done: Stale) -> tuple[list[Taken], list[Taken], str | None]:
    """Readings that count, those set aside, and why the ones that count are stale, if they are."""
    last: Done | None = done.last(items[0].feature, items[0].place)
    if last is None:
        return items, [], None
    after = [item for item in items if item.when > last.when]
    if after:
        return after, [item for item in items if item.when <= last.when], None
    return items, [], reason(last, max(item.when for item in items))


def _by_spot(items: Iterable[Taken]) -> dict[Spot, AtSpot]:
    spots: dict[Spot, list[Taken]] = {}
    for item in items:
        spots.setdefault(item.spot, []).append(item)
    return {spot: _together(spot, tuple(at)) for spot, at in spots.items()}


def _together(spot: Spot, taken: tuple[Taken, ...]) -> AtSpot:
    """The mean of repeats; what they share stays whole, each one's own part averages out."""
    notes = dict.fromkeys(note for item in taken for note in item.notes)
    values = [item.value for item in taken if item.value is not None]
    if not values:
        bounds = [item.below for item in taken if item.below is not None]
        return AtSpot(spot, taken, None, min(bounds, default=None), tuple(notes))
    if len(values) < len(taken):
        notes["one attempt found no gap at all, another did: measure again"] = None
    if len(values) == 1:
        return AtSpot(spot, taken, values[0], None, tuple(notes))
    mean = mean_of(values)
    centre = mean.value
    spread = max(v.value for v in values) - min(v.value for v in values)
    if spread > DISAGREE * _own(taken[0]):
        count = len(values)
        scatter = math.sqrt(sum((v.value - centre) ** 2 for v in values) / (count - 1) / count)
        mean = linear([(1.0, mean), (1.0, Measured.of(0.0, scatter, f"repeats:{taken[0].entry}"))])
        notes[f"repeats lie {spread:.3f} apart, more than the instrument explains"] = None
    return AtSpot(spot, taken, mean, None, tuple(notes))


def _own(item: Taken) -> float:
    """What one reading adds of its own [mm]."""
    if item.value is None:
        return 0.0
    return abs(item.value.parts.get(own_source(item.entry), 0.0))


def _pooled(taken: list[Taken]) -> list[Taken]:
    """Readings of an instrument whose repeats scatter more than usual get the pooled scatter."""
    repeats: dict[tuple[str, str, str, Spot], list[Taken]] = {}
    for item in taken:
        if item.value is not None:
            key = (item.place, item.feature, item.epoch, item.spot)
            repeats.setdefault(key, []).append(item)
    sums: dict[str, list[float]] = {}
    for items in repeats.values():
        values = [item.value.value for item in items if item.value is not None]
        if len(values) < 2 or max(values) - min(values) > DISAGREE * _own(items[0]):
            continue
        if any(item.instrument.name != items[0].instrument.name for item in items):
            continue
        centre = math.fsum(values) / len(values)
        pool = sums.setdefault(items[0].instrument.name, [0.0, 0.0])
        pool[0] += math.fsum((value - centre) ** 2 for value in values)
        pool[1] += len(values) - 1
    scatter = {
        name: (math.sqrt(total / degrees), degrees)
        for name, (total, degrees) in sums.items()
        if degrees >= ENOUGH_REPEATS
    }
    return [_widened(item, *scatter.get(item.instrument.name, (0.0, 0.0))) for item in taken]


def _widened(item: Taken, scatter: float, degrees: float) -> Taken:
    if item.value is None or scatter <= _own(item):
        return item
    source = own_source(item.entry)
    value = Measured(
        item.value.value,
        {**item.value.parts, source: scatter},
        {**item.value.dof, source: degrees},
    )
    note = f"repeats of {item.instrument.name} scatter by {scatter:.4f}, more than usual"
    return replace(item, value=value, notes=(*item.notes, note))
