"""One entry of a log brought to millimetres: unit, zero error, 20 °C, and what is uncertain."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.faults import Fault
from gudgeon.metrology.blades import Blades, blades
from gudgeon.metrology.instruments import Cabinet, Owned, moment
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.settings import Settings
from gudgeon.metrology.thermal import Warmth, brought_to_20
from gudgeon.numbers import LENGTH_UNITS, NotANumber, read_decimal, read_length, shown, split_unit

if TYPE_CHECKING:
    from gudgeon.log.entries import Feeler, Reading
    from gudgeon.log.job import Job
    from gudgeon.sheet.features import Feature

#: Grams in one unit of mass.
MASS_UNITS: Final[dict[str, float]] = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125}

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


def own_source(entry: str) -> str:
    """Name of the error source that is one reading's alone."""
    return f"reading:{entry}"


class Reader:
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
