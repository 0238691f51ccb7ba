"""Labels for trays: true to size, each code opens its place, nothing typed becomes markup."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from gudgeon.bench.config import Config
from gudgeon.bench.labels import STOCKS, Label, on_paper, tray_address
from gudgeon.store.sqlite import SqliteStore

if TYPE_CHECKING:
    from fastapi.testclient import TestClient
    from playwright.sync_api import Browser
    from tests.bench.helpers import Come

CSS = (Path(__file__).parents[2] / "src" / "gudgeon" / "bench" / "static" / "labels.css").read_text(
    encoding="utf-8"
)


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.key)
def test_styles_have_the_sizes_of_the_stock(stock: object) -> None:
    """A grid that fits its page, column by column, row by row."""
    from gudgeon.bench.labels import Stock

    assert isinstance(stock, Stock)
    rule = re.search(rf"^\.{stock.key} {{(.*)}}$", CSS, re.MULTILINE)
    assert rule is not None
    said = rule[1]
    column = f"{stock.width:g}mm"
    across = column if stock.roll else f"repeat({stock.across}, {column})"
    assert f"grid-template-columns: {across};" in said
    assert f"grid-auto-rows: {stock.height:g}mm;" in said
    if stock.roll:
        assert f"@page {stock.key} {{ size: {stock.width:g}mm {stock.height:g}mm;" in CSS
        return
    assert f"padding: {stock.top:g}mm {stock.left:g}mm;" in said
    wide = 2 * stock.left + stock.across * stock.width + (stock.across - 1) * stock.gap
    assert wide == pytest.approx(210, abs=0.05)
    assert 2 * stock.top + stock.down * stock.height <= 297.001


def test_every_label_is_printed_once_and_used_ones_are_left_free() -> None:
    labels = [Label("j", str(number), "", "") for number in range(50)]
    for stock in STOCKS:
        for first in (1, 5, 999, -3):
            pages = on_paper(labels, stock, first)
            flat = [label for page in pages for label in page]
            assert [label for label in flat if label is not None] == labels
            assert all(len(page) <= stock.across * stock.down for page in pages)


def test_a_code_opens_its_place_wherever_it_is_scanned(come: Come) -> None:
    """Even where the browser leaves out its cookie: the step shows nothing and goes on."""
    config = Config(lan=True, addresses=("192.0.2.7",))
    address = tray_address(config, "twin", "valve/1/in/L")
    assert address == "http://192.0.2.7:7340/t/twin/valve/1/in/L"
    for who in ("main", "look", None):
        answer = come(who).get("/t/twin/valve/1/in/L")
        assert answer.status_code == 200
        assert 'content="0; url=/jobs/twin/places/valve/1/in/L"' in answer.text
    assert come().get("/jobs/twin/places/valve/1/in/L").status_code == 200


@pytest.mark.parametrize(
    ("path", "to"),
    [
        ("/t/%22%3E%3Cscript%3E/x", "/jobs/%22%3E%3Cscript%3E/places/x"),
        ("/t/twin/%2F%2Fevil.example/x", "/jobs/twin/places///evil.example/x"),
        ("/t/twin/javascript:alert(1)", "/jobs/twin/places/javascript%3Aalert%281%29"),
        ("/t/twin/engine", "/jobs/twin"),
    ],
)
def test_a_hostile_code_leads_nowhere_else(main: TestClient, path: str, to: str) -> None:
    answer = main.get(path)
    assert f'content="0; url={to}"' in answer.text
    assert "<script>" not in answer.text.replace('<script src="', "")


def test_the_page_lays_out_what_is_asked(main: TestClient, folder: Path) -> None:
    shown = main.get("/jobs/triple/labels?json&k-cylinder=on&k-engine=on&stock=a4-3x8&first=3")
    said = shown.json()
    assert said["stock"]["key"] == "a4-3x8"
    first = said["papers"][0]
    assert first[:2] == [None, None]
    assert [label["place"] for label in first[2:]] == [
        "engine", "cylinder/1", "cylinder/2", "cylinder/3",
    ]  # fmt: skip
    page = main.get("/jobs/triple/labels?k-cylinder=on").text
    assert page.count('<svg class="qr"') + page.count('class="qr"') >= 3
    assert main.get("/jobs/triple/labels?stock=nonsense&first=zz&k-<b>=on").status_code == 200
    assert SqliteStore(folder).logs()


def test_it_prints_in_millimetres(chromium_browser: Browser, folder: Path, tmp_path: Path) -> None:
    """The PDF that the browser prints has a page for each label of a roll, of its very size."""
    import pikepdf
    from tests.bench.browser import axe_faults, picture, screen
    from tests.bench.helpers import served

    with (
        served(folder, "--port", "0") as bench,
        screen(chromium_browser, bench.address, "tablet", color_scheme="dark") as context,
    ):
        page = context.new_page()
        page.goto("/jobs/triple/labels?k-cylinder=on&stock=roll-50x30")
        assert axe_faults(page) == []
        picture(page, "labels-tablet-dark")
        file = tmp_path / "labels.pdf"
        page.pdf(path=file, prefer_css_page_size=True)
        with pikepdf.open(file) as made:
            sizes = [[float(x) * 25.4 / 72 for x in leaf.mediabox][2:] for leaf in made.pages]
        assert len(sizes) == 3
        for size in sizes:
            assert size == pytest.approx([50, 30], abs=0.3)
        page.goto("/jobs/triple/labels?k-valve=on&k-main=on&k-cylinder=on&stock=a4-3x7&first=4")
        page.pdf(path=file, prefer_css_page_size=True)
        with pikepdf.open(file) as made:
            assert len(made.pages) == 2
