"""Each string of marks of a job, held against what was measured from both its ends."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from gudgeon.faults import Unusable
from gudgeon.log.oversize import ground_under
from gudgeon.metrology.class_likelihood import Band, band_of, span_of
from gudgeon.metrology.part_sizes import part_size
from gudgeon.metrology.readings import Table
from gudgeon.metrology.slips import Slip
from gudgeon.metrology.strings import StringTest, reversed_string
from gudgeon.sheet.marks import known_mark, laid_out, split_marks

if TYPE_CHECKING:
    from gudgeon.log.entries import Code
    from gudgeon.log.job import Job
    from gudgeon.sheet.select import Shells


@dataclass(frozen=True, slots=True)
class Tested:
    """The test of one string of marks: which one, what it says, and the string turned round."""

    entry: str
    group: str
    on: Literal["case", "crank"]
    marks: str
    backward: str
    test: StringTest


def strings_tested(job: Job, table: Table, questioned: Collection[str]) -> Iterator[Tested]:
    """The last string entered of each side of each group of shells.

    Readings in `questioned` don't count. A string that can't be laid to its places, and that of a
    crank that was ground since, is left out.
    """
    latest: dict[tuple[str, str], Code] = {(code.group, code.on): code for code in job.codes}
    for (group, _), code in latest.items():
        shells = job.sheet.select.shells.get(group)
        if shells is None or (code.on == "crank" and ground_under(job, shells.journal)):
            continue
        tested = _tested(job, table, shells, code, questioned)
        if tested is not None:
            yield tested


def _tested(
    job: Job, table: Table, shells: Shells, code: Code, questioned: Collection[str]
) -> Tested | None:
    spec = shells.case if code.on == "case" else shells.crank
    feature = shells.housing if code.on == "case" else shells.journal
    places = job.sheet.layout.of(shells.at)
    try:
        laid = laid_out(code.marks, places, spec.reads_from if spec else None, code.id)
    except Unusable:
        return None  # told by the log's own check, where it belongs
    if len(places) < 2:
        return None
    bands = {} if spec is None else {name: band_of(item) for name, item in spec.marks.items()}
    marks = [_named(mark, bands) for mark in laid.values()]
    sizes = [part_size(job.sheet, table, feature, place, questioned).value for place in places]
    wear = table.settings.housing if code.on == "case" else table.settings.journal
    test = reversed_string(marks, bands, sizes, wear, span_of(bands))
    stamped = split_marks(code.marks, len(places), code.id)
    joined = "" if all(len(mark) == 1 for mark in stamped) else " "
    return Tested(code.id, code.group, code.on, code.marks, joined.join(reversed(stamped)), test)


def _named(mark: str, bands: Mapping[str, Band | None]) -> str:
    """The mark as the sheet writes it; as stamped where the sheet has none like it."""
    try:
        return known_mark(mark, bands, "", "")
    except Unusable:
        return mark


def end_slip(item: Tested) -> Slip:
    """The question a string raises."""
    what = "case" if item.on == "case" else "crank"
    words = "the string was read from its other end"
    question = (
        f"{item.group}, {what}: {item.marks}? It {item.test.verdict}, as {item.backward}: odds"
        f" {item.test.figure}. Look again which end it begins at."
    )
    return Slip(
        item.entry,
        item.group,
        item.group,
        "string-end",
        words,
        question,
        None,
        None,
        item.marks,
        item.backward,
        item.test.posterior,
        group=item.entry,
    )
