"""The shop, as its log says: instruments, checks, settings, and what is free in the drawer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from gudgeon.faults import Fault
from gudgeon.log.checks import stock_problems
from gudgeon.log.entries import Entry, Instrument, Reserve, Setting, SettingCheck, Stock
from gudgeon.log.job import Piece, Shop
from gudgeon.log.ordering import counting, in_order
from gudgeon.numbers import read_length


def fold_shop(entries: Iterable[Entry], job: str | None = None) -> Shop:
    """The shop that its log says, as one job sees it.

    Args:
        entries: the shop's log, in any order.
        job: the job at hand; the drawer holds what it has reserved, and what nobody has. Without
            a job, what nobody has.
    """
    every, faults = in_order(entries)
    _, left, wrong = counting(every)
    faults += wrong
    drawer, wrong = _drawer(left, job)
    return Shop(
        instruments={entry.name: entry for entry in left if isinstance(entry, Instrument)},
        checks=tuple(entry for entry in left if isinstance(entry, SettingCheck)),
        drawer=drawer,
        settings={entry.name: entry.value for entry in left if isinstance(entry, Setting)},
        faults=tuple(faults + wrong),
    )


def _drawer(left: Sequence[Entry], job: str | None) -> tuple[tuple[Piece, ...], list[Fault]]:
    """The pieces free for a job, and what of the drawer's log can't be used."""
    faults: list[Fault] = []
    stocks: dict[str, Stock] = {}
    for entry in left:
        if isinstance(entry, Stock):
            problems = list(stock_problems(entry))
            faults += [Fault(entry.id, item.wrong, item.right) for item in problems]
            if not problems:
                stocks[entry.id] = entry
    granted = grants(left)
    faults += [grant.fault for grant in granted if grant.fault]
    pieces = []
    for key, stock in stocks.items():
        gone = sum(g.got for g in granted if g.stock == key and (job is None or g.job != job))
        if stock.count > gone:
            pieces.append(_piece(stock, stock.count - gone))
    return tuple(pieces), faults


def _piece(stock: Stock, count: int) -> Piece:
    unit = stock.unit or "mm"
    return Piece(
        stock=stock.id,
        group=stock.group,
        mark=stock.mark,
        typed=stock.typed,
        unit=stock.unit,
        instrument=stock.instrument,
        diameter_mm=None if stock.diameter is None else float(read_length(stock.diameter, unit)),
        count=count,
        condition=stock.condition,
        at=stock.at,
    )


class Grant(NamedTuple):
    """What a reservation got.

    Attributes:
        entry: id of the reservation. stock: the piece. job: who gets it. got: how many.
        fault: why not all, if not all.
    """

    entry: str
    stock: str
    job: str
    got: int
    fault: Fault | None


def grants(left: Sequence[Entry]) -> list[Grant]:
    """What each reservation gets: first come, first served, and never more than is there."""
    free = {entry.id: entry.count for entry in left if isinstance(entry, Stock)}
    given = []
    for entry in left:
        if not isinstance(entry, Reserve):
            continue
        count = min(entry.count, free.get(entry.stock, 0))
        fault = None
        if entry.stock not in free:
            fault = Fault(
                entry.id,
                f"'{entry.stock}', reserved for {entry.job}, is not in the drawer",
                "strike the reservation out",
            )
        elif count < entry.count:
            fault = Fault(
                entry.id,
                f"{entry.count} of '{entry.stock}' are reserved for {entry.job}, and {count} are"
                " free",
                "strike the reservation out, or reserve fewer",
            )
        if count:
            free[entry.stock] -= count
        given.append(Grant(entry.id, entry.stock, entry.job, count, fault))
    return given


def free_of(entries: Iterable[Entry], stock: str) -> tuple[int, tuple[str, ...]] | None:
    """How many of a piece nobody has reserved, and which jobs have; nothing if it isn't there."""
    _, left, _ = counting(in_order(entries)[0])
    there = [entry.count for entry in left if isinstance(entry, Stock) and entry.id == stock]
    taken = [grant for grant in grants(left) if grant.stock == stock and grant.got]
    if not there:
        return None
    holders = tuple(dict.fromkeys(grant.job for grant in taken))
    return there[0] - sum(grant.got for grant in taken), holders


class Held(NamedTuple):
    """Pieces of the drawer that a job has reserved.

    Attributes:
        entry: id of the reservation. job: for whom. piece: what, and how many of it.
    """

    entry: str
    job: str
    piece: Piece


def reserved(entries: Iterable[Entry]) -> tuple[Held, ...]:
    """What is in the drawer and spoken for, in the order it was reserved."""
    _, left, _ = counting(in_order(entries)[0])
    stocks = {entry.id: entry for entry in left if isinstance(entry, Stock)}
    return tuple(
        Held(grant.entry, grant.job, _piece(stocks[grant.stock], grant.got))
        for grant in grants(left)
        if grant.got and not list(stock_problems(stocks[grant.stock]))
    )


def reservation_faults(entries: Iterable[Entry], job: str) -> list[Fault]:
    """The reservations for one job that can't be kept."""
    _, left, _ = counting(in_order(entries)[0])
    return [grant.fault for grant in grants(left) if grant.fault and grant.job == job]
