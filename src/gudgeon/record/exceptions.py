"""What a reader of a record must know before anything else: printed on page one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from gudgeon.record.marks import BEYOND, NO_LIMIT, NOT_DECIDED, NOT_MEASURED
from gudgeon.record.of_findings import where
from gudgeon.record.said import counted, shortened, spoken

if TYPE_CHECKING:
    from gudgeon.fit.picks import Picks
    from gudgeon.log.job import Job
    from gudgeon.metrology.findings import Findings


def exceptions(job: Job, found: Findings, picked: Picks) -> Iterator[str]:
    """What a reader must know before anything else."""
    if found.slips:
        yield (
            f"Open questions: {len(found.slips)}. They wait for an answer, and what rests on them"
            " may change."
        )
    for word, words in ((BEYOND, "Beyond service"), (NOT_DECIDED, "Not decided")):
        named = [
            f"{item.size.name} {where(item.size)}" for item in found.standing if item.word == word
        ]
        if named:
            yield f"{words}: {shortened(named)}."
    outside = [f"{item.size.name} {where(item.size)}" for item in found.standing if item.not_as_new]
    if outside:
        yield f"Not as new, and no limit of wear is given: {shortened(outside)}."
    missing = sum(item.word == NOT_MEASURED for item in found.standing)
    if missing:
        yield f"{counted(missing, 'size was', 'sizes were')} not measured."
    bare = sum(
        item.word == NO_LIMIT and not item.limits.given and not item.limits.unjudged
        for item in found.items
    )
    if bare:
        yield f"No limit is given for {counted(bare, 'size', 'sizes')}: recorded, not judged."
    unpaged = {
        item.limits.by for item in found.items if item.limits.given and not item.limits.source
    }
    if unpaged:
        yield f"No page is given for the limits of {shortened(sorted(unpaged))}."
    if job.departures:
        points = counted(len(job.departures), "point", "points")
        yield f"This engine is not as its sheet says in {points}."
    yield from _of_picks(picked)
    unusable = len({str(fault) for fault in (*found.faults, *picked.faults)})
    if unusable:
        yield f"{counted(unusable, 'entry or setting', 'entries or settings')} could not be used."


def _of_picks(picked: Picks) -> Iterator[str]:
    shims = picked.shims
    if shims is not None:
        forecasts = [(spoken(item.place), item.with_old_shim) for item in shims.held]
        held = [place for place, old in forecasts if old is None or old.value <= 0]
        if held:
            yield f"With its old shim the valve would be held open: {shortened(held)}."
        little = [place for place, old in forecasts if old is not None and old.value > 0]
        if little:
            words = "With its old shim the valve would keep too little gap to read"
            yield f"{words}: {shortened(little)}."
        left = [spoken(item.place) for item in shims.choice.left_out]
        if left:
            yield f"No shim could be chosen for {shortened(left)}."
        bad = [
            spoken(item.place)
            for item in shims.built
            if item.decision is None or item.decision.verdict != "conforms"
        ]
        if bad:
            yield f"Read after the build, not proved to be in the window: {shortened(bad)}."
        built = {item.place for item in shims.built}
        open_ = [valve for valve in shims.valves if valve.place not in built]
        if open_:
            yield (
                f"Clearances after the build: {len(built)} read, {len(open_)} not yet. What is"
                " printed for these is a forecast."
            )
    none = [spoken(pick.place) for pick in picked.shells.picks if pick.pick is None]
    if none:
        yield f"No shells could be chosen for {shortened(none)}."
    odd = [spoken(pick.place) for pick in picked.shells.picks if pick.agreement.word == "disagree"]
    if odd:
        yield f"Code and measurement of the bearing disagree at {shortened(odd)}."
