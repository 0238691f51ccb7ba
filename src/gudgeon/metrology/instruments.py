"""What each kind of instrument can tell, and what is known of the shop's own ones.

An instrument's error has two parts. The *setting* (zero, setting master, the hand that holds it)
is one for all readings of that instrument, so it cancels in a difference; the *reading* (division,
feel) is new each time. All figures here are common practice, no source: what a careful hand in an
unheated workshop reaches with a good instrument whose zero was checked. The shop's own figures go
before them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.faults import Fault
from gudgeon.numbers import NotANumber, read_length

if TYPE_CHECKING:
    from gudgeon.log.entries import Instrument, SettingCheck

PRACTICE: Final = "common practice, no source"
#: Standard uncertainty of a reference of known size [mm] where the check states none.
REFERENCE_U: Final = 0.001
#: A check that differs by more than this [mm] is taken for a misreading, not for a zero error.
LARGEST_ZERO: Final = 0.2


class Figures(NamedTuple):
    """Standard uncertainties of one instrument [mm; g for scales].

    Attributes:
        setting: of what all its readings share. reading: of each reading alone.
        division: the smallest step it is read to.
    """

    setting: float
    reading: float
    division: float


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of instrument.

    Attributes:
        name: as sheets and logs write it. words: as people say it.
        bands: up to which size [mm] -> half-width U that holds 95 % [mm; g for scales].
        share: which share of U² belongs to the setting; the rest is each reading's own.
        division: the smallest step it is read to.
        turn: what one thimble turn is worth [mm], 0 where there is no thimble in its chain.
        shared: what its readings share.
    """

    name: str
    words: str
    bands: tuple[tuple[float, float], ...]
    share: float
    division: float
    turn: float = 0.0
    shared: str = "zero"

    def expanded(self, size_mm: float) -> float:
        """Half-width U [mm] that holds 95 % at a size [mm].

        >>> KINDS["micrometer-0.01"].expanded(57.9)
        0.008
        """
        return next((u for up_to, u in self.bands if abs(size_mm) <= up_to), self.bands[-1][1])

    def figures(self, size_mm: float) -> Figures:
        """The two parts at a size [mm], U taken as twice the standard uncertainty."""
        u = self.expanded(size_mm) / 2.0
        return Figures(u * math.sqrt(self.share), u * math.sqrt(1.0 - self.share), self.division)


_ANY = math.inf
# Setting : reading = 3 : 4 for a micrometer, whose zero was checked; 4 : 3 for a bore gauge, whose
# setting master decides; half and half where two instruments are chained.
_MIC, _SET, _EVEN = 0.36, 0.64, 0.5

KINDS: Final[dict[str, Kind]] = {
    kind.name: kind
    for kind in (
        Kind("feeler", "feeler blades", ((_ANY, 0.012),), 4.0 / 9.0, 0.01, shared="feel"),
        Kind(
            "micrometer-0.01",
            "micrometer, 0.01 thimble",
            ((25.0, 0.005), (50.0, 0.006), (_ANY, 0.008)),
            _MIC,
            0.01,
            0.5,
        ),
        Kind(
            "micrometer-0.001",
            "micrometer, 0.001",
            ((25.0, 0.003), (50.0, 0.004), (_ANY, 0.006)),
            _MIC,
            0.001,
            0.5,
        ),
        Kind("caliper", "caliper", ((_ANY, 0.030),), _MIC, 0.01),
        Kind(
            "bore-gauge",
            "dial bore gauge set to a micrometer",
            ((40.0, 0.006), (60.0, 0.008), (_ANY, 0.010)),
            _SET,
            0.001,
            0.5,
            "setting master",
        ),
        Kind(
            "telescopic",
            "telescopic gauge and micrometer",
            ((40.0, 0.012), (60.0, 0.018), (_ANY, 0.025)),
            _EVEN,
            0.01,
            0.5,
        ),
        Kind(
            "ball-gauge",
            "small-hole gauge and micrometer",
            ((6.0, 0.008), (_ANY, 0.012)),
            _EVEN,
            0.001,
            0.5,
        ),
        Kind("plunger-dial", "plunger dial, 0.01", ((_ANY, 0.012),), _MIC, 0.01),
        Kind("lever-dial", "lever test dial, 0.002", ((_ANY, 0.004),), _MIC, 0.002),
        Kind("depth-micrometer", "depth micrometer", ((_ANY, 0.006),), _MIC, 0.01, 0.5),
        Kind(
            "straight-edge",
            "straight-edge and feeler",
            ((_ANY, 0.015),),
            4.0 / 9.0,
            0.01,
            shared="feel",
        ),
        Kind("plastic-strip", "plastic gauging strip", ((_ANY, 0.008),), _EVEN, 0.005),
        Kind("scales", "scales, 0.1 g", ((_ANY, 0.15),), _EVEN, 0.1),
    )
}
#: Other names by which a kind may be written.
ALSO: Final[dict[str, str]] = {
    "feelers": "feeler",
    "blade": "feeler",
    "blades": "feeler",
    "mic": "micrometer-0.01",
    "micrometer": "micrometer-0.01",
    "micrometer-fine": "micrometer-0.001",
    "digital-micrometer": "micrometer-0.001",
    "bore-mic": "micrometer-0.001",
    "vernier": "caliper",
    "calipers": "caliper",
    "dial-bore-gauge": "bore-gauge",
    "telescopic-gauge": "telescopic",
    "small-hole-gauge": "ball-gauge",
    "hole-gauge": "ball-gauge",
    "dial": "plunger-dial",
    "dial-gauge": "plunger-dial",
    "test-dial": "lever-dial",
    "depth": "depth-micrometer",
    "depth-mic": "depth-micrometer",
    "straightedge": "straight-edge",
    "strip": "plastic-strip",
    "scale": "scales",
    "balance": "scales",
}
_BY_READING: Final[dict[str, str]] = {
    "gap": "feeler",
    "height": "depth-micrometer",
    "flatness": "straight-edge",
    "run-out": "plunger-dial",
    "mass": "scales",
}


def kind_named(name: str | None) -> Kind | None:
    """The kind of that name, under any of the names in use; none for one that is not known.

    >>> kind_named("depth").name
    'depth-micrometer'
    """
    if name is None:
        return None
    plain = name.strip().lower()
    return KINDS.get(plain) or KINDS.get(ALSO.get(plain, ""))


def usual_kind(reading: str, wears: str | None) -> Kind:
    """The kind one would take for a sort of reading where neither sheet nor entry says.

    >>> usual_kind("size", "larger").name, usual_kind("gap", None).name
    ('bore-gauge', 'feeler')
    """
    if reading == "size":
        return KINDS["bore-gauge" if wears == "larger" else "micrometer-0.01"]
    return KINDS[_BY_READING[reading]]


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
        setting = _length(entry.u_zero, unit, entry.id, faults)
        reading = _length(entry.u_read, unit, entry.id, faults)
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
    stated = _length(check.reference_u, unit, check.id, faults)
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
