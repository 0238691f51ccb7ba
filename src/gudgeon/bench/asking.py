"""What is to be asked about the readings of a feature, soon enough to ask while the gauge is warm.

The whole of `suspicions` looks at every reading of the engine. At the bench only the feature being
read matters, and those that share an oversize with it; their readings alone are looked at here,
with the same hypotheses and priors.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from gudgeon.bench.elsewhere import wrong_engine
from gudgeon.bench.far_off import far_off
from gudgeon.log.entries import Feeler, Reading
from gudgeon.metrology.answered import right_as_read

if TYPE_CHECKING:
    from gudgeon.bench.desk import Desk
    from gudgeon.log.job import Job, Shop
    from gudgeon.metrology.slips import Slip

#: Kinds of slip whose corrected reading is a number to be taken in place of the old one.
_OVERSIZE: Final = "oversize"


@dataclass(frozen=True, slots=True)
class Instead:
    """One reading under a question, and what would stand in its place.

    Attributes:
        entry: its id. place: where. as_read: as typed, with its unit.
        typed, unit: the corrected reading.
    """

    entry: str
    place: str
    as_read: str
    typed: str
    unit: str


@dataclass(frozen=True, slots=True)
class Question:
    """A question to put at once.

    Attributes:
        key: what `right as read` remembers. kind: of slip. why: the explanation, in a few words.
        text: as one would ask it. posterior: chance of the explanation.
        readings: those it is about, all with one cause; none where it is about the engine.
        departure: the entry that would put the engine right, where that is the answer.
    """

    key: str
    kind: str
    why: str
    text: str
    posterior: float
    readings: tuple[Instead, ...]
    departure: dict[str, str] | None = None


def questions_of(desk: Desk, name: str, feature: str) -> tuple[Question, ...]:
    """What is to be asked about a feature of a job, likeliest first.

    Raises:
        Missing: there is no such job.
    """

    def make() -> tuple[Question, ...]:
        found = asked(desk.job(name), desk.shop(name), feature)
        other = wrong_engine(desk, name, feature)
        if other is None or other.key in right_as_read(desk.job(name).settings):
            return found
        why = f"readings of {other.job}"
        return (Question(other.key, "engine", why, other.text, other.posterior, ()), *found)

    return desk.result(name, f"asked {feature}", make)


def asked(job: Job, shop: Shop, feature: str) -> tuple[Question, ...]:
    """What is to be asked about a feature, likeliest first; answered questions are left out.

    Far-off numbers go before slips: a question about both would be two about one number.
    """
    from gudgeon.metrology.oversized import oversizes_met
    from gudgeon.metrology.readings import read_all
    from gudgeon.metrology.slips import find_slips

    if feature not in job.sheet.features:
        return ()
    kin = _kin(job, feature)
    table = read_all(
        replace(
            job, readings=tuple(item for item in job.readings if item.feature in kin), feelers=()
        ),
        shop,
    )
    over = [
        item for item in oversizes_met(job.sheet, table, job.departures) if feature in item.features
    ]
    shifted = {name: item.step for item in over for name in item.features}
    mine = {entry: taken for entry, taken in table.taken.items() if taken.feature == feature}
    slips = find_slips(job.sheet, replace(table, taken=mine), shifted)
    found = [*_read_by_two(job, feature), *_far_off(job, feature)]
    plain = {item.entry for question in found for item in question.readings if item.typed}
    found += _grouped([slip for slip in slips if slip.entry not in plain])
    found += [_of_engine(item.slip) for item in over]
    answered = right_as_read(job.settings)
    left = [question for question in found if question.key not in answered]
    return tuple(sorted(left, key=lambda item: -item.posterior))


def _far_off(job: Job, feature: str) -> Iterator[Question]:
    """Readings with the mark, the unit or the sign wrong."""
    readings = [item for item in job.readings if item.feature == feature]
    for entry in readings:
        found = far_off(job.sheet, readings, entry)
        if found is None:
            continue
        read = f"{entry.typed} {entry.unit or ''}".strip()
        spot = " ".join((entry.place, *entry.spot.values()))
        text = (
            f"{feature} at {spot}: {read}? It is expected near {found.near}."
            f" {found.typed} {found.unit} would fit: {found.why}."
        )
        one = Instead(entry.id, entry.place, read, found.typed, found.unit)
        yield Question(entry.id, found.kind, found.why, text, 1.0, (one,))


def _read_by_two(job: Job, feature: str) -> Iterator[Question]:
    """One spot read on two devices as if each were the first: both stay, and somebody decides."""
    spots: dict[tuple[str, ...], list[Reading | Feeler]] = {}
    every: tuple[Reading | Feeler, ...] = (*job.readings, *job.feelers)
    for entry in every:
        if entry.feature == feature:
            named = getattr(entry, "spot", {}).values()
            key = (entry.place, entry.epoch, str(entry.attempt), *named)
            spots.setdefault(key, []).append(entry)
    for key, entries in spots.items():
        first = entries[0]
        other = next((item for item in entries[1:] if item.device != first.device), None)
        if other is None:
            continue
        where = " ".join((key[0], *key[3:]))
        told = " and ".join(f"{_read(item)} on {item.device}" for item in (first, other))
        yield Question(
            f"twice {first.id} {other.id}",
            "twice",
            "read on two devices",
            f"{feature} at {where} was read on two devices: {told}. Both are kept.",
            1.0,
            tuple(Instead(item.id, item.place, _read(item), "", "") for item in (first, other)),
        )


def _read(entry: Reading | Feeler) -> str:
    """What an entry says, in short."""
    if isinstance(entry, Feeler):
        return f"{entry.goes or 'nothing'} goes, {entry.wont or 'nothing'} won't"
    return f"{entry.typed} {entry.unit or ''}".strip()


def _kin(job: Job, feature: str) -> frozenset[str]:
    """The feature, and those that an oversize changes with it."""
    kin = {feature}
    for item in job.sheet.oversizes.values():
        pair = {name for name in (item.feature, item.with_) if name is not None}
        if feature in pair:
            kin |= pair
    return frozenset(kin)


def _grouped(slips: list[Slip]) -> Iterator[Question]:
    """Slips of one cause are one question."""
    groups: dict[str, list[Slip]] = {}
    for slip in slips:
        groups.setdefault(slip.group or slip.entry, []).append(slip)
    for group in groups.values():
        first = group[0]
        yield Question(
            first.entry,
            first.kind,
            first.explanation,
            first.question + _as_many(len(group)),
            first.posterior,
            tuple(_instead(slip) for slip in group),
        )


def _as_many(count: int) -> str:
    """Said of a question about more readings than the one it names."""
    return f" So it is with {count} readings." if count > 1 else ""


def _instead(slip: Slip) -> Instead:
    typed, _, unit = slip.corrected_text.partition(" ")
    return Instead(slip.entry, slip.place, slip.as_read_text, typed, unit)


def _of_engine(slip: Slip) -> Question:
    departure = dict(slip.proposal) if slip.proposal else None
    return Question(
        slip.group, _OVERSIZE, slip.explanation, slip.question, slip.posterior, (), departure
    )
