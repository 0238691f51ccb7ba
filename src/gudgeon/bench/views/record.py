"""The record that goes with the engine: what will stand in it, and the PDF."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.bench.addresses import record_of
from gudgeon.bench.page import Page
from gudgeon.bench.state import Ask


@dataclass(frozen=True, slots=True)
class RecordPage:
    """The page.

    Attributes:
        sheet_file, sheet_hash: the sheet judged by. last: day of the last entry. entries: so many.
        counts: verdict word -> how many sizes. open: questions that nobody has answered.
        ready: whether the PDF is at hand already.
        show, keep, letter: addresses of the PDF to look at, to keep, and on the other paper.
    """

    job: str
    engine: str
    invented: bool
    sheet_file: str
    sheet_hash: str
    last: str
    entries: int
    counts: dict[str, int]
    open: int
    undecided: int
    stale: int
    ready: bool
    show: str
    keep: str
    letter: str


def view(ask: Ask) -> RecordPage:
    """The record of the job in the address."""
    from gudgeon.record.assemble import last_day

    desk, name = ask.bench.desk, ask.parts["job"]
    job, found = desk.job(name), desk.findings(name)
    counts = {str(word): count for word, count in found.counts().items()}
    return RecordPage(
        name,
        job.sheet.engine.name,
        bool(job.sheet.engine.invented),
        job.sheet_file,
        job.sheet_hash,
        last_day(job),
        len(job.entries),
        counts,
        len(found.slips),
        counts.get("not decided", 0),
        sum(bool(item.size.stale) for item in found.items),
        ask.bench.papers.ready(desk, name, "a4"),
        record_of(name),
        record_of(name, keep="yes"),
        record_of(name, keep="yes", paper="letter"),
    )


PAGE: Final = Page("record", "/jobs/{job}/record", view, script=True, tab="job")
