"""A place of the engine: everything read and found there, with what is under every number."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from gudgeon.bench.addresses import measure_at, place_of
from gudgeon.bench.answers import Asked, open_questions, strike_of
from gudgeon.bench.at_places import shells_of
from gudgeon.bench.errors import Missing
from gudgeon.bench.opened import Opened, opened, plain_name
from gudgeon.bench.page import Page
from gudgeon.bench.photos import PhotoStrip, strip_of
from gudgeon.bench.state import Ask
from gudgeon.faults import Unusable
from gudgeon.log.canon import moment
from gudgeon.log.words import in_words
from gudgeon.metrology.findings import WORDS
from gudgeon.record.figures import percent
from gudgeon.record.said import EPOCHS, span, spoken, with_u

if TYPE_CHECKING:
    from gudgeon.log.entries import Entry
    from gudgeon.log.job import Job


@dataclass(frozen=True, slots=True)
class Line:
    """One entry about the place.

    Attributes:
        id, at, device: of the entry. text: what it says. struck: whether it does not count.
        reason: why it was struck. undo: the entry that would strike it, or bring it back.
    """

    id: str
    at: str
    device: str
    text: str
    struck: bool
    reason: str
    undo: dict[str, Any]


@dataclass(frozen=True, slots=True)
class ToMeasure:
    """A feature that is measured at this place. left: readings not yet taken."""

    words: str
    to: str
    left: int


@dataclass(frozen=True, slots=True)
class Shells:
    """The shells picked for this place."""

    by_code: str
    by_measurement: str
    pick: str
    clearance: str
    window: str
    chance: str
    sum: str
    agreement: str
    advice: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlacePage:
    """The page.

    Attributes:
        place, spoken: where. before, after: neighbouring places of its kind, address and name.
        sizes: what was found, worst first. not_measured: names of what was not.
        measure: what is measured here. questions: about readings here. lines: every entry about
        it, the latest first. shells: picked for it.
        photos: taken of it.
    """

    job: str
    place: str
    spoken: str
    before: tuple[str, str] | None
    after: tuple[str, str] | None
    sizes: tuple[Opened, ...]
    not_measured: tuple[str, ...]
    measure: tuple[ToMeasure, ...]
    questions: tuple[Asked, ...]
    lines: tuple[Line, ...]
    shells: Shells | None
    photos: PhotoStrip


def view(ask: Ask) -> PlacePage:
    """The place in the address.

    Raises:
        Missing: the engine has no such place.
    """
    desk, name, place = ask.bench.desk, ask.parts["job"], ask.parts["place"]
    job = desk.job(name)
    try:
        job.sheet.layout.check(place, "place")
    except Unusable as problem:
        raise Missing(problem.faults) from None
    found = desk.findings(name)
    mine = [item for item in found.items if item.size.place == place]
    mine.sort(key=lambda item: WORDS.index(item.word))
    measured = [item for item in mine if item.word != "not measured"]
    row = job.sheet.layout.of(job.sheet.layout.kind(place))
    at = row.index(place)
    left = {item.size.feature: item.size.planned - item.size.read for item in mine}
    return PlacePage(
        name,
        place,
        spoken(place),
        _neighbour(name, row[at - 1]) if at else None,
        _neighbour(name, row[at + 1]) if at + 1 < len(row) else None,
        tuple(opened(job, found, item) for item in measured),
        tuple(plain_name(item.size.name) for item in mine if item.word == "not measured"),
        tuple(_to_measure(job, place, left)),
        tuple(item for item in open_questions(desk, name) if item.place == place),
        tuple(_lines(job, place)),
        _shells(ask, place),
        strip_of(ask, place),
    )


def _neighbour(job: str, place: str) -> tuple[str, str]:
    return place_of(job, place), spoken(place)


def _to_measure(job: Job, place: str, left: dict[str, int]) -> Iterator[ToMeasure]:
    kind = job.sheet.layout.kind(place)
    for name, spec in job.sheet.features.items():
        if spec.at != kind:
            continue
        for epoch in spec.epochs:
            words = plain_name(name)
            if len(spec.epochs) > 1:
                words = f"{words}, {EPOCHS.get(epoch, epoch)}"
            rest = left.get(name, 0) if epoch == spec.epochs[0] else 0
            yield ToMeasure(words, measure_at(job.name, name, place, epoch), max(0, rest))


def _lines(job: Job, place: str) -> Iterator[Line]:
    """Every entry about a place, struck or not, the latest first."""
    strikes = _strikes(job)
    about = [entry for entry in job.entries if _is_about(entry, place)]
    for entry in sorted(about, key=lambda entry: -moment(entry.at)):
        struck = entry.id in job.struck
        target = strikes.get(entry.id, entry.id) if struck else entry.id
        yield Line(
            entry.id,
            entry.at,
            entry.device,
            in_words(entry),
            struck,
            job.struck.get(entry.id, ""),
            strike_of(target, "" if not struck else "it was right"),
        )


def _is_about(entry: Entry, place: str) -> bool:
    return getattr(entry, "place", None) == place or place in getattr(entry, "places", ())


def _strikes(job: Job) -> dict[str, str]:
    """Struck entry -> the strike-out that counts."""
    return {
        str(getattr(entry, "target", "")): entry.id
        for entry in job.entries
        if getattr(entry, "kind", "") == "strike" and entry.id not in job.struck
    }


def _shells(ask: Ask, place: str) -> Shells | None:
    told = shells_of(ask.bench.desk, ask.parts["job"])
    pick = next((item for item in told.picks if item.place == place), None)
    if pick is None:
        return None
    taken = pick.pick
    chance = taken.chance if taken is not None else None
    return Shells(
        str(pick.bearing.by_code or ""),
        str(pick.measured.halves) if pick.measured else "",
        " / ".join(taken.halves) if taken else "",
        f"{with_u(taken.clearance.value, taken.clearance.u)} mm" if taken else "",
        span(*pick.bearing.window),
        percent(chance) if chance is not None else "",
        pick.sum.text if pick.sum else "",
        pick.agreement.text,
        tuple(text for text in (*pick.advice, pick.cross, pick.expect, pick.refused) if text),
    )


PAGE: Final = Page("place", "/jobs/{job}/places/{place:path}", view, script=True)
