"""The drawer: the pieces there are, for whom they are kept, and putting in more."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from gudgeon.bench.addresses import page_of
from gudgeon.bench.answers import strike_of
from gudgeon.bench.page import Page
from gudgeon.bench.state import Ask
from gudgeon.bench.words import words_of
from gudgeon.log.codec import read_bodies
from gudgeon.log.entries import Entry, Reserve, Stock, StrikeOut
from gudgeon.log.foldshop import Grant, grants
from gudgeon.log.ordering import counting, in_order
from gudgeon.log.words import in_words
from gudgeon.store.interface import SHOP_LOG


@dataclass(frozen=True, slots=True)
class Kept:
    """Pieces kept for a job. undo: the entry that gives them back."""

    job: str
    count: int
    undo: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Pieces:
    """One entry of the drawer.

    Attributes:
        id: of the entry. group: what they are. mark, size: as stamped, as measured. count: put in.
        free: kept for nobody. condition: good, dished or chipped. more: diameter and instrument.
        kept: for whom. strike: the entry that takes them out. reserve: keeps one for this job.
    """

    id: str
    group: str
    mark: str
    size: str
    count: int
    free: int
    condition: str
    more: str
    kept: tuple[Kept, ...]
    strike: dict[str, Any]
    reserve: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Gone:
    """Pieces that were struck out. undo: the entry that brings them back."""

    text: str
    reason: str
    undo: dict[str, Any]


@dataclass(frozen=True, slots=True)
class DrawerPage:
    """The page.

    Attributes:
        groups: group -> its pieces. gone: struck out. faults: what can't be used.
        choices: groups that may be put in. instruments: names, to say with what it was measured.
        diameter: of this engine's shims, as typed in the sheet.
    """

    job: str
    groups: tuple[tuple[str, tuple[Pieces, ...]], ...]
    gone: tuple[Gone, ...]
    faults: tuple[str, ...]
    choices: tuple[tuple[str, str], ...]
    instruments: tuple[str, ...]
    diameter: str
    unit: str
    back: str


def view(ask: Ask) -> DrawerPage:
    """The drawer, as the job in the address may use it."""
    desk, name = ask.bench.desk, ask.parts["job"]
    job, shop, words = desk.job(name), desk.shop(name), words_of("drawer")
    entries = read_bodies(ask.bench.store.read(SHOP_LOG), "the shop", "shop")
    every, _ = in_order(entries)
    struck, left, _ = counting(every)
    given = grants(left)
    groups: dict[str, list[Pieces]] = {}
    for entry in left:
        if isinstance(entry, Stock):
            pieces = _pieces(entry, left, given, name)
            groups.setdefault(entry.group, []).append(pieces)
    shims = job.sheet.select.shims
    choices = [("shim", words("shim"))] if shims is not None else []
    choices += [(group, group) for group in job.sheet.select.shells]
    diameter = getattr(shims, "diameter", None) if shims is not None else None
    return DrawerPage(
        name,
        tuple((group, tuple(sorted(items, key=_order))) for group, items in sorted(groups.items())),
        tuple(_gone(every, struck)),
        tuple(str(fault) for fault in shop.faults),
        tuple(choices),
        tuple(shop.instruments),
        "" if diameter is None else str(diameter),
        job.sheet.unit,
        page_of(name, "picks"),
    )


def _pieces(entry: Stock, left: list[Entry], given: list[Grant], job: str) -> Pieces:
    mine = [item for item in left if isinstance(item, Reserve) and item.stock == entry.id]
    gone = sum(grant.got for grant in given if grant.stock == entry.id)
    unit = entry.unit or "mm"
    more = [
        f"⌀ {entry.diameter} {unit}" if entry.diameter else "",
        entry.instrument or "",
    ]
    return Pieces(
        entry.id,
        entry.group,
        entry.mark or "",
        f"{entry.typed} {unit}" if entry.typed else "",
        entry.count,
        entry.count - gone,
        entry.condition,
        ", ".join(text for text in more if text),
        tuple(Kept(item.job, item.count, strike_of(item.id, "")) for item in mine),
        strike_of(entry.id, words_of("drawer")("reason-gone")),
        {"kind": "reserve", "stock": entry.id, "job": job, "count": 1},
    )


def _order(item: Pieces) -> tuple[str, str]:
    return item.size or item.mark, item.id


def _gone(every: list[Entry], struck: dict[str, str]) -> Iterator[Gone]:
    strikes = {e.target: e.id for e in every if isinstance(e, StrikeOut) and e.id not in struck}
    for entry in reversed(every):
        if isinstance(entry, Stock) and entry.id in struck and entry.id in strikes:
            undo = strike_of(strikes[entry.id], words_of("drawer")("reason-back"))
            yield Gone(in_words(entry), struck[entry.id], undo)


PAGE: Final = Page("drawer", "/jobs/{job}/drawer", view, script=True)
