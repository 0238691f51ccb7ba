"""The shop page: the engines in progress on their shelf."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Final

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
        ready: whether that is worked out already.
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
        if desk.ready(name, FRONT) or time.monotonic() < until:
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


PAGE: Final = Page("shop", "/", view, script=True, tab="shop")
