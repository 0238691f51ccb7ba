"""The findings: every size against its limits, by part, those to look at first at the top."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from gudgeon.bench.addresses import place_of
from gudgeon.bench.answers import Asked, open_questions
from gudgeon.bench.desk import Desk
from gudgeon.bench.opened import anchor_of, coverage, plain_name, strip_of, value_of
from gudgeon.bench.page import Page, drawn
from gudgeon.bench.state import Ask
from gudgeon.bench.words import words_of
from gudgeon.metrology.findings import WORDS, Word
from gudgeon.record.figures import percent
from gudgeon.record.said import EPOCHS, every, mm, spoken

if TYPE_CHECKING:
    from gudgeon.log.job import Job
    from gudgeon.metrology.findings import Finding, Findings

#: Words whose sizes each stand on a line of their own; the others are brought together by name.
ONE_BY_ONE: Final = ("beyond service", "not decided")


@dataclass(frozen=True, slots=True)
class Row:
    """One size on a line.

    Attributes:
        place, spoken, said: where and what. value, u, unit: as shown. word, chance: the verdict.
        limit, page: what it is held against. decides: what would decide it. stale: why it no
        longer stands. notes: what should be known. to: where it is opened up. strip: drawn.
    """

    place: str
    spoken: str
    said: str
    value: str
    u: str
    unit: str
    word: str
    chance: str
    limit: str
    page: str
    decides: str
    stale: bool
    notes: tuple[str, ...]
    to: str
    strip: str = drawn()


@dataclass(frozen=True, slots=True)
class Together:
    """Sizes of one name and word. span: from which value to which. rows: each of them."""

    said: str
    word: str
    span: str
    unit: str
    limit: str
    places: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class PartFindings:
    """One part. worst: its worst word. first: lines to look at. rest: the others, by name."""

    name: str
    worst: Word
    first: tuple[Row, ...]
    rest: tuple[Together, ...]


@dataclass(frozen=True, slots=True)
class Stale:
    """Sizes that no longer stand. why: what was done since. where: which, in words."""

    said: str
    why: str
    where: str


@dataclass(frozen=True, slots=True)
class FindingsPage:
    """The page.

    Attributes:
        rule: how verdicts are given, in words. counts: word -> how many sizes.
        parts: the findings, parts with the worst first. questions: open ones.
        stale: what no longer stands. faults: what of the log can't be used.
    """

    job: str
    engine: str
    rule: str
    counts: dict[str, int]
    questions: tuple[Asked, ...]
    parts: tuple[PartFindings, ...]
    stale: tuple[Stale, ...]
    faults: tuple[str, ...]


def view(ask: Ask) -> FindingsPage:
    """The findings of the job in the address."""
    desk, name = ask.bench.desk, ask.parts["job"]
    return desk.result(name, "findings page", lambda: _page(desk, name))


def _page(desk: Desk, name: str) -> FindingsPage:
    job, found = desk.job(name), desk.findings(name)
    parts: dict[str, list[Finding]] = {}
    for item in found.items:
        parts.setdefault(item.size.part or words_of("findings")("other-part"), []).append(item)
    told = [_part(job, found, part, items) for part, items in parts.items()]
    return FindingsPage(
        name,
        job.sheet.engine.name,
        _rule(found),
        {str(word): count for word, count in found.counts().items()},
        open_questions(desk, name),
        tuple(sorted(told, key=lambda part: WORDS.index(part.worst))),
        tuple(_stale(job, found)),
        tuple(str(fault) for fault in found.faults),
    )


def _rule(found: Findings) -> str:
    words, rule = words_of("findings"), found.rule
    return words(f"rule-{rule.kind}", k=f"{rule.k:g}", chance=f"{100 * rule.probability:g}")


def _part(job: Job, found: Findings, name: str, items: Sequence[Finding]) -> PartFindings:
    ordered = sorted(items, key=lambda item: WORDS.index(item.word))
    first = tuple(_row(job, found, item) for item in ordered if item.word in ONE_BY_ONE)
    groups: dict[tuple[str, str, str, str], list[Finding]] = {}
    for item in ordered:
        if item.word not in ONE_BY_ONE:
            key = (item.word, item.size.name, item.size.epoch, item.limit)
            groups.setdefault(key, []).append(item)
    rest = tuple(_together(job, found, group) for group in groups.values())
    return PartFindings(name, ordered[0].word, first, rest)


def _row(job: Job, found: Findings, item: Finding) -> Row:
    size, k = item.size, coverage(found)
    value = size.judged or size.value
    digits = max(size.decimals, 3) if size.unit == "mm" else size.decimals
    notes = [note for note in (item.other, *item.notes) if note and note != size.stale]
    return Row(
        size.place,
        spoken(size.place),
        _said(item),
        value_of(size),
        mm(k * value.u, digits) if value is not None else "",
        size.unit,
        item.word,
        percent(item.probability) if item.probability is not None else "",
        item.limit,
        item.limits.source,
        item.decides,
        bool(size.stale),
        tuple(dict.fromkeys(notes)),
        place_of(job.name, size.place, anchor_of(size)),
        strip_of(item, k),
    )


def _said(item: Finding) -> str:
    epoch = item.size.epoch
    name = plain_name(item.size.name)
    return name if epoch == "found" else f"{name}, {EPOCHS.get(epoch, epoch)}"


def _together(job: Job, found: Findings, group: Sequence[Finding]) -> Together:
    first = group[0]
    values = sorted(item.size.value.value for item in group if item.size.value is not None)
    ends = dict.fromkeys(mm(value, first.size.decimals) for value in (*values[:1], *values[-1:]))
    return Together(
        _said(first),
        first.word,
        words_of("findings")("to").join(ends),
        first.size.unit if ends else "",
        first.limit,
        every([item.size.place for item in group], job.sheet.layout),
        tuple(_row(job, found, item) for item in group),
    )


def _stale(job: Job, found: Findings) -> Iterator[Stale]:
    places: dict[tuple[str, str], list[str]] = {}
    for item in found.items:
        if item.size.stale:
            places.setdefault((_said(item), item.size.stale), []).append(item.size.place)
    for (said, why), where in places.items():
        yield Stale(said, why, every(list(dict.fromkeys(where)), job.sheet.layout))


PAGE: Final = Page("findings", "/jobs/{job}/findings", view, script=True, tab="job")
