"""The front page of a job, for someone who comes back to it after three weeks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from gudgeon.bench.desk import Desk
from gudgeon.bench.front import Front, front
from gudgeon.bench.outline import outline
from gudgeon.bench.page import Page, drawn
from gudgeon.bench.state import Ask
from gudgeon.bench.words import Words, words_of
from gudgeon.faults import Unusable
from gudgeon.log.canon import moment

#: Name of the result among those of a job.
FRONT: Final = "front"


@dataclass(frozen=True, slots=True)
class JobFront:
    """The page: the front of the job, and what depends on today.

    Attributes:
        away: how long ago the last entry was made, in words.
        ago: the same for each of the latest entries. waits: in words.
    """

    front: Front
    away: str
    ago: tuple[str, ...]
    waits: str
    drawing: str = drawn()


def front_of(desk: Desk, name: str) -> Front:
    """The front of a job, worked out once for each state of its log.

    Raises:
        Missing: there is no such job.
        Unusable: its log can't be read.
    """

    def make() -> Front:
        picked, troubles = None, tuple[str, ...]()
        try:
            picked = desk.picks(name)
        except Unusable as problem:
            troubles = tuple(str(fault) for fault in problem.faults)
        return front(desk.job(name), desk.findings(name), picked, troubles)

    return desk.result(name, FRONT, make)


def view(ask: Ask) -> JobFront:
    """The front page of the job in the address."""
    desk, name = ask.bench.desk, ask.parts["job"]
    told, words = front_of(desk, name), words_of("job")
    now = datetime.fromtimestamp(ask.bench.config.clock(), UTC)
    ago = tuple(_ago(now, done.at, words) for done in told.latest)
    sheet = desk.job(name).sheet
    return JobFront(
        told,
        ago[0] if ago else "",
        ago,
        words(f"waits-{told.waits.what}", n=told.waits.count),
        desk.result(name, "outline", lambda: outline(sheet)),
    )


def _ago(now: datetime, at: str, words: Words) -> str:
    """How long ago, in the largest unit that says it."""
    seconds = now.timestamp() - moment(at)
    for unit, long in (("weeks", 14 * 86400), ("days", 86400), ("hours", 3600), ("minutes", 60)):
        if seconds >= long:
            size = 7 * 86400 if unit == "weeks" else long
            return words(f"ago-{unit}", n=int(seconds // size))
    return words("ago-now")


PAGE: Final = Page("job", "/jobs/{job}", view, script=True, tab="job")
