"""The order: what to buy, how many, for which places, at what price."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from gudgeon.bench.page import Page
from gudgeon.bench.papers import order_of
from gudgeon.bench.state import Ask
from gudgeon.order.needs import PICKED
from gudgeon.order.text import amount, counted, together
from gudgeon.record.said import listed, spoken_in

if TYPE_CHECKING:
    from gudgeon.order.lines import OrderLine
    from gudgeon.sheet.places import Places


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the order; price and total as shown, empty where no price is known."""

    what: str
    size: str
    count: str
    places: str
    price: str
    total: str
    why: str


@dataclass(frozen=True, slots=True)
class OrderPage:
    """The page. also: worth having besides, not in the sum. unpriced: lines without a price."""

    job: str
    engine: str
    currency: str
    lines: tuple[Line, ...]
    also: tuple[Line, ...]
    total: str
    unpriced: int
    notes: tuple[str, ...]


def view(ask: Ask) -> OrderPage:
    """The order of the job in the address."""
    desk, name = ask.bench.desk, ask.parts["job"]
    told, sheet = order_of(desk, name), desk.job(name).sheet
    return OrderPage(
        name,
        sheet.engine.name,
        told.currency,
        tuple(_line(line, sheet.layout) for line in told.lines),
        tuple(_line(line, sheet.layout) for line in told.also),
        together(told),
        told.unpriced,
        tuple(spoken_in(note, sheet.layout) for note in told.notes),
    )


def _line(line: OrderLine, places: Places) -> Line:
    return Line(
        line.what,
        line.size,
        counted(line.count),
        spoken_in(listed(line.places), places),
        amount(line.price),
        amount(line.total),
        listed(reason for reason in line.reasons if reason != PICKED),
    )


PAGE: Final = Page("order", "/jobs/{job}/order", view, script=True, tab="job")
