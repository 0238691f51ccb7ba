"""A number opened up: its readings with their corrections, its uncertainty by source, its limits
with their page, its formula. What the findings page shows in a line, a place's page shows whole."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from gudgeon.bench.page import drawn
from gudgeon.metrology.limits import told
from gudgeon.metrology.rules import WORDS as RULES
from gudgeon.record.figures import Band, percent, verdict_strip
from gudgeon.record.said import EPOCHS, mm, spoken
from gudgeon.record.svg import SCREEN

if TYPE_CHECKING:
    from gudgeon.log.job import Job
    from gudgeon.metrology.conformity import Decision
    from gudgeon.metrology.findings import Finding, Findings
    from gudgeon.metrology.sizes import Size
    from gudgeon.metrology.taken import Taken
    from gudgeon.sheet.base import Limits
    from gudgeon.sheet.model import Sheet

#: Sources of uncertainty smaller than this are left out [mm; g].
_LEAST: Final = 5e-6


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One reading under a size.

    Attributes:
        id: of its entry. typed: as typed, with its unit. spot, instrument, when: how it was taken.
        steps: corrections in words, each with its amount. corrected: what came of it.
        questioned: whether there is a question about it.
    """

    id: str
    typed: str
    spot: str
    instrument: str
    when: str
    steps: tuple[tuple[str, str], ...]
    corrected: str
    questioned: bool


