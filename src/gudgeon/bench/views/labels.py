"""Labels for the trays of a job, to be printed from the browser."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from gudgeon.bench.api.devices import qr_svg
from gudgeon.bench.labels import MOST, STOCKS, Label, Stock, on_paper, stock_of, tray_address
from gudgeon.bench.outline import outline
from gudgeon.bench.page import DRAWN, Page, drawn
from gudgeon.bench.state import Ask
from gudgeon.record.said import spoken
from gudgeon.sheet.places import ENGINE


@dataclass(frozen=True, slots=True)
class Labels:
    """The page.

    Attributes:
        engine: its name. stocks: what can be printed on. stock: what is. first: the first free one.
        kinds: kind of place, how many there are, whether they are printed.
        papers: labels page by page. codes: address -> its code. reach: whether phones can come in.
    """

    engine: str
    stocks: tuple[Stock, ...]
    stock: Stock
    first: int
    kinds: tuple[tuple[str, int, bool], ...]
    papers: tuple[tuple[Label | None, ...], ...]
    reach: bool
    codes: dict[str, str] = field(default_factory=dict, metadata=DRAWN)
    drawing: str = drawn()


def view(ask: Ask) -> Labels:
    """Labels of the kinds of place that the address names."""
    desk, config, name = ask.bench.desk, ask.bench.config, ask.parts["job"]
    sheet = desk.job(name).sheet
    every = {kind: sheet.layout.of(kind) for kind in (ENGINE, *sheet.layout.kinds)}
    asked = {kind for kind in every if f"k-{kind}" in ask.query}
    if not asked:
        shims = sheet.select.shims
        asked = {shims.at if shims is not None and shims.at in every else ENGINE}
    places = [place for kind in every if kind in asked for place in every[kind]][:MOST]
    labels = [_label(ask, name, place) for place in places]
    stock = stock_of(ask.query.get("stock", ""))
    said = ask.query.get("first", "")[:3]
    first = int(said) if said.isascii() and said.isdigit() else 1
    first = max(1, min(first, stock.across * stock.down))
    return Labels(
        sheet.engine.name,
        STOCKS,
        stock,
        first,
        tuple((kind, len(places), kind in asked) for kind, places in every.items()),
        tuple(tuple(page) for page in on_paper(labels, stock, first)),
        config.lan and bool(config.addresses),
        {label.address: qr_svg(label.address) for label in labels},
        desk.result(name, "outline", lambda: outline(sheet)),
    )


def _label(ask: Ask, job: str, place: str) -> Label:
    words = "" if place == ENGINE else spoken(place)
    return Label(job, place, words, tray_address(ask.bench.config, job, place))


PAGE: Final = Page("labels", "/jobs/{job}/labels", view, script=True)
