"""Whether code and measurement agree at a bearing, in a word and a sentence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from typing import Literal, NamedTuple

from gudgeon.fit.shells.bearing import Bearing, Diameter, Role
from gudgeon.fit.shells.choose import Option
from gudgeon.fit.strings import StringTest
from gudgeon.metrology.measured import Measured
from gudgeon.sheet.select import Shells

Word = Literal[
    "agree",
    "within measuring error",
    "worn",
    "disagree",
    "by code alone",
    "by measurement alone",
    "not known",
]


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
    def astray(self) -> tuple[Diameter, ...]:
        """The parts whose measurement does not agree with their mark."""
        return tuple(part for part in self.parts if part.status in ("worn", "contradicts"))


def agreement(case: Case) -> Agreement:
    """Whether code and measurement agree at this place; only a real disagreement is called one."""
    bearing = case.bearing
    doubts = [part.read.doubt for part in case.parts if part.read.doubt and part.read.mark]
    tail = "".join(f"; {doubt}" for doubt in dict.fromkeys(doubts))
    if case.astray:
        text = "; ".join(_strays(part) for part in case.astray)
        journal_only = all(part is bearing.journal for part in case.astray)
        worn = journal_only and bearing.journal.status == "worn"
        return Agreement("worn" if worn else "disagree", text + tail)
    has_code = bearing.by_code is not None
    if case.measured is None:
        if bearing.housing.taken is None and bearing.fitted is None:
            return Agreement("not known", missing(bearing))
        if bearing.journal.taken is None:
            return Agreement("not known", missing(bearing))
        if not has_code:
            return Agreement("not known", no_code(bearing))
        return Agreement("by code alone", "not both measured: by the marks" + tail)
    if not has_code:
        return Agreement("by measurement alone", no_code(bearing) + tail)
    if doubts:
        return Agreement("by measurement alone", "by measurement" + tail)
    if case.measured.halves == bearing.by_code:
        return Agreement("agree", "code and measurement agree")
    return Agreement(
        "within measuring error",
        f"{bearing.by_code} by code, {case.measured.halves} by measurement: no more apart than"
        " careful measurements of sound parts are",
    )


def common_shift(parts: Sequence[Diameter], role: Role) -> str:
    """Whether all parts of one kind read to one side of their classes: then suspect the setting.

    The mean distance from the middle of the classes against what classes, wear and each reading's
    own error would let it stray, at 3.3 standard deviations; at least three places.
    """
    rows = [
        (part.read.measured, part.read.band)
        for part in parts
        if part.read.measured is not None and part.read.band is not None
    ]
    if len(rows) < 3:
        return ""
    shared = _shared([size for size, _ in rows])
    mean = sum(size.value - band.middle for size, band in rows) / len(rows)
    spread = hypot(
        *((band.upper - band.lower) / 12.0**0.5 for _, band in rows),
        *(size.drop(shared).u for size, _ in rows),
    ) / len(rows)
    if abs(mean) <= 3.3 * spread or abs(mean) > 0.1:
        return ""
    side = "above" if mean > 0 else "below"
    return (
        f"all {len(rows)} {role}s read about {abs(mean):.3f} {side} the middle of their classes:"
        " check the setting of the gauge, and the temperature, before anything else"
    )


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
