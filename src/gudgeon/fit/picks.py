"""All picks of a job: shims and shells together, from its readings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gudgeon.faults import Fault
from gudgeon.fit.settings import money
from gudgeon.fit.shells.plain import to_json as shells_json
from gudgeon.fit.shells.report import ShellPicks, shell_picks
from gudgeon.fit.shims.gather import gather
from gudgeon.fit.shims.report import ShimReport, report
from gudgeon.fit.shims.report import to_json as shims_json
from gudgeon.log.job import Job, Shop
from gudgeon.metrology.readings import Table, read_all


@dataclass(frozen=True, slots=True)
class Picks:
    """What to fit where.

    Attributes:
        job: name of the job. shims: nothing where the sheet has none. shells: by group.
        faults: what could not be used.
    """

    job: str
    shims: ShimReport | None
    shells: ShellPicks
    faults: tuple[Fault, ...]


def picks(job: Job, shop: Shop, table: Table) -> Picks:
    """Everything to fit in this engine, from readings already brought together.

    What can't be used, a setting for one, is told in `faults`.
    """
    faults: list[Fault] = [*table.settings.faults]
    shims = None
    spec = job.sheet.select.shims
    if spec is not None:
        readings, drawer, unusable = gather(job, shop, spec, table)
        costs = money(job.settings, shop.settings)
        shims = report(job.sheet, spec, readings, drawer, costs, table.settings.rule)
        faults += [*costs.faults, *unusable, *shims.faults]
    shells = shell_picks(job, table, shop)
    return Picks(job.name, shims, shells, tuple(dict.fromkeys((*faults, *shells.faults))))


def of_job(job: Job, shop: Shop) -> Picks:
    """The picks of a job, from its log."""
    return picks(job, shop, read_all(job, shop))


def to_json(told: Picks) -> dict[str, Any]:
    """The answer as plain data, as the command contract names it; lengths in millimetres."""
    shims = shims_json(told.shims) if told.shims else {}
    shells = shells_json(told.shells)
    return {
        "job": told.job,
        "chance_all": shims.get("chance_all"),
        "shims": [],
        "measure_again": [],
        **shims,
        "shells": shells["shells"],
        "strings": shells["strings"],
        "shell_groups": shells["groups"],
        "chance_all_shells": shells["chance_all"],
        "buy": [*shims.get("buy", []), *shells["buy"]],
        "faults": [str(fault) for fault in told.faults],
    }
