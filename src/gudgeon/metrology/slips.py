"""Slips: readings that a known mistake explains better than the part does.

Every reading is held against what it is expected to be (`expected`), as typed and as each slip
would have it; Bayes' rule with the table of `priors` gives each explanation its posterior. What
whole groups share is explained first: a feature of which every reading is a turn out, then a
place, then the single reading. A question is all that comes of it; nothing typed is changed.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.metrology.expected import (
    HEIGHT_SHOULDER,
    SHOULDER,
    Expectation,
    Reference,
    at_another_epoch,
    like_these,
    of_a_new_part,
    robust_spread,
)
from gudgeon.metrology.hypotheses import Hypothesis, hypotheses_of
from gudgeon.metrology.priors import SHOWN_FROM, chance
from gudgeon.metrology.ranges import Expected, expected_range, usual_wear
from gudgeon.metrology.readings import Table
from gudgeon.metrology.taken import Taken, own_source

if TYPE_CHECKING:
    from gudgeon.sheet.features import Feature
    from gudgeon.sheet.model import Sheet

#: Sorts of reading that these slips apply to.
_KINDS: Final = ("size", "height", "mass")
#: How far apart the same place usually lies at two epochs [mm]: a seat is cut, a valve sinks.
#: Common practice, no source.
_BETWEEN_EPOCHS: Final = 0.12


@dataclass(frozen=True, slots=True)
class Slip:
    """A suspicion about one entry, to be put as a question.

    Attributes:
        entry: id of the entry. place: where. feature: what, or the group of a string of marks.
        kind: name of the slip in the table of priors. explanation: in a few words.
        question: as one would ask it.
        as_read, corrected: the reading as typed, and as it would be [mm or g]; none for marks.
        as_read_text, corrected_text: the same as text.
        posterior: chance of this explanation, given everything.
        unit: mm or g. group: slips of one group share one cause.
        proposal: an entry that would put it right, where one is not a reading.
    """

    entry: str
    place: str
    feature: str
    kind: str
    explanation: str
    question: str
    as_read: float | None
    corrected: float | None
    as_read_text: str
    corrected_text: str
    posterior: float
    unit: str = "mm"
    group: str = ""
    proposal: Mapping[str, str] | None = None


class Verdict(NamedTuple):
    """The likeliest slip and its posterior."""

    hypothesis: Hypothesis
    posterior: float


class _Item(NamedTuple):
    """A reading that is judged: itself, its value [mm], and what is uncertain of it [mm]."""

    taken: Taken
    value: float
    u: float


@dataclass(frozen=True, slots=True)
class _Group:
    """All readings of one feature, epoch and side."""

    feature: str
    epoch: str
    spec: Feature
    expected: Expected | None
    items: tuple[_Item, ...]

    def by_place(self) -> dict[str, list[_Item]]:
        """The readings of each place."""
        places: dict[str, list[_Item]] = defaultdict(list)
        for item in self.items:
            places[item.taken.place].append(item)
        return dict(places)

    @property
    def shoulder(self) -> float:
        """Share of readings that wear may have taken far from the others."""
        return HEIGHT_SHOULDER if self.spec.kind == "height" else SHOULDER

    @property
    def wear(self) -> float:
        """What wear may plausibly do to the feature [mm]."""
        size = abs(median(item.value for item in self.items)) if self.items else 0.0
        return self.expected.wear if self.expected else usual_wear(size)


def weigh(x: float, expectation: Expectation, hypotheses: Sequence[Hypothesis]) -> Verdict | None:
    """The likeliest slip of a reading x [mm] and its posterior; none where none applies."""
    if not hypotheses:
        return None
    none = 1.0 - sum(item.prior for item in hypotheses)
    weights = [item.prior * item.stretch * expectation.density(item.value) for item in hypotheses]
    total = none * expectation.density(x) + sum(weights)
    best = max(range(len(weights)), key=weights.__getitem__)
    return Verdict(hypotheses[best], weights[best] / total if total > 0.0 else 0.0)


def find_slips(
    sheet: Sheet, table: Table, shifted: Mapping[str, float] | None = None
) -> tuple[Slip, ...]:
    """Every reading that a slip explains better than the part does.

    Args:
        sheet: the engine's sheet. table: its readings.
        shifted: feature -> amount [mm] by which this whole engine differs from its sheet.
    """
    found: list[Slip] = []
    groups = _groups(sheet, table, shifted or {})
    by_key = {(group.feature, group.epoch): group for group in groups}
    for group in groups:
        others = [
            other
            for (feature, epoch), other in by_key.items()
            if feature == group.feature and epoch != group.epoch
        ]
        found.extend(_of_group(group, others))
    return tuple(found)


def _groups(sheet: Sheet, table: Table, shifted: Mapping[str, float]) -> list[_Group]:
    items: dict[tuple[str, str, str], list[_Item]] = defaultdict(list)
    for entry, taken in table.taken.items():
        spec = sheet.features.get(taken.feature)
        if entry in table.aside or spec is None or spec.kind not in _KINDS:
            continue
        if taken.value is None:
            continue
        side = sheet.layout.side(taken.place) or ""
        item = _Item(taken, taken.value.value, taken.value.u)
        items[taken.feature, taken.epoch, side].append(item)
    made = []
    for (feature, epoch, _), mine in items.items():
        spec = sheet.features[feature]
        known = expected_range(sheet, feature, shifted.get(feature, 0.0))
        made.append(_Group(feature, epoch, spec, known, tuple(mine)))
    return made


def _of_group(group: _Group, others: Sequence[_Group]) -> Iterator[Slip]:
    """What the feature shares, then what places share, then single readings."""
    shared, group = _whole_feature(group)
    yield from shared
    for place in list(group.by_place()):
        slips, group = _whole_place(group, place, others)
        yield from slips
    yield from _single(group, others, {slip.entry for slip in shared})


def _range_reference(group: _Group, u: float) -> list[Reference]:
    known = group.expected
    if known is None:
        return []
    return [of_a_new_part(known.low, known.high, u, group.spec.wears, known.wear)]


def _whole_feature(group: _Group) -> tuple[list[Slip], _Group]:
    """A shift that all readings of the feature share, against the range of a new part alone."""
    references = _range_reference(group, _typical_u(group.items))
    if not references or len(group.items) < 3:
        return [], group
    return _shared(group, list(group.items), references, "feature", group.feature)


def _whole_place(group: _Group, place: str, others: Sequence[_Group]) -> tuple[list[Slip], _Group]:
    """A shift that all readings of one place share, against the other places."""
    places = group.by_place()
    mine = places[place]
    if len(mine) < 2:
        return [], group
    references = _range_reference(group, _typical_u(mine))
    references += _places_reference(group, places, place, _within(places))
    references += _epochs_reference(place, others)
    return _shared(group, mine, references, "place", place) if references else ([], group)


def _shared(
    group: _Group, mine: list[_Item], references: list[Reference], level: str, name: str
) -> tuple[list[Slip], _Group]:
    """Slips of a whole group, and the group as it would be without them."""
    centre = median(item.value for item in mine)
    nearest = min(mine, key=lambda item: abs(item.value - centre))
    hypotheses = [
        item._replace(prior=chance(level) * item.prior / chance("turn"))
        for item in hypotheses_of(nearest.taken, centre)
        if item.kind in ("turn", "two-turns", "inch")
    ]
    verdict = weigh(centre, Expectation(references, chance("odd") / 4.0), hypotheses)
    if verdict is None or verdict.posterior < SHOWN_FROM:
        return [], group
    kind, slips, moved = verdict.hypothesis.kind, [], {}
    for item in mine:
        same = next(
            (
                own
                for own in hypotheses_of(item.taken, item.value)
                if own.kind == kind
                and abs((own.value - item.value) - (verdict.hypothesis.value - centre))
                < 0.1 * abs(verdict.hypothesis.value - centre)
            ),
            None,
        )
        if same is None:
            continue
        slips.append(_slip(item.taken, same, verdict.posterior, f"{kind} {group.feature} {name}"))
        moved[item.taken.entry] = same.value
    return slips, replace(
        group,
        items=tuple(
            item._replace(value=moved.get(item.taken.entry, item.value)) for item in group.items
        ),
    )


def _typical_u(items: Iterable[_Item]) -> float:
    return median(item.u for item in items)


def _within(places: Mapping[str, Sequence[_Item]]) -> float:
    """How far sound readings of one place lie apart, over all places [mm]."""
    spreads = [robust_spread([item.value for item in items]) for items in places.values()]
    known = [spread for spread in spreads if spread > 0.0]
    return median(known) if known else 0.0


def _places_reference(
    group: _Group, places: Mapping[str, Sequence[_Item]], place: str, within: float
) -> list[Reference]:
    centres = [
        median(item.value for item in items) for name, items in places.items() if name != place
    ]
    if not centres:
        return []
    u = _typical_u(group.items)
    spread = math.hypot(u, within)
    return [like_these(centres, spread, group.wear, shoulder=group.shoulder)]


def _epochs_reference(place: str, others: Sequence[_Group]) -> list[Reference]:
    values = [item.value for other in others for item in other.items if item.taken.place == place]
    if not values:
        return []
    return [at_another_epoch(median(values), _BETWEEN_EPOCHS)]


def _single(group: _Group, others: Sequence[_Group], explained: set[str]) -> Iterator[Slip]:
    """Slips of single readings, once what they share with others is explained."""
    places = group.by_place()
    within = _within(places)
    typical = _typical_u(group.items)
    ranges = _range_reference(group, typical)
    beside = {
        place: _places_reference(group, places, place, within) + _epochs_reference(place, others)
        for place in places
    }
    for place, items in places.items():
        for item in items:
            if item.taken.entry in explained or item.value != _raw_value(item.taken):
                continue
            references = ranges + beside[place] + _same_place(items, item, group, within)
            if not references:
                continue
            hypotheses = hypotheses_of(item.taken, item.value)
            verdict = weigh(item.value, Expectation(references, chance("odd")), hypotheses)
            if verdict is not None and verdict.posterior >= SHOWN_FROM:
                yield _slip(item.taken, verdict.hypothesis, verdict.posterior, item.taken.entry)


def _raw_value(taken: Taken) -> float:
    return taken.value.value if taken.value is not None else 0.0


def _same_place(
    items: Sequence[_Item], mine: _Item, group: _Group, within: float
) -> list[Reference]:
    """The other spots of the place, and other attempts at the very spot."""
    spot = mine.taken.spot
    again = [i.value for i in items if i is not mine and i.taken.spot == spot]
    rest = [i.value for i in items if i.taken.spot != spot]
    found = []
    if again:
        own = (
            mine.taken.value.parts.get(own_source(mine.taken.entry), 0.0)
            if (mine.taken.value)
            else 0.0
        )
        found.append(like_these(again, 1.5 * abs(own), 0.02))
    if rest:
        found.append(like_these(rest, mine.u, group.wear, within, group.shoulder))
    return found


def _slip(taken: Taken, hypothesis: Hypothesis, posterior: float, group: str) -> Slip:
    raw = taken.raw or 0.0
    value = taken.value.value if taken.value is not None else raw
    # A slip is in the number as typed; the corrections that follow stay what they were.
    corrected = hypothesis.value if hypothesis.kind == "inch" else raw + hypothesis.value - value
    unit = "g" if taken.instrument.kind.name == "scales" else "mm"
    decimals = max(2, taken.decimals)
    if hypothesis.kind == "inch":
        decimals = 3
    spot = f" ({' '.join(taken.spot)})" if taken.spot else ""
    question = (
        f"{taken.feature} at {taken.place}{spot}: {taken.typed}?"
        f" {hypothesis.words[0].upper()}{hypothesis.words[1:]}"
        f" gives {corrected:.{decimals}f} {unit}, where the others lie."
    )
    return Slip(
        taken.entry,
        taken.place,
        taken.feature,
        hypothesis.kind,
        hypothesis.words,
        question,
        raw,
        round(corrected, 6),
        taken.typed,
        f"{corrected:.{decimals}f} {unit}",
        posterior,
        unit,
        group,
    )
