"""From a job, its findings, picks and order to the data of its record, in one place."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from gudgeon import __version__
from gudgeon.metrology.findings import WORDS
from gudgeon.order.doubts import early
from gudgeon.record.data import PartSection, RecordData, Title
from gudgeon.record.exceptions import exceptions
from gudgeon.record.marks import BEYOND, NOT_DECIDED, Tag
from gudgeon.record.of_findings import (
    coverage,
    part_sections,
    slips,
    stale,
    undecided,
    where,
    words_by_place,
)
from gudgeon.record.of_log import departures, marks_read, remarks, struck
from gudgeon.record.of_picks import order_part, shell_part, shim_part
from gudgeon.record.said import EPOCHS, mm, shortened, spoken_in
from gudgeon.record.views import engine_views

if TYPE_CHECKING:
    from gudgeon.fit.picks import Picks
    from gudgeon.log.job import Job
    from gudgeon.metrology.findings import Findings
    from gudgeon.order.lines import Order
    from gudgeon.sheet.model import Sheet


def record_data(
    job: Job, found: Findings, picked: Picks, ordered: Order, date: str | None = None
) -> RecordData:
    """Everything the record of a job prints.

    Args:
        job: sheet and log. found, picked, ordered: what was computed from them.
        date: of the record, ISO 8601; by default that of the last entry.
    """
    sheet = job.sheet
    tags, key = _tags(sheet, found, picked)
    sections = [item for item in part_sections(job, found) if _says(item)]
    marks = marks_read(job)
    if marks:
        sections.append(PartSection("shims and marks", readings=marks))
    return RecordData(
        title=_title(job, date or last_day(job)),
        drawings=engine_views(sheet, tags),
        drawing_key=key,
        exceptions=tuple(exceptions(job, found, picked)),
        counts=tuple(found.counts().items()),
        undecided=undecided(found),
        slips=slips(sheet, found),
        stale=stale(sheet, found),
        parts=tuple(sections),
        shims=shim_part(sheet, picked.shims, early(sheet, picked, found)) if picked.shims else None,
        shells=tuple(shell_part(group) for group in picked.shells.groups),
        order=order_part(ordered, sheet.layout),
        departures=departures(job),
        struck=struck(job),
        notes=remarks(job),
        cautions=tuple(sheet.cautions),
        rules=_rules(found),
        unusable=tuple(
            dict.fromkeys(
                spoken_in(str(fault), sheet.layout) for fault in (*found.faults, *picked.faults)
            )
        ),
    )


def last_day(job: Job) -> str:
    """The day of the last entry, so that the same log gives the same record."""
    return max((entry.at for entry in job.entries), default="2000-01-01")[:10]


def _says(section: PartSection) -> bool:
    return bool(section.findings or section.readings or section.figures or section.not_measured)


def _title(job: Job, date: str) -> Title:
    engine = job.sheet.engine
    facts = []
    if engine.bore is not None or engine.stroke is not None:
        facts.append(
            ("bore × stroke", f"{engine.bore or 'not given'} × {engine.stroke or 'not given'}")
        )
    if engine.capacity is not None:
        facts.append(("capacity", f"{engine.capacity:g} cc"))
    if engine.code:
        facts.append(("engine code", engine.code))
    facts += [
        ("numbered from", job.sheet.layout.end),
        ("units", "mm; sizes at 20 °C"),
        ("sheet, sha256", job.sheet_hash),
        ("made with", f"gudgeon {__version__}"),
    ]
    return Title(
        engine=engine.name or "engine not named",
        job=job.name,
        sheet_file=job.sheet_file,
        sheet_hash=job.sheet_hash,
        date=date[:10],
        job_title=job.title,
        facts=tuple(facts),
        invented=engine.invented,
    )


class _Printed(NamedTuple):
    """What is printed at a place: the value, and the verdict on it; a forecast has none."""

    text: str
    word: str | None = None


def _tags(sheet: Sheet, found: Findings, picked: Picks) -> tuple[Mapping[str, Tag], str]:
    """What stands at the places of the drawing, and the line that says what it is."""
    printed: dict[str, _Printed] = {}
    told = []
    shims = sheet.select.shims
    if shims is not None:
        when = _put_gaps(sheet, found, shims.gap, shims.at, printed)
        if when:
            told.append(f"at the valves the clearance {when}")
    name = next(
        (
            name
            for name, spec in sheet.derive.items()
            if spec.rule in ("max", "mean") and sheet.features[spec.from_].at == "cylinder"
        ),
        None,
    )
    for item in found.items:
        if name is not None and item.size.name == name and item.size.value is not None:
            text = mm(item.size.value.value, item.size.decimals)
            printed[item.size.place] = _Printed(text, item.word)
    if name is not None and any(place.startswith("cylinder/") for place in printed):
        told.append(f"at the bores {name}")
    for pick in picked.shells.picks:
        if pick.pick is not None:
            printed[pick.place] = _Printed(mm(pick.pick.clearance.value))
    if any(pick.pick is not None for pick in picked.shells.picks):
        told.append("along the crank the oil clearance expected with the shells picked, not judged")
    words = words_by_place(found)
    tags = {
        place: Tag(printed[place].text, printed[place].word)
        if place in printed
        else Tag("", words[place])
        for place in {**words, **printed}
    }
    if not told:
        return tags, "Marks: the verdict at that place to look at first."
    line = f"Figures in mm: {'; '.join(told)}. Marks: the verdict on the figure."
    worse = _worse(found, printed)
    return tags, f"{line} Worse at these places: {worse}." if worse else line


def _worse(found: Findings, printed: Mapping[str, _Printed]) -> str:
    """Sizes to look at, at places whose printed figure is judged better or not at all."""
    named = [
        f"{item.size.name} {where(item.size)} ({item.word})"
        for item in found.standing
        if item.word in (BEYOND, NOT_DECIDED)
        and item.size.place in printed
        and _rank(item.word) < _rank(printed[item.size.place].word)
    ]
    return shortened(named)


def _rank(word: str | None) -> int:
    order: tuple[str, ...] = WORDS
    return order.index(word) if word is not None else len(order)


def _put_gaps(
    sheet: Sheet, found: Findings, gap: str, kind: str, printed: dict[str, _Printed]
) -> str:
    """The clearance last read at each place; returns in words when that was."""
    words = {
        (item.size.place, item.size.epoch): item.word
        for item in found.items
        if item.size.feature == gap and item.size.origin != "fit"
    }
    seen: set[str] = set()
    for place in sheet.layout.of(kind):
        for epoch in ("built", "dry", "found"):
            values = found.table.values(gap, place, epoch)
            if values:
                value = next(iter(values.values())).value
                text = mm(value)
                text = text[:-1] if text.endswith("0") else text
                printed[place] = _Printed(text, words.get((place, epoch)))
                seen.add(epoch)
                break
    if not seen:
        return ""
    (epoch, *others) = sorted(seen)
    return "last read" if others else EPOCHS.get(epoch, epoch)


def _rules(found: Findings) -> tuple[str, ...]:
    rule = found.rule
    k = coverage(found)
    told = {
        "expanded": (
            "A verdict is given only where the limit lies outside the value ± U; where it lies"
            f" inside, the word is: not decided (ISO 14253-1, expanded uncertainty, k = {k:g})."
        ),
        "probability": (
            f"A verdict is given where its probability is at least {100 * rule.probability:g} %"
            " (JCGM 106)."
        ),
        "simple": "Verdicts take each value as it stands, without its uncertainty.",
    }[rule.kind]
    return (
        f"± U is {k:g} times the standard uncertainty. {told} The chance is the probability that"
        " the true size keeps the limit its word rests on.",
    )
