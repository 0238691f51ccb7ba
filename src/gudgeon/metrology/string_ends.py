"""Each string of marks of a job, held against what was measured from both its ends."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from gudgeon.log.marks import split_marks
from gudgeon.metrology.marks import laid_out
from gudgeon.metrology.measured import Measured, mean_of
from gudgeon.metrology.readings import Table
from gudgeon.metrology.slips import Slip
from gudgeon.metrology.strings import Range, Spot, StringTest, reversed_string

if TYPE_CHECKING:
    from gudgeon.log.entries import Code
    from gudgeon.log.job import Job
    from gudgeon.sheet.model import Sheet
    from gudgeon.sheet.select import Shells

#: Form of a sound bearing that one string position's size hides [mm]: common practice, no source.
FORM: Final = 0.001
_SHARED: Final = ("instrument:", "temperature:", "expansion of")


@dataclass(frozen=True, slots=True)
class Tested:
    """The test of one string of marks: which one, what it says, and the string turned round."""

    entry: str
    group: str
    on: str
    marks: str
    backward: str
    test: StringTest


def strings_tested(job: Job, table: Table, questioned: Collection[str]) -> Iterator[Tested]:
    """Every string of marks that can be tested; readings in `questioned` are left out."""
    latest: dict[tuple[str, str], Code] = {(code.group, code.on): code for code in job.codes}
    for (group, on), code in latest.items():
        shells = job.sheet.select.shells.get(group)
        if shells is not None:
            tested = _tested(job.sheet, table, shells, code, on, questioned)
            if tested is not None:
                yield tested


def _tested(
    sheet: Sheet,
    table: Table,
    shells: Shells,
    code: Code,
    on: str,
    questioned: Collection[str],
) -> Tested | None:
    spec = shells.case if on == "case" else shells.crank
    feature = shells.housing if on == "case" else shells.journal
    if spec is None or feature is None:
        return None
    marks = split_marks(code.marks)
    laid = laid_out(marks, sheet.layout, shells.at, spec.reads_from)
    if laid is None:
        return None
    ranges: dict[str, Range] = {
        mark: (float(limits.min), float(limits.max))
        for mark, limits in spec.marks.items()
        if limits.min is not None and limits.max is not None
    }
    found = [_spot(table, feature, place, questioned) for place, _ in laid]
    measured = [item[0] if item else None for item in found]
    if sum(item is not None for item in measured) < 2:
        return None
    wears: Literal["larger", "smaller"] = "larger" if on == "case" else "smaller"
    test = reversed_string(
        [ranges.get(mark) for _, mark in laid],
        measured,
        wears,
        max(item[1] for item in found if item),
    )
    joined = "" if all(len(mark) == 1 for mark in marks) else " "
    return Tested(code.id, code.group, on, code.marks, joined.join(reversed(marks)), test)


def _spot(
    table: Table, feature: str, place: str, questioned: Collection[str]
) -> tuple[Spot, float] | None:
    """The mean size at a place with what is its own of the uncertainty, and what is shared."""
    values: list[Measured] = [
        at.value
        for at in table.at(feature, place).values()
        if at.value is not None and not any(item.entry in questioned for item in at.taken)
    ]
    if not values:
        return None
    mean = mean_of(values)
    shared = math.hypot(
        *(part for source, part in mean.parts.items() if source.startswith(_SHARED))
    )
    own = math.sqrt(max(0.0, mean.u**2 - shared**2))
    return Spot(mean.value, math.hypot(own, FORM)), shared


def end_slip(item: Tested) -> Slip:
    """The question a string raises."""
    what = "case" if item.on == "case" else "crank"
    words = "the string was read from its other end"
    question = (
        f"{item.group}, {what}: {item.marks}? From its other end it reads {item.backward}, which"
        f" fits what was measured: {item.test.says}. Look again which end it begins at."
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
