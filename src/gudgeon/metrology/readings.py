"""Readings as typed, brought to millimetres with what is known of their errors.

reading as typed → unit → zero error of the instrument → 20 °C (part and gauge) → repeats of one
spot brought together. Nothing typed is changed; every step is kept for showing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.faults import Fault
from gudgeon.metrology.blades import Blades, blades
from gudgeon.metrology.instruments import Cabinet, Owned, cabinet, moment
from gudgeon.metrology.measured import Measured, linear, mean_of
from gudgeon.metrology.settings import Settings, settings
from gudgeon.metrology.stale import Done, Stale, reason, stale
from gudgeon.metrology.thermal import Warmth, brought_to_20
from gudgeon.numbers import LENGTH_UNITS, NotANumber, read_decimal, read_length, shown, split_unit

if TYPE_CHECKING:
    from gudgeon.log.entries import Feeler, Reading
    from gudgeon.log.job import Job, Shop
    from gudgeon.sheet.features import Feature

#: Grams in one unit of mass.
MASS_UNITS: Final[dict[str, float]] = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125}
#: Repeats of one spot further apart than this many times a reading's own part do not agree.
DISAGREE: Final = 6.0
#: Pooled scatter is used in place of the usual figure from this many degrees of freedom on.
ENOUGH_REPEATS: Final = 5

Spot = tuple[str, ...]


class Step(NamedTuple):
    """One correction of a reading: in words, and by how much [mm]."""

    words: str
    amount: float


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading, brought to millimetres (or grams).

    Attributes:
        entry: its id. place, feature, epoch, spot, attempt: what was read.
        typed: as typed, with its unit. raw: the same in mm (g), before any correction; none where
            a blade would not go.
        value: corrected, with its error sources; none where only an upper bound is known.
        below: the gap is smaller than this [mm].
        when: its time. instrument: with what. decimals: digits of a millimetre that were typed.
        steps: the corrections made. notes: what had to be assumed.
    """

    entry: str
    place: str
    feature: str
    epoch: str
    spot: Spot
    attempt: int
    typed: str
    raw: float | None
    value: Measured | None
    below: float | None
    when: datetime
    instrument: Owned
    decimals: int
    steps: tuple[Step, ...] = ()
    notes: tuple[str, ...] = ()


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
    reader = _Reader(job, in_force, held, faults)
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


def own_source(entry: str) -> str:
    """Name of the error source that is one reading's alone."""
    return f"reading:{entry}"


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


