"""What is to be asked about the readings of a feature, soon enough to ask while the gauge is warm.

The whole of `suspicions` looks at every reading of the engine. At the bench only the feature being
read matters, and those that share an oversize with it; their readings alone are looked at here,
with the same hypotheses and priors.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

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
        return asked(desk.job(name), desk.shop(name), feature)

    return desk.result(name, f"asked {feature}", make)


def asked(job: Job, shop: Shop, feature: str) -> tuple[Question, ...]:
    """What is to be asked about a feature, likeliest first; answered questions are left out."""
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
    over = [item for item in oversizes_met(job.sheet, table) if feature in item.features]
    shifted = {name: item.step for item in over for name in item.features}
    mine = {entry: taken for entry, taken in table.taken.items() if taken.feature == feature}
    slips = find_slips(job.sheet, replace(table, taken=mine), shifted)
    answered = right_as_read(job.settings)
    found = [*_grouped([slip for slip in slips if slip.entry not in answered])]
    found += [_of_engine(item.slip) for item in over if item.slip.group not in answered]
    return tuple(sorted(found, key=lambda item: -item.posterior))


def _kin(job: Job, feature: str) -> frozenset[str]:
    """The feature, and those that an oversize changes with it."""
    pairs = [{item.feature, item.with_} - {None} for item in job.sheet.oversizes.values()]
    return frozenset({feature}.union(*(pair for pair in pairs if feature in pair)))


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
            first.question,
            first.posterior,
            tuple(_instead(slip) for slip in group),
        )


def _instead(slip: Slip) -> Instead:
    typed, _, unit = slip.corrected_text.partition(" ")
    return Instead(slip.entry, slip.place, slip.as_read_text, typed, unit)


def _of_engine(slip: Slip) -> Question:
    departure = dict(slip.proposal) if slip.proposal else None
    return Question(
        slip.group, _OVERSIZE, slip.explanation, slip.question, slip.posterior, (), departure
    )
