"""Shims whose mark and micrometer differ."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from gudgeon.faults import Fault
from gudgeon.metrology.expected import normal
from gudgeon.metrology.marks import MARK_DIFFERS, Thickness, thickness
from gudgeon.metrology.priors import SHOWN_FROM, chance
from gudgeon.metrology.readings import Table
from gudgeon.metrology.slips import Slip
from gudgeon.numbers import NotANumber

if TYPE_CHECKING:
    from gudgeon.log.entries import ShimFitted
    from gudgeon.log.job import Job


def shims_questioned(job: Job, table: Table, faults: list[Fault]) -> Iterator[Slip]:
    """Shims to measure again. Entries that say nothing are told in `faults`."""
    for entry in job.shims:
        try:
            found = fitted_thickness(job, table, entry)
        except NotANumber as problem:
            faults.append(Fault(f"entry {entry.id}", problem.wrong, problem.right))
            continue
        spec = job.sheet.select.shims
        if entry.mark and spec is not None and spec.marking and (not found or not found.marked):
            faults.append(
                Fault(
                    f"entry {entry.id}",
                    f"mark '{entry.mark}' has no meaning by the rule '{spec.marking}'",
                    "read the mark again, or measure the shim",
                )
            )
        if found is not None and found.difference is not None and found.disagrees:
            slip = _mark_slip(entry, found, found.difference)
            if slip is not None:
                yield slip


def fitted_thickness(job: Job, table: Table, entry: ShimFitted) -> Thickness | None:
    """The thickness of a shim at a place, by the micrometer or else by its mark.

    Raises NotANumber for a reading that is none.
    """
    return thickness(
        job.sheet.select.shims,
        table.cabinet,
        entry.id,
        entry.at,
        entry.mark,
        entry.typed,
        entry.unit or job.sheet.unit,
        entry.instrument,
    )


def _mark_slip(entry: ShimFitted, found: Thickness, difference: float) -> Slip | None:
    """Mark and micrometer differ: the mark is wrong or worn, or the thimble was a turn out."""
    sound = max(0.005, found.value.u)

    def fits(value: float) -> float:
        return normal(value, 0.0, sound)

    amount = abs(difference)
    other = chance("mark") * (0.5 / 0.03 * math.exp(-amount / 0.03) + 0.5 / 1.0)
    turns = {way: chance("turn") / 2.0 * fits(difference + way * 0.5) for way in (1.0, -1.0)}
    total = (1.0 - chance("mark")) * fits(difference) + other + sum(turns.values())
    way = max(turns, key=turns.__getitem__)
    read = found.value.value
    marked = read - difference
    if turns[way] > other and turns[way] / total >= SHOWN_FROM:
        words = f"one turn of the thimble {'more' if way > 0 else 'less'} (0.50 mm)"
        question = (
            f"Shim at {entry.place}: {found.typed}? {words[0].upper()}{words[1:]} gives"
            f" {read + way * 0.5:.3f} mm, as its mark {entry.mark} says."
        )
        return _shim_slip(
            entry, "turn", words, question, (read, read + way * 0.5), turns[way] / total
        )
    if other / total < SHOWN_FROM or amount <= MARK_DIFFERS:
        return None
    words = f"its mark {entry.mark} says {marked:.3f}, the micrometer {read:.3f}"
    question = (
        f"Shim at {entry.place}: {words}. Mis-marked, worn or misread? Measure it again and"
        f" re-mark it {read:.3f}; until then the micrometer counts."
    )
    return _shim_slip(entry, "mark", words, question, (marked, read), other / total)


def _shim_slip(
    entry: ShimFitted,
    kind: str,
    words: str,
    question: str,
    values: tuple[float, float],
    posterior: float,
) -> Slip:
    return Slip(
        entry.id,
        entry.place,
        "shim",
        kind,
        words,
        question,
        values[0],
        round(values[1], 6),
        f"{values[0]:.3f} mm",
        f"{values[1]:.3f} mm",
        posterior,
        group=entry.id,
    )