class _Reader:
    """Brings single entries to millimetres; entries that can't be used become faults."""

    def __init__(self, job: Job, in_force: Settings, held: Cabinet, faults: list[Fault]) -> None:
        self.sheet = job.sheet
        self.settings = in_force
        self.cabinet = held
        self.faults = faults

    def _feature(self, entry: Reading | Feeler) -> Feature | None:
        feature = self.sheet.features.get(entry.feature)
        if feature is None or entry.place not in self.sheet.layout.of(feature.at):
            self.faults.append(
                Fault(
                    f"entry {entry.id}",
                    f"'{entry.feature}' at {entry.place} is not in the sheet",
                    "measure what the sheet has, or put it in the sheet",
                )
            )
            return None
        return feature

    def reading(self, entry: Reading) -> list[Taken]:
        """A number as typed, corrected. Empty where it can't be used."""
        feature = self._feature(entry)
        if feature is None:
            return []
        unknown = next((axis for axis in feature.plan if axis not in entry.spot), None)
        if unknown is not None or any(
            entry.spot[axis] not in names for axis, names in feature.plan.items()
        ):
            plan = "; ".join(f"{axis} {', '.join(names)}" for axis, names in feature.plan.items())
            return self._fault(entry.id, f"the spot of '{entry.feature}' is not in its plan", plan)
        owned = self.cabinet.find(entry.instrument, feature.by, feature.kind, feature.wears)
        if feature.kind == "gap" and owned.kind.name == "feeler":
            return self._blades(entry, feature, owned, entry.typed, None, "drag")
        try:
            typed = _typed(entry, feature, self.sheet.unit)
        except NotANumber as problem:
            return self._fault(entry.id, problem.wrong, problem.right)
        if feature.kind == "size" and typed.value <= 0.0:
            return self._fault(entry.id, f"{shown(entry.typed)} is no size", "type it again")
        return [self._corrected(entry, feature, owned, typed)]

    def _corrected(self, entry: Reading, feature: Feature, owned: Owned, typed: _Typed) -> Taken:
        number, decimals = typed.value, typed.decimals
        when = moment(entry.at)
        zero = owned.zero_at(when)
        figures = owned.figures(number)
        step = 10.0**-decimals
        own = max(figures.reading, min(step, figures.division) / math.sqrt(12.0))
        steps: list[Step] = []
        value = number
        setting = figures.setting
        if zero is not None:
            setting = zero.u
            if zero.error:
                value -= zero.error
                steps.append(Step(f"zero error of {owned.name}", -zero.error))
        measured = Measured(value, {owned.source(zero): setting, own_source(entry.id): own})
        notes: tuple[str, ...] = ()
        if (
            entry.instrument is not None
            and not owned.listed
            and owned.name
            not in (
                owned.kind.name,
                feature.by,
            )
        ):
            notes = (f"{owned.name} is not in the shop's list: taken as {owned.kind.words}",)
        if feature.kind in ("size", "height"):
            warm = Warmth(
                entry.feature,
                feature.of,
                entry.part_temp,
                entry.gauge_temp,
                self.settings.shop_temperature,
                self.settings.temperature_spread,
            )
            cold = brought_to_20(measured, warm, f"entry {entry.id}", self.faults)
            shift = cold.value.value - measured.value
            if shift:
                steps.append(Step(cold.words, shift))
            measured = cold.value
            notes += cold.notes
        return Taken(
            entry.id,
            entry.place,
            entry.feature,
            entry.epoch,
            tuple(entry.spot[axis] for axis in feature.plan),
            entry.attempt,
            f"{typed.text} {typed.unit}",
            number,
            measured,
            None,
            when,
            owned,
            decimals,
            tuple(steps),
            notes,
        )

    def feeler(self, entry: Feeler) -> list[Taken]:
        """A gap between two blades. Empty where it can't be used."""
        feature = self._feature(entry)
        if feature is None:
            return []
        if feature.plan:
            return self._fault(
                entry.id,
                f"'{entry.feature}' has a plan of spots and a blade names none",
                "enter it as a reading at its spot",
            )
        owned = self.cabinet.find(entry.instrument, feature.by, "gap", None)
        return self._blades(entry, feature, owned, entry.goes, entry.wont, entry.feel)

    def _blades(
        self,
        entry: Reading | Feeler,
        feature: Feature,
        owned: Owned,
        goes: str | None,
        wont: str | None,
        feel: str | None,
    ) -> list[Taken]:
        unit = entry.unit or self.sheet.unit
        named: Mapping[str, str] = getattr(entry, "spot", {})
        spot = tuple(named[axis] for axis in feature.plan)
        at = "/".join((entry.place, entry.feature, entry.epoch, *spot))
        found = blades(goes, wont, feel, unit, owned, entry.id, at)
        if isinstance(found, Fault):
            self.faults.append(found)
            return []
        return [_gap(entry, found, owned, spot)]

    def _fault(self, entry: str, wrong: str, right: str) -> list[Taken]:
        self.faults.append(Fault(f"entry {entry}", wrong, right))
        return []


def _gap(entry: Reading | Feeler, found: Blades, owned: Owned, spot: Spot) -> Taken:
    return Taken(
        entry.id,
        entry.place,
        entry.feature,
        entry.epoch,
        spot,
        entry.attempt,
        found.typed,
        None if found.value is None else found.value.value,
        found.value,
        found.below,
        moment(entry.at),
        owned,
        found.decimals,
        (),
        found.notes,
    )


class _Typed(NamedTuple):
    """A number as typed: its value [mm or g], text and unit, and the decimals it stands for."""

    value: float
    text: str
    unit: str
    decimals: int


def _typed(entry: Reading, feature: Feature, sheet_unit: str) -> _Typed:
    if feature.kind == "mass":
        number, own = split_unit(entry.typed)
        unit = own or entry.unit or "g"
        if unit not in MASS_UNITS:
            raise NotANumber(f"{shown(unit)} is not a unit of mass", "use g, kg or oz")
        value = float(read_decimal(number)) * MASS_UNITS[unit]
        return _Typed(value, number, unit, decimals_of(number, MASS_UNITS[unit]))
    length = read_length(entry.typed, entry.unit or sheet_unit)
    decimals = decimals_of(length.typed, float(LENGTH_UNITS[length.unit]))
    return _Typed(float(length), length.typed, length.unit, decimals)


def decimals_of(typed: str, factor: float) -> int:
    """Decimals of a core unit that a number as typed stands for; `factor` is its unit's size.

    >>> decimals_of("81.000", 1.0), decimals_of("1.8901", 25.4), decimals_of("35", 0.001)
    (3, 3, 3)
    """
    after = len(typed.replace(",", ".").partition(".")[2])
    return min(6, max(0, after - math.floor(math.log10(factor) + 1e-9)))
