"""Rounds: what is read of one feature at one time of the job, one reading after another.

A mechanic finishes one place before the next, or goes round all places at one level first ("all
tops first"). Both orders are worked out here; which one is taken, the hand decides.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.metrology.instruments import Owned, cabinet
from gudgeon.metrology.kinds import Kind, kind_named, usual_kind
from gudgeon.metrology.ranges import SIZE_RULES, expected_range
from gudgeon.numbers import LENGTH_UNITS, NotANumber, read_length

if TYPE_CHECKING:
    from gudgeon.log.job import Job, Shop
    from gudgeon.sheet.base import Limits
    from gudgeon.sheet.features import Feature
    from gudgeon.sheet.model import Sheet

#: Sorts of reading that may be less than nothing, and so need a sign.
SIGNED: Final = ("height", "run-out")
#: Sorts of reading that are brought to 20 °C, for which temperatures are asked.
WARM: Final = ("size", "height")
#: Instruments that feel a gap with blades.
_BLADES: Final = "feeler"
_BLADE_LIST: Final = re.compile(r"\bblades?\b:?((?:\s*[0-9]+[.,]?[0-9]*[\s;]*)+)", re.IGNORECASE)


class Axis(NamedTuple):
    """One axis of a plan of spots, and its levels in order."""

    name: str
    levels: tuple[str, ...]


class Step(NamedTuple):
    """One reading to take: where, and at which spot of the plan."""

    place: str
    spot: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Band:
    """A range to hold a reading against, from the sheet.

    Attributes:
        low, high: its ends [mm; g]; either may be missing.
        text: as people write it. what: `new` or `window`. source: page of the manual.
    """

    low: float | None
    high: float | None
    text: str
    what: str
    source: str


@dataclass(frozen=True, slots=True)
class Near:
    """Where a reading is expected [mm; g], and the wear to reckon with: no limit, a guard only."""

    low: float
    high: float
    wear: float


@dataclass(frozen=True, slots=True)
class Tool:
    """An instrument that may be chosen for a round.

    Attributes:
        name: in the log. words: as people say it.
        decimals: places after the mark that it is read to, in millimetres and in inches.
        turn: what one thimble turn is worth [mm], 0 where it has none.
        blades: thicknesses of its blades as typed, where its text names them.
        fits: whether it is of the kind the sheet asks for. feels: whether it has blades.
    """

    name: str
    words: str
    decimals: tuple[int, int]
    turn: float
    blades: tuple[str, ...]
    fits: bool
    feels: bool


@dataclass(frozen=True, slots=True)
class Round:
    """All readings of one feature at one time of the job.

    Attributes:
        feature, epoch: what is read, and when. kind: sort of reading. part: what it belongs to.
        at: kind of place. words: a line for the reader, and the state the part must be in.
        axes: the plan of spots, axis by axis. unit: in which it is typed.
        signed: whether it may be below nothing. warm: whether temperatures are asked.
        blades: whether it is felt with blades, and stored as what goes and what won't.
        bands: side, or nothing, -> the range to hold a reading against.
        near: where a reading is expected. tools: the instruments, those that fit first.
        steps: the readings to take, one place after another.
        by_level: the same, as numbers of steps: every place at the first level, then the next.
    """

    feature: str
    epoch: str
    kind: str
    part: str
    at: str
    words: str
    axes: tuple[Axis, ...]
    unit: str
    signed: bool
    warm: bool
    blades: bool
    bands: Mapping[str, Band]
    near: Near | None
    tools: tuple[Tool, ...]
    steps: tuple[Step, ...]
    by_level: tuple[int, ...]


def rounds(job: Job, shop: Shop) -> tuple[Round, ...]:
    """Every round of a job, in the order of its sheet."""
    owned = tuple(cabinet(shop.instruments, shop.checks).owned.values())
    texts = {name: entry.text for name, entry in shop.instruments.items()}
    return tuple(
        _round(job.sheet, name, feature, epoch, owned, texts)
        for name, feature in job.sheet.features.items()
        for epoch in feature.epochs
    )


def _round(
    sheet: Sheet,
    name: str,
    feature: Feature,
    epoch: str,
    owned: Sequence[Owned],
    texts: Mapping[str, str],
) -> Round:
    steps = tuple(one_place_first(sheet.layout.of(feature.at), feature.plan))
    unit = "g" if feature.kind == "mass" else sheet.unit
    usual = kind_named(feature.by) or usual_kind(feature.kind, feature.wears)
    known = expected_range(sheet, name)
    return Round(
        name,
        epoch,
        feature.kind,
        feature.part or "",
        feature.at,
        "; ".join(text for text in (feature.look_up, feature.state) if text),
        tuple(Axis(axis, tuple(levels)) for axis, levels in feature.plan.items()),
        unit,
        feature.kind in SIGNED,
        feature.kind in WARM,
        feature.kind == "gap" and not feature.plan and usual.name == _BLADES,
        dict(_bands(sheet, name, feature)),
        Near(known.low, known.high, known.wear) if known else None,
        _tools(usual, feature.kind, owned, texts),
        steps,
        one_level_first(steps),
    )


def one_place_first(places: Sequence[str], plan: Mapping[str, Sequence[str]]) -> Iterator[Step]:
    """Every reading, one place complete before the next.

    >>> list(one_place_first(["main/1"], {"axis": ["0", "90"]}))
    [Step(place='main/1', spot=('0',)), Step(place='main/1', spot=('90',))]
    """
    for place in places:
        for spot in product(*plan.values()):
            yield Step(place, spot)


def one_level_first(steps: Sequence[Step]) -> tuple[int, ...]:
    """The same steps, as numbers, one level of the first axis at all places before the next.

    >>> plan = {"height": ["top", "foot"], "axis": ["x", "y"]}
    >>> steps = list(one_place_first(["cylinder/1", "cylinder/2"], plan))
    >>> ["".join((steps[at].place[-1], *steps[at].spot)) for at in one_level_first(steps)]
    ['1topx', '1topy', '2topx', '2topy', '1footx', '1footy', '2footx', '2footy']
    """
    level: dict[str, int] = {}
    for step in steps:
        if step.spot:
            level.setdefault(step.spot[0], len(level))
    return tuple(
        sorted(range(len(steps)), key=lambda at: level[steps[at].spot[0]] if steps[at].spot else 0)
    )


def _bands(sheet: Sheet, name: str, feature: Feature) -> Iterator[tuple[str, Band]]:
    """What a reading is held against: the shims' window for their clearance, else the new range."""
    shims = sheet.select.shims
    if shims is not None and shims.gap == name and shims.window is not None:
        for side, limits in (("in", shims.window.in_), ("ex", shims.window.ex)):
            if limits is not None and not limits.blank:
                yield side, _band(limits, "window", shims.source)
        return
    if feature.new is not None and not feature.new.blank:
        yield "", _band(feature.new, "new", feature.source)
        return
    for derived in sheet.derive.values():
        limits = derived.new
        if derived.from_ == name and derived.rule in SIZE_RULES and limits and not limits.blank:
            yield "", _band(limits, "new", derived.source)
            return


