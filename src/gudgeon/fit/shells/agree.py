"""Whether code and measurement agree at a bearing, in a word and a sentence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from typing import Final, Literal, NamedTuple

from gudgeon.fit.shells.bearing import Bearing, Diameter, Role
from gudgeon.fit.shells.choose import Option
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.strings import StringTest
from gudgeon.sheet.select import Shells

Word = Literal[
    "agree",
    "within measuring error",
    "worn",
    "disagree",
    "string in doubt",
    "by code alone",
    "by measurement alone",
    "not known",
]


#: Beyond this [mm] it is another crank, or a regrind, rather than a gauge wrongly set.
_NO_SHIFT: Final = 0.1


class Agreement(NamedTuple):
    """Whether code and measurement agree: a word from a closed list, and a sentence."""

    word: Word
    text: str


@dataclass(frozen=True, slots=True)
class Case:
    """Everything the advice about one bearing rests on.

    Attributes:
        spec: the sheet on these shells. bearing: the place.
        options: all allowed pairs. pick: the pair chosen. measured: the pair by measurement.
        journal_min: service limit of the journal [mm], where the sheet gives one.
        tests: role -> what the measurements say about the end its string was read from.
        strip: expanded uncertainty of a plastic strip [mm].
    """

    spec: Shells
    bearing: Bearing
    options: tuple[Option, ...]
    pick: Option | None
    measured: Option | None
    journal_min: float | None
    tests: Mapping[Role, StringTest]
    strip: float

    @property
    def parts(self) -> tuple[Diameter, Diameter]:
        """Housing and journal."""
        return self.bearing.housing, self.bearing.journal

    @property
    def turned(self) -> tuple[Role, ...]:
        """The strings that fit better from the other end."""
        return tuple(role for role, test in self.tests.items() if test.turned)

    @property
    def astray(self) -> tuple[Diameter, ...]:
        """The parts whose measurement does not agree with their mark."""
        return tuple(part for part in self.parts if part.status in ("worn", "contradicts"))


def agreement(case: Case) -> Agreement:
    """Whether code and measurement agree at this place; only a real disagreement is called one."""
    bearing = case.bearing
    doubt = _doubt(case)
    tail = f"; {doubt}" if doubt else ""
    if case.astray:
        text = "; ".join(_strays(part) for part in case.astray)
        journal_only = all(part is bearing.journal for part in case.astray)
        worn = journal_only and bearing.journal.status == "worn"
        return Agreement("worn" if worn else "disagree", text + tail)
    if bearing.route == "none":
        return Agreement("not known", missing(bearing))
    if case.turned:
        return Agreement("string in doubt", doubt)
    if case.measured is None:
        if bearing.by_code is None:
            return Agreement("not known", no_code(bearing) + tail)
        return Agreement("by code alone", "not both measured: by the marks")
    if bearing.by_code is None:
        return Agreement("by measurement alone", doubt or no_code(bearing))
    if case.measured.halves == bearing.by_code:
        return Agreement("agree", "code and measurement agree")
    return Agreement(
        "within measuring error",
        f"{bearing.by_code} by code, {case.measured.halves} by measurement: no more apart than"
        " careful measurements of sound parts are",
    )


def common_shift(parts: Sequence[Diameter], role: Role) -> str:
    """Whether all parts of one kind read to one side of their classes: then suspect the setting.

    The mean distance from the middle of the classes against what classes and each reading's own
    error would let it stray, at 3.3 standard deviations; at least three places, which must not
    scatter about that mean by more than they should: one bad part is no common shift.
    """
    rows = [
        (part.read.measured, part.read.band)
        for part in parts
        if part.read.measured is not None and part.read.band is not None
    ]
    if len(rows) < 3:
        return ""
    shared = _shared([size for size, _ in rows])
    offsets = [size.value - band.middle for size, band in rows]
    mean = sum(offsets) / len(rows)
    spreads = [
        hypot((band.upper - band.lower) / 12.0**0.5, size.drop(shared).u) for size, band in rows
    ]
    if abs(mean) <= 3.3 * hypot(*spreads) / len(rows) or abs(mean) > _NO_SHIFT:
        return ""
    scatter = sum(((x - mean) / s) ** 2 for x, s in zip(offsets, spreads, strict=True))
    if scatter > 2.5 * (len(rows) - 1):
        return ""
    worn = ", or all are worn alike" if role == "journal" and mean < 0 else ""
    side = "above" if mean > 0 else "below"
    return (
        f"all {len(rows)} {role}s read about {abs(mean):.3f} {side} the middle of their classes:"
        f" check the setting of the gauge, and the temperature, before anything else{worn}"
    )


def _doubt(case: Case) -> str:
    """Which marks do not count here, in a few words."""
    if case.bearing.undersize:
        return "the crank was ground: its marks no longer hold"
    sides: dict[Role, str] = {"housing": "case", "journal": "crank"}
    strings = " and ".join(sides[role] for role in case.turned)
    return f"the {strings} string seems to be read from its wrong end" if strings else ""


def _strays(part: Diameter) -> str:
    weighed, band = part.weighed, part.read.band
    if weighed is None or band is None:
        return ""
    side = "above" if weighed.outside > 0 else "below"
    text = (
        f"the {part.role} measures {abs(weighed.outside):.3f} {side} its class {part.read.mark}"
        f" ({band.lower:.3f} to {band.upper:.3f})"
    )
    if part.status == "worn" and part.role == "journal":
        return f"{text}: worn, by more than measuring can explain"
    return text


def missing(bearing: Bearing) -> str:
    """What would have to be known of a bearing before anything can be said."""
    lacking = [
        f"the {part.role}"
        for part in (bearing.housing, bearing.journal)
        if part.taken is None and not (part.role == "housing" and bearing.route == "fitted")
    ]
    names = " and ".join(lacking)
    if not names:
        return no_code(bearing)
    why = f" ({bearing.fault.wrong})" if bearing.fault else ""
    return f"{names} neither measured nor known by a mark{why}: measure it"


def no_code(bearing: Bearing) -> str:
    """Why the marks lead to no grade."""
    if bearing.fault is not None:
        return f"no grade by code: {bearing.fault.wrong}"
    return "no marks entered"


def _shared(sizes: Sequence[Measured]) -> set[str]:
    seen: set[str] = set()
    shared: set[str] = set()
    for size in sizes:
        shared |= seen & size.parts.keys()
        seen |= size.parts.keys()
    return shared
