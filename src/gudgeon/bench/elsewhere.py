"""The question whether somebody stands at another engine than the page is about."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.log.canon import moment
from gudgeon.metrology.ranges import expected_range
from gudgeon.metrology.whose import FEWEST, MOST, Known, Read, whose
from gudgeon.numbers import NotANumber, read_length
from gudgeon.store.jobs import job_names

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gudgeon.bench.desk import Desk
    from gudgeon.log.entries import Reading
    from gudgeon.log.job import Job

#: Readings of one device belong to one sitting while no pause is longer [s].
PAUSE: Final = 20 * 60
#: Most other engines that readings are held against.
_ENGINES: Final = 40


class WrongEngine(NamedTuple):
    """A question about the engine. key: what `right as read` remembers. job: the other one."""

    key: str
    job: str
    posterior: float
    text: str


def wrong_engine(desk: Desk, name: str, feature: str) -> WrongEngine | None:
    """Whether the readings of a feature taken last fit another open engine much better.

    Only engines that are worked out already are looked at, so that asking takes no time.

    Raises:
        Missing: there is no such job.
    """
    job = desk.job(name)
    last = sitting(job, feature)
    if len(last) < FEWEST:
        return None
    ids = {item.id for item in last}
    others = dict(_others(desk, name, feature))
    taken = list(_reads(job, last))
    found = whose(taken, known_of(job, feature, frozenset(ids)), others)
    if found is None:
        return None
    engine = desk.beside(found.job, "engine", lambda other: other.sheet.engine.name)
    text = (
        f"Are you at the right engine? The last {len(taken)} readings of {feature} fit {found.job}"
        f"{f' ({engine})' if engine else ''} much better than {name}."
    )
    return WrongEngine(f"engine {last[0].id}", found.job, found.posterior, text)


def _others(desk: Desk, name: str, feature: str) -> Iterator[tuple[str, Known]]:
    """What is known of a feature of the other engines at hand."""

    def known(other: Job) -> Known | None:
        return known_of(other, feature) if feature in other.sheet.features else None

    for other in job_names(desk.store)[:_ENGINES]:
        found = desk.beside(other, f"known {feature}", known) if other != name else None
        if found is not None:
            yield other, found


def sitting(job: Job, feature: str) -> list[Reading]:
    """The readings of a feature that one device took last, without a long pause between them."""
    every = [item for item in job.readings if item.feature == feature]
    last: list[Reading] = []
    for item in reversed(every):
        if last and (
            item.device != last[-1].device or moment(last[-1].at) - moment(item.at) > PAUSE
        ):
            break
        last.append(item)
    return last[:MOST][::-1]


def known_of(job: Job, feature: str, without: frozenset[str] = frozenset()) -> Known:
    """What is known of a feature of an engine."""
    earlier = [item for item in job.readings if item.feature == feature and item.id not in without]
    return Known(tuple(_reads(job, earlier)), expected_range(job.sheet, feature))


def _reads(job: Job, entries: list[Reading]) -> Iterator[Read]:
    for item in entries:
        try:
            yield Read(item.place, float(read_length(item.typed, item.unit or job.sheet.unit)))
        except NotANumber:
            continue
