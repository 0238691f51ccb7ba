"""The picks: which shim and which shells go where, with their sums, their chances, and advice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.bench.addresses import page_of
from gudgeon.bench.desk import Desk
from gudgeon.bench.page import Page
from gudgeon.bench.picked_shells import ShellPart, shell_part
from gudgeon.bench.picked_shims import ShimPart, shim_part
from gudgeon.bench.state import Ask
from gudgeon.record.said import spoken_in


@dataclass(frozen=True, slots=True)
class PicksPage:
    """The page. drawer: address of the drawer. free: pieces in it that this job may have."""

    job: str
    engine: str
    currency: str
    shims: ShimPart | None
    shells: tuple[ShellPart, ...]
    faults: tuple[str, ...]
    drawer: str
    free: int


def view(ask: Ask) -> PicksPage:
    """The picks of the job in the address."""
    desk, name = ask.bench.desk, ask.parts["job"]
    return desk.result(name, "picks page", lambda: _page(desk, name))


def _page(desk: Desk, name: str) -> PicksPage:
    job, told = desk.job(name), desk.picks(name)
    return PicksPage(
        name,
        job.sheet.engine.name,
        job.sheet.currency,
        shim_part(job, told.shims) if told.shims is not None else None,
        tuple(shell_part(job, group, told.shells.buy) for group in told.shells.groups),
        tuple(spoken_in(str(fault), job.sheet.layout) for fault in told.faults),
        page_of(name, "drawer"),
        sum(piece.count for piece in desk.shop(name).drawer),
    )


PAGE: Final = Page("picks", "/jobs/{job}/picks", view, script=True, tab="job")
