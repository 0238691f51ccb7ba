"""Everything about a job that should be asked before it is believed.

Single readings (`slips`), an engine already on an oversize (`oversized`), shims whose mark is not
their size (`shim_marks`), strings of marks read from the wrong end (`string_ends`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from gudgeon.faults import Fault
from gudgeon.metrology.answered import right_as_read
from gudgeon.metrology.oversized import oversizes_met
from gudgeon.metrology.readings import Table
from gudgeon.metrology.shim_marks import shims_questioned
from gudgeon.metrology.slips import Slip, find_slips
from gudgeon.metrology.string_ends import Tested, end_slip, strings_tested

if TYPE_CHECKING:
    from gudgeon.log.job import Job


@dataclass(frozen=True, slots=True)
class Suspicions:
    """What should be asked.

    Attributes:
        slips: the questions, likeliest first. strings: the tests of strings of marks.
        questioned: entries of readings under a question.
        faults: entries that say nothing, such as a mark the rule gives no meaning.
        doubted: feature -> why its limits may be the wrong ones.
    """

    slips: tuple[Slip, ...] = ()
    strings: tuple[Tested, ...] = ()
    questioned: frozenset[str] = frozenset()
    faults: tuple[Fault, ...] = ()
    doubted: Mapping[str, str] = field(default_factory=dict)


def suspicions(job: Job, table: Table) -> Suspicions:
    """Every question a job raises that nobody has answered. Nothing in it is changed."""
    over = tuple(oversizes_met(job.sheet, table, job.departures))
    shifted = {name: item.step for item in over for name in item.features}
    answered = right_as_read(job.settings)
    found = find_slips(job.sheet, table, shifted)
    readings = [slip for slip in found if slip.entry not in answered]
    faults: list[Fault] = []
    questioned = frozenset(slip.entry for slip in readings)
    strings = tuple(strings_tested(job, table, questioned))
    asked = [
        *(item.slip for item in over if item.slip.group not in answered),
        *(end_slip(item) for item in strings if item.test.turned),
        *shims_questioned(job, table, faults),
        *readings,
    ]
    asked.sort(key=lambda slip: -slip.posterior)
    doubted = {
        name: f"judged by the sheet as it stands; the engine may be {item.slip.explanation}"
        for item in over
        for name in item.features
    }
    return Suspicions(tuple(asked), strings, questioned, tuple(faults), doubted)