@dataclass(frozen=True, slots=True)
class Source:
    """One source of uncertainty: in words, as a standard uncertainty, and its share of the whole
    (0 to 10)."""

    words: str
    u: str
    share: int


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit and how the size stands to it. what: `new` or `service`."""

    what: str
    text: str
    verdict: str
    chance: str


@dataclass(frozen=True, slots=True)
class Opened:
    """One size with all that is under it.

    Attributes:
        place, name, epoch, part, feature: which. anchor: its id on the page of its place.
        said: its name in words. when: its epoch in words. how: how it comes from its readings.
        value, u, unit: as shown; u is expanded by k. word: the verdict. chance: of its limit.
        limit: the limit its word rests on. page: of the manual. limits: each on its own.
        readings: behind it. sources: of its uncertainty, the largest first.
        formula, decides, other, stale, notes: as they are told. read, planned: readings.
        strip: the value against its limits, drawn.
    """

    place: str
    spoken: str
    name: str
    epoch: str
    part: str
    feature: str
    anchor: str
    said: str
    when: str
    how: str
    value: str
    u: str
    unit: str
    word: str
    chance: str
    limit: str
    page: str
    limits: tuple[Limit, ...]
    readings: tuple[ReadingLine, ...]
    sources: tuple[Source, ...]
    formula: str
    decides: str
    other: str
    stale: str
    notes: tuple[str, ...]
    read: int
    planned: int
    strip: str = drawn()


def plain_name(name: str) -> str:
    """A name of the sheet as one says it.

    >>> plain_name("stem-in-guide")
    'stem in guide'
    """
    return name.replace("-", " ").replace("_", " ")


def coverage(found: Findings) -> float:
    """The factor k by which a standard uncertainty is shown."""
    return found.rule.k if found.rule.kind == "expanded" else 2.0


def value_of(size: Size) -> str:
    """The value as shown, without its unit; empty where there is none."""
    if size.value is not None:
        return mm(size.value.value, size.decimals)
    return f"< {mm(size.below, size.decimals)}" if size.below is not None else ""


def anchor_of(size: Size) -> str:
    """The id of a size on the page of its place."""
    return re.sub(r"[^A-Za-z0-9_-]", "-", f"{size.name}-{size.epoch}")


def strip_of(item: Finding, k: float) -> str:
    """The value against its limits, drawn; empty where there is nothing to draw."""
    value = item.size.judged or item.size.value
    if value is None:
        return ""
    bands = (_band(item.limits.new), _band(item.limits.service))
    return verdict_strip(value.value, k * value.u, *bands, ink=SCREEN, width=40.0) or ""


def opened(job: Job, found: Findings, item: Finding) -> Opened:
    """A finding with all that is under it."""
    size, k = item.size, coverage(found)
    value = size.judged or size.value
    digits = max(size.decimals, 3) if size.unit == "mm" else size.decimals
    notes = [note for note in item.notes if note != size.stale]
    return Opened(
        place=size.place,
        spoken=spoken(size.place),
        name=size.name,
        epoch=size.epoch,
        part=size.part,
        feature=size.feature,
        anchor=anchor_of(size),
        said=plain_name(size.name),
        when="" if size.epoch == "found" else EPOCHS.get(size.epoch, size.epoch),
        how=_how(job.sheet, size),
        value=value_of(size),
        u=mm(k * value.u, digits) if value is not None else "",
        unit=size.unit,
        word=item.word,
        chance=percent(item.probability) if item.probability is not None else "",
        limit=item.limit,
        page=item.limits.source,
        limits=tuple(
            _limit(what, given, decision)
            for what, given, decision in (
                ("new", item.limits.new, item.new),
                ("service", item.limits.service, item.service),
            )
            if given is not None
        ),
        readings=tuple(
            _line(found.table.taken[entry], size, entry in item.questioned)
            for entry in size.readings
            if entry in found.table.taken
        ),
        sources=_sources(size),
        formula=size.formula,
        decides=item.decides,
        other=item.other,
        stale=size.stale or "",
        notes=tuple(dict.fromkeys(note for note in notes if note)),
        read=size.read,
        planned=size.planned,
        strip=strip_of(item, k),
    )


def _how(sheet: Sheet, size: Size) -> str:
    if size.origin == "fit":
        fit = sheet.fits[size.name]
        hole, shaft = plain_name(fit.hole), plain_name(fit.shaft)
        return f"{fit.take} of {hole} less {fit.less} of {shaft}"
    if size.rule == "change" or (size.rule and size.planned > 1):
        return f"{RULES.get(size.rule, size.rule)}, of {plain_name(size.feature)}"
    return "" if size.feature == size.name else f"of {plain_name(size.feature)}"


def _limit(what: str, given: Limits, decision: Decision | None) -> Limit:
    verdict = decision.verdict if decision is not None else ""
    chance = percent(decision.probability) if decision is not None else ""
    return Limit(what, told(given), verdict, chance)


def _line(taken: Taken, size: Size, questioned: bool) -> ReadingLine:
    value = "" if taken.value is None else f"{mm(taken.value.value, 4)} {size.unit}"
    if taken.below is not None:
        value = f"below {mm(taken.below, 3)} {size.unit}"
    return ReadingLine(
        taken.entry,
        taken.typed,
        " ".join(taken.spot),
        taken.instrument.name,
        taken.when.date().isoformat(),
        tuple((step.words, signed(step.amount)) for step in taken.steps),
        value,
        questioned,
    )


def signed(amount: float) -> str:
    """A correction with its sign.

    >>> signed(0.0012), signed(-0.02)
    ('+0.0012', '−0.0200')
    """
    return f"{amount:+.4f}".replace("-", "−")


def _sources(size: Size) -> tuple[Source, ...]:
    if size.value is None:
        return ()
    whole = sum(part * part for part in size.value.parts.values()) or 1.0
    ordered = sorted(size.value.parts.items(), key=lambda pair: -abs(pair[1]))
    return tuple(
        Source(source_words(name), f"{abs(part):.4f}", round(10 * part * part / whole))
        for name, part in ordered
        if abs(part) >= _LEAST
    )


def source_words(name: str) -> str:
    """A source of uncertainty as one says it.

    >>> source_words("instrument:feeler-a/feel"), source_words("reading:m-07")
    ('feeler-a: feel', 'reading m-07 on its own')
    >>> source_words("blades:valve/1/in/L/gap/found/0.130-0.140")
    'between blades 0.130 and 0.140'
    """
    kind, colon, rest = name.partition(":")
    if not colon:
        return name
    if kind == "reading":
        return f"reading {rest} on its own"
    if kind == "blades":
        low, _, high = rest.rpartition("/")[2].partition("-")
        return f"between blades {low} and {high}"
    if kind == "instrument":
        instrument, _, what = rest.partition("/")
        return f"{instrument}: {what}" if what else instrument
    if kind == "temperature":
        return f"temperature of the {plain_name(rest)}"
    return f"{kind} of {rest}" if kind == "repeats" else f"{kind} {rest}"


def _band(given: Limits | None) -> Band:
    if given is None:
        return Band()
    return Band(
        None if given.min is None else float(given.min),
        None if given.max is None else float(given.max),
    )
