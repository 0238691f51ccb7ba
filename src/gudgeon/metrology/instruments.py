"""The shop's own instruments: their figures, and their zero errors from setting checks."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.faults import Fault
from gudgeon.metrology.kinds import KINDS, Figures, Kind, kind_named, usual_kind
from gudgeon.numbers import NotANumber, read_length

if TYPE_CHECKING:
    from gudgeon.log.entries import Instrument, SettingCheck

#: Standard uncertainty of a reference of known size [mm] where the check states none. Common
#: practice, no source.
REFERENCE_U: Final = 0.001
#: A check that differs by more than this [mm] is taken for a misreading, not for a zero error.
LARGEST_ZERO: Final = 0.2


class Zero(NamedTuple):
    """What a setting check found.

    Attributes:
        entry: the check's id. when: its time. error: read less reference [mm].
        u: standard uncertainty that is left of the zero [mm].
    """

    entry: str
    when: datetime
    error: float
    u: float


@dataclass(frozen=True, slots=True)
class Owned:
    """An instrument as a reading meets it.

    Attributes:
        name: its own name, or that of its kind. kind: what it is.
        setting, reading: the shop's own standard uncertainties [mm], if stated.
        zeros: its setting checks, the earliest first.
        listed: whether the shop's list has it.
    """

    name: str
    kind: Kind
    setting: float | None = None
    reading: float | None = None
    zeros: tuple[Zero, ...] = ()
    listed: bool = False

    def figures(self, size_mm: float) -> Figures:
        """Its two parts at a size [mm]: the shop's own where stated, else those of its kind."""
        usual = self.kind.figures(size_mm)
        return Figures(
            usual.setting if self.setting is None else self.setting,
            usual.reading if self.reading is None else self.reading,
            usual.division,
        )

    def zero_at(self, moment: datetime) -> Zero | None:
        """The last setting check made at or before a moment."""
        before = [zero for zero in self.zeros if zero.when <= moment]
        return before[-1] if before else None

    def source(self, zero: Zero | None) -> str:
        """Name of the error source all readings of this instrument (under one check) share."""
        base = f"instrument:{self.name}/{self.kind.shared}"
        return base if zero is None else f"{base} after check {zero.entry}"


class Cabinet(NamedTuple):
    """The shop's instruments as readings meet them, and what can't be used of them."""

    owned: Mapping[str, Owned]
    faults: tuple[Fault, ...]

    def find(self, name: str | None, by: str | None, reading: str, wears: str | None) -> Owned:
        """The instrument of a reading.

        Args:
            name: as the entry has it. by: the kind the sheet names. reading: sort of reading.
            wears: the way wear takes the part.
        """
        if name is not None and name in self.owned:
            return self.owned[name]
        kind = kind_named(name) or kind_named(by) or usual_kind(reading, wears)
        return Owned(name or kind.name, kind)


def moment(at: str) -> datetime:
    """The time an entry was made, with its offset; a day no calendar has counts as the earliest.

    >>> moment("2026-03-01T10:00:00+01:00") < moment("2026-03-01T09:30:00Z")
    True
    """
    try:
        return datetime.fromisoformat(at)
    except ValueError:
        return datetime.min.replace(tzinfo=UTC)


def cabinet(instruments: Mapping[str, Instrument], checks: Sequence[SettingCheck]) -> Cabinet:
    """The shop's instruments with their own figures and setting checks.

    A check corrects all readings made after it, until the next: reading − (read − reference).
    What is left of the zero is the reference's own uncertainty and, as a check is done with care
    and more than once, half of one reading's.
    """
    faults: list[Fault] = []
    owned: dict[str, Owned] = {}
    for name, entry in instruments.items():
        kind = kind_named(entry.of)
        if kind is None:
            known = ", ".join(KINDS)
            faults.append(
                Fault(f"entry {entry.id}", f"'{entry.of}' is no kind of instrument", f"use {known}")
            )
            continue
        unit = entry.unit or ("g" if kind.name == "scales" else "mm")
        setting = _uncertainty(entry.u_zero, unit, entry.id, faults)
        reading = _uncertainty(entry.u_read, unit, entry.id, faults)
        owned[name] = Owned(name, kind, setting, reading, listed=True)
    for name, mine in _by_instrument(checks).items():
        base = owned.get(name)
        if base is None:
            kind = kind_named(name)
            if kind is None:
                faults.extend(_unknown(check) for check in mine)
                continue
            base = Owned(name, kind)
        zeros = [zero for check in mine if (zero := _zero(check, base, faults))]
        zeros.sort(key=lambda zero: zero.when)
        owned[name] = Owned(name, base.kind, base.setting, base.reading, tuple(zeros), base.listed)
    return Cabinet(owned, tuple(faults))


def _by_instrument(checks: Iterable[SettingCheck]) -> dict[str, list[SettingCheck]]:
    groups: dict[str, list[SettingCheck]] = {}
    for check in checks:
        groups.setdefault(check.instrument, []).append(check)
    return groups


def _unknown(check: SettingCheck) -> Fault:
    return Fault(
        f"entry {check.id}",
        f"the shop has no instrument '{check.instrument}'",
        "enter the instrument, or name a kind",
    )


def _zero(check: SettingCheck, owned: Owned, faults: list[Fault]) -> Zero | None:
    unit = check.unit or "mm"
    reference = _length(check.reference, unit, check.id, faults)
    read = _length(check.read, unit, check.id, faults)
    if reference is None or read is None:
        return None
    stated = _uncertainty(check.reference_u, unit, check.id, faults)
    error = read - reference
    if abs(error) > LARGEST_ZERO:
        faults.append(
            Fault(
                f"entry {check.id}",
                f"the check is {error:+.3f} mm off its reference, which is no zero error",
                "read the reference again; this check is not used",
            )
        )
        return None
    own = owned.figures(reference).reading / 2.0
    left = math.hypot(REFERENCE_U if stated is None else stated, own)
    return Zero(check.id, moment(check.at), error, left)


def _uncertainty(typed: str | None, unit: str, entry: str, faults: list[Fault]) -> float | None:
    value = _length(typed, unit, entry, faults)
    if value is not None and value < 0.0:
        wrong = f"an uncertainty of {typed} is below nothing"
        faults.append(Fault(f"entry {entry}", wrong, "give it without a sign"))
        return None
    return value


def _length(typed: str | None, unit: str, entry: str, faults: list[Fault]) -> float | None:
    if typed is None:
        return None
    try:
        if unit == "g":
            return float(read_length(typed, "mm"))
        return float(read_length(typed, unit))
    except NotANumber as problem:
        faults.append(Fault(f"entry {entry}", problem.wrong, problem.right))
        return None
