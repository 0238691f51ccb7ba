"""Going on from a job already folded, where what is new can't change what was there before.

Readings come one after another while somebody measures. Each that comes last in time, that no
strike-out names and that makes sense for the sheet in force only adds itself; the fold of the whole
log would say the same, and takes longer the longer the log is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from gudgeon.log.canon import moment
from gudgeon.log.checks import problems_with
from gudgeon.log.entries import Entry, Feeler, Note, Reading, StrikeOut
from gudgeon.log.job import Job


def folded_on(job: Job, new: Sequence[Entry]) -> Job | None:
    """The job with new entries of its log; none where the whole log has to be folded.

    Args:
        job: as folded from all entries before. new: those that came since, in any order.
    """
    if not job.sheet_hash or not all(isinstance(entry, (Reading, Feeler, Note)) for entry in new):
        return None
    if any(problems_with(entry, job.sheet) for entry in new):
        return None
    order = sorted((moment(entry.at), entry.id) for entry in new)
    if order and job.entries:
        last = job.entries[-1]
        if order[0] <= (moment(last.at), last.id):
            return None
    ids = {entry.id for entry in new}
    named = {entry.target for entry in job.entries if isinstance(entry, StrikeOut)}
    if ids & named or len(ids) < len(new):
        return None
    added = sorted(new, key=lambda entry: (moment(entry.at), entry.id))
    return replace(
        job,
        readings=(*job.readings, *(entry for entry in added if isinstance(entry, Reading))),
        feelers=(*job.feelers, *(entry for entry in added if isinstance(entry, Feeler))),
        notes=(*job.notes, *(entry for entry in added if isinstance(entry, Note))),
        entries=(*job.entries, *added),
    )