def _band(limits: Limits, what: str, source: str | None) -> Band:
    low, high = limits.min, limits.max
    if low is None:
        text = f"≤ {high}"
    elif high is None:
        text = f"≥ {low}"
    else:
        text = f"{low} … {high}"
    ends = tuple(None if end is None else float(end) for end in (low, high))
    return Band(ends[0], ends[1], text, what, source or "")


def _tools(
    usual: Kind, reading: str, owned: Sequence[Owned], texts: Mapping[str, str]
) -> tuple[Tool, ...]:
    """The instruments to choose from: the shop's of the usual kind, its others, and the kind."""
    weighing = reading == "mass"
    fitting = [item for item in owned if (item.kind.name == "scales") == weighing]
    fitting.sort(key=lambda item: (item.kind.name != usual.name, item.name))
    made = [_tool(item.name, item.kind, usual, texts.get(item.name, "")) for item in fitting]
    at = sum(item.kind.name == usual.name for item in fitting)
    made.insert(at, _tool(usual.name, usual, usual, ""))
    return tuple(made)


def _tool(name: str, kind: Kind, usual: Kind, text: str) -> Tool:
    decimals = (_places(kind.division), _places(kind.division / 25.4))
    feels = kind.name == _BLADES
    found = blades_of(text) if feels else ()
    return Tool(name, kind.words, decimals, kind.turn, found, kind.name == usual.name, feels)


def _places(division: float) -> int:
    """Places after the mark that a division needs, to the nearest power of ten.

    >>> _places(0.01), _places(0.002), _places(0.01 / 25.4)
    (2, 3, 3)
    """
    return max(0, min(4, math.ceil(-math.log10(division) - 0.5)))


def blades_of(text: str) -> tuple[str, ...]:
    """The blades an instrument's text names, thinnest first: `blades 0.05 0.06 0.08`.

    >>> blades_of("the long ones, blades: 0.08 0,05 0.06")
    ('0.05', '0.06', '0.08')
    """
    match = _BLADE_LIST.search(text)
    found: dict[float, str] = {}
    for word in re.split(r"[\s;]+", match.group(1).strip()) if match else ():
        try:
            length = read_length(word)
        except NotANumber:
            continue
        if 0.0 < length < float(LENGTH_UNITS["cm"]):
            found[float(length)] = word.replace(",", ".")
    return tuple(found[size] for size in sorted(found))
