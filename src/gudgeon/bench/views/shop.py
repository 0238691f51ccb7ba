"""The shop page: the engines in progress on their shelf."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Final

from gudgeon.bench.front import Front
from gudgeon.bench.outline import outline, words_for
from gudgeon.bench.page import Page, drawn
from gudgeon.bench.state import Ask
from gudgeon.bench.views.job import FRONT, front_of
from gudgeon.bench.words import Words, words_of
from gudgeon.faults import Unusable
from gudgeon.store.jobs import job_names

#: How long a page may work things out before it shows what it has [s].
BUDGET: Final = 0.15


@dataclass(frozen=True, slots=True)
class Standing:
    """An engine on the shelf.

    Attributes:
        job, engine, title: which. shape: its outline in words. waits: what it waits for.
        ready: whether that is worked out already; until then it stands as it was last known.
    """

    job: str
    engine: str
    title: str
    shape: str
    waits: str
    ready: bool = True
    last: str = ""
    drawing: str = drawn()


@dataclass(frozen=True, slots=True)
class Shelf:
    """The shop page. complete: whether all is worked out."""

    engines: tuple[Standing, ...]
    complete: bool


def view(ask: Ask) -> Shelf:
    """The engines of the shop, in the order of their names."""
    desk, words = ask.bench.desk, words_of("shop")
    until = time.monotonic() + BUDGET
    engines = []
    for name in job_names(ask.bench.store):
        ready = desk.ready(name, FRONT)
        known: Front | None = desk.latest(name, FRONT)
        if not ready and known is not None and name in ask.bench.watch.stirred:
            engines.append(_as_known(ask, name, known, words))  # the background comes to it
        elif ready or time.monotonic() < until:
            engines.append(_standing(ask, name, words))
        else:
            engines.append(Standing(name, "", "", "", words("adding-up"), ready=False))
    return Shelf(tuple(engines), all(item.ready for item in engines))


def _standing(ask: Ask, name: str, words: Words) -> Standing:
    desk = ask.bench.desk
    try:
        told, sheet = front_of(desk, name), desk.job(name).sheet
    except Unusable as problem:
        return Standing(name, "", "", "", str(problem.faults[0]))
    return Standing(
        name,
        told.engine,
        told.title,
        words_for(sheet),
        words(f"waits-{told.waits.what}", n=told.waits.count),
        last=told.latest[0].at if told.latest else "",
        drawing=desk.result(name, "outline", lambda: outline(sheet)),
    )


def _as_known(ask: Ask, name: str, known: Front, words: Words) -> Standing:
    """An engine as it was before entries that are still to be added up."""
    return Standing(
        name,
        known.engine,
        known.title,
        "",
        words("adding-up"),
        ready=False,
        drawing=ask.bench.desk.latest(name, "outline") or "",
    )


PAGE: Final = Page("shop", "/", view, script=True, tab="shop")
