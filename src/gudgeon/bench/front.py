"""What a person who comes back to a job must know: last done, next, open, stale, to be warned of.

All of it is worked out from the job, its findings and its picks; nothing is read or kept here.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal

from gudgeon.bench.addresses import measure_at, page_of, place_of
from gudgeon.bench.opened import anchor_of
from gudgeon.log.entries import Entry, SheetPinned
from gudgeon.log.words import in_words

if TYPE_CHECKING:
    from gudgeon.fit.picks import Picks
    from gudgeon.log.job import Job
    from gudgeon.metrology.findings import Finding, Findings

#: How many of the latest entries are shown.
LATEST: Final = 6

WaitsFor = Literal["sheet", "answers", "readings", "shims", "decisions", "parts", "nothing"]


@dataclass(frozen=True, slots=True)
class Done:
    """An entry that was made, in words. at: ISO 8601. struck: it does not count."""

    id: str
    at: str
    device: str
    text: str
    struck: bool


@dataclass(frozen=True, slots=True)
class ToRead:
    """Readings that are still to be taken of one feature.

    Attributes:
        feature: which. epoch: when. readings: how many. places: where. to: where to take them.
    """

    feature: str
    epoch: str
    readings: int
    places: tuple[str, ...]
    to: str


@dataclass(frozen=True, slots=True)
class Open:
    """A size that is open, or beyond its limit.

    Attributes:
        place, name: of what. value: as shown, with its unit. limit: what it is held against.
        why: what would decide it. to: where all that is under it is shown.
    """

    place: str
    name: str
    value: str
    limit: str
    why: str
    to: str


@dataclass(frozen=True, slots=True)
class GoneStale:
    """Sizes of one name that no longer stand for one reason, and where."""

    name: str
    why: str
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """A reading that may be a slip."""

    entry: str
    place: str
    feature: str
    question: str
    as_read: str
    corrected: str


@dataclass(frozen=True, slots=True)
class Warned:
    """A warning. key: changes when its words do, so that a browser knows what was read."""

    key: str
    text: str


@dataclass(frozen=True, slots=True)
class ToBuy:
    """Pieces to buy for the picks as they are."""

    what: str
    size: str
    count: int


@dataclass(frozen=True, slots=True)
class Waits:
    """What a job waits for, how many of them, and the page to go to; blank where it is none."""

    what: WaitsFor
    count: int
    to: str = ""


@dataclass(frozen=True, slots=True)
class Front:
    """The front of a job.

    Attributes:
        job, title, engine, sheet_file: which. entries: how many its log has.
        latest: the last entries, newest first. waits: the first thing that it waits for.
        shims: valves where nobody said yet which shim sits there, and marks: where to say it.
        to_read, questions, undecided, beyond, stale, to_buy, warnings: what is open.
        chance_all: that every shim's clearance lands right first time; none without shims.
        counts: verdict word -> how many sizes.
    """

    job: str
    title: str
    engine: str
    sheet_file: str
    invented: bool
    entries: int
    waits: Waits
    latest: tuple[Done, ...] = ()
    to_read: tuple[ToRead, ...] = ()
    shims: tuple[str, ...] = ()
    marks: str = ""
    questions: tuple[Question, ...] = ()
    undecided: tuple[Open, ...] = ()
    beyond: tuple[Open, ...] = ()
    stale: tuple[GoneStale, ...] = ()
    to_buy: tuple[ToBuy, ...] = ()
    warnings: tuple[Warned, ...] = ()
    chance_all: float | None = None
    counts: dict[str, int] = field(default_factory=dict)


def front(job: Job, found: Findings, picked: Picks | None, troubles: Sequence[str] = ()) -> Front:
    """The front of a job.

    Args:
        job: the job. found: its findings. picked: its picks, where they could be made.
        troubles: why something could not be worked out.
    """
    questions = tuple(
        Question(
            slip.entry,
            slip.place,
            slip.feature,
            slip.question,
            slip.as_read_text,
            slip.corrected_text,
        )
        for slip in found.slips
    )
    items = [item for item in found.items if not item.size.stale]
    undecided = tuple(_open(job.name, item) for item in items if item.word == "not decided")
    beyond = tuple(_open(job.name, item) for item in items if item.word == "beyond service")
    stale = tuple(_stale(found))
    to_read = tuple(_to_read(job.name, found))
    shims = tuple(_unknown_shims(picked))
    to_buy = tuple(_to_buy(picked))
    chance = picked.shims.chance_all if picked is not None and picked.shims is not None else None
    return Front(
        job=job.name,
        title=job.title,
        engine=job.sheet.engine.name,
        sheet_file=job.sheet_file,
        invented=bool(job.sheet.engine.invented),
        entries=len(job.entries),
        waits=_waits(job, len(questions), to_read, len(shims), undecided, to_buy),
        latest=tuple(_done(job, entry) for entry in reversed(job.entries[-LATEST:])),
        to_read=to_read,
        shims=shims,
        marks=page_of(job.name, "marks"),
        questions=questions,
        undecided=undecided,
        beyond=beyond,
        stale=stale,
        to_buy=to_buy,
        warnings=tuple(_warnings(job, found, picked, troubles)),
        chance_all=chance,
        counts={str(word): count for word, count in found.counts().items()},
    )


def _waits(
    job: Job,
    questions: int,
    to_read: Sequence[ToRead],
    shims: int,
    undecided: Sequence[Open],
    to_buy: Sequence[ToBuy],
) -> Waits:
    """The first thing in the order of the work."""
    readings = sum(item.readings for item in to_read)
    pieces = sum(item.count for item in to_buy)
    rows: tuple[tuple[WaitsFor, int, str], ...] = (
        ("sheet", 0 if job.sheet_hash else 1, "/sheets"),
        ("answers", questions, page_of(job.name, "findings") + "#questions"),
        ("readings", readings, to_read[0].to if to_read else ""),
        ("shims", shims, page_of(job.name, "marks")),
        ("decisions", len(undecided), undecided[0].to if undecided else ""),
        ("parts", pieces, page_of(job.name, "order")),
    )
    for what, count, to in rows:
        if count:
            return Waits(what, count, to)
    return Waits("nothing", 0)


def _done(job: Job, entry: Entry) -> Done:
    text = f"sheet {entry.file}" if isinstance(entry, SheetPinned) else in_words(entry)
    kind = str(getattr(entry, "kind", ""))
    words = text or ("job opened" if kind == "opened" else kind)
    if kind == "strike":
        words = f"struck out {words}"
    return Done(entry.id, entry.at, entry.device, words, entry.id in job.struck)


def _open(job: str, item: Finding) -> Open:
    size = item.size
    shown = "" if size.value is None else f"{size.text(size.value.value)} {size.unit}"
    if size.value is None and size.below is not None:
        shown = f"below {size.below:g} mm"
    to = place_of(job, size.place, anchor_of(size))
    return Open(size.place, _named(size.name, size.epoch), shown, item.limit, item.decides, to)


def _named(name: str, epoch: str) -> str:
    return name if epoch == "found" else f"{name}, {epoch}"


def _stale(found: Findings) -> Iterator[GoneStale]:
    """What no longer stands, the places of one name and reason together."""
    places: dict[tuple[str, str], list[str]] = {}
    for item in found.items:
        size = item.size
        if size.stale:
            key = (_named(size.name, size.epoch), size.stale)
            places.setdefault(key, []).append(size.place)
    for (name, why), where in places.items():
        yield GoneStale(name, why, tuple(dict.fromkeys(where)))


def _to_read(job: str, found: Findings) -> Iterator[ToRead]:
    """What is still to be read, feature by feature, in the order of the sheet."""
    missing: dict[tuple[str, str], dict[str, int]] = {}
    for item in found.items:
        size = item.size
        left = size.planned - size.read
        if size.below is None and not size.stale and left > 0 and item.word != "no limit given":
            places = missing.setdefault((size.feature, size.epoch), {})
            places[size.place] = max(left, places.get(size.place, 0))
    for (feature, epoch), places in missing.items():
        to = measure_at(job, feature, next(iter(places)), epoch)
        yield ToRead(feature, epoch, sum(places.values()), tuple(places), to)


def _unknown_shims(picked: Picks | None) -> Iterator[str]:
    """Valves left without a pick because the shim that sits there is not recorded."""
    if picked is None or picked.shims is None:
        return
    from gudgeon.fit.shims.valves import NOT_RECORDED

    for item in picked.shims.choice.left_out:
        if item.why == NOT_RECORDED:
            yield item.place


def _to_buy(picked: Picks | None) -> Iterator[ToBuy]:
    if picked is None:
        return
    from gudgeon.fit.picks import to_json

    for row in to_json(picked)["buy"]:
        yield ToBuy(str(row["what"]), str(row["size"]), int(row["count"]))


def _warnings(
    job: Job, found: Findings, picked: Picks | None, troubles: Sequence[str]
) -> Iterator[Warned]:
    faults = [*found.faults, *(picked.faults if picked is not None else ())]
    texts = [
        *troubles,
        *(str(fault) for fault in faults),
        *(f"not as the sheet says: {in_words(entry)}" for entry in job.departures),
        *(f"note: {in_words(note)}" for note in job.notes),
    ]
    for text in dict.fromkeys(texts):
        yield Warned(hashlib.sha256(text.encode()).hexdigest()[:12], text)
