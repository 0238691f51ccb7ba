"""The whole main job in a real browser, from a layout or a fresh job to the record as PDF: by
touch, by a gauge that types, and by keyboard alone. Pictures of each stage: `build/screens`.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from playwright.sync_api import Browser, Error, Page, expect
from tests.bench.browser import picture
from tests.bench.helpers import Served, served
from tests.bench.measuring import READY, Hand, at_page, copied, log_of, open_job, readings_of

#: Clearance that just goes, and size of the shim in place, by valve of the engine that is started.
TWO: Final = [
    ("0.12", "2.45"),
    ("0.14", "2.50"),
    ("0.21", "2.60"),
    ("0.19", "2.55"),
    ("0.11", "2.475"),
    ("0.13", "2.425"),
    ("0.24", "2.575"),
    ("0.20", "2.525"),
]
#: Bores of the demo's triple as a gauge sends them; the eighth is ten times too large.
BORES: Final = [
    "78.012", "78,009", "78.020", "78.018", "78.011", "+78.010",
    "78.015 mm", "780.14", "78.021", "78.016", "78.013", "78.009",
    "78.010", "78.012", "78.019", "78.017", "78.011", "78.008",
]  # fmt: skip
HASTE: Final = 310


@pytest.fixture(scope="module")
def bench(laid_out: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A bench with a fresh job for the gauge and one for the keyboard."""
    folder = copied(laid_out, tmp_path_factory.mktemp("whole") / "shop")
    for name in ("by-gauge", "by-keys"):
        open_job(folder, name)
    with served(folder, "--port", "0") as bench:
        yield bench


def record_of(page: Page, save: Any) -> bytes:
    """The record as the browser saved it, once `save` has asked for it."""
    with page.expect_download(timeout=30_000) as waiting:
        save()
    with open(waiting.value.path(), "rb") as file:
        return file.read()


def tap(page: Page, what: str) -> None:
    """Tap the first of something, wherever on the page it is."""
    page.locator(what).first.tap()


def go_to(page: Page, words: str) -> None:
    """Open another page by its name in the title block."""
    tap(page, "#block .narrow summary")
    there = page.locator(f"#block .narrow a:text-is('{words}')")
    address = there.get_attribute("href")
    there.tap()
    page.wait_for_url(f"**{address}")


def write(page: Page, what: str, text: str) -> None:
    """Tap a field and write into it."""
    page.locator(what).first.tap()
    page.keyboard.type(text)


def start_a_sheet(page: Page, name: str) -> None:
    """From a layout to an open job, by touch."""
    page.goto("/")
    go_to(page, "Sheets")
    tap(page, "text=Start a sheet")
    write(page, "input[name=name]", name)
    tap(page, "label:has(input[value=shims])")
    tap(page, "label:has(input[value=inline2])")
    for field, text in {
        "in_min": "0.10", "in_max": "0.17", "ex_min": "0.18", "ex_max": "0.25",
        "series_from": "2.30", "series_to": "2.90", "series_step": "0.025",
    }.items():  # fmt: skip
        write(page, f"input[name={field}]", text)
    picture(page, "whole-1-start-tablet")
    tap(page, "button:has-text('Start the sheet')")
    page.wait_for_url(f"**/sheets/{name}.yaml")
    page.goto(f"/sheets/{name}.yaml?part=done")
    picture(page, "whole-2-sheet-tablet")
    write(page, "input[name=name]", name)
    tap(page, "button:has-text('Open the job')")
    page.wait_for_url(f"**/jobs/{name}")


def feel(hand: Hand, goes: str) -> None:
    """One clearance: the blade that just goes, then that the next one won't."""
    place = hand.position()
    hand.tap(f".digit:has(:text-is('{goes}'))")
    expect(hand.page.locator("#distance")).to_contain_text("won't?")
    hand.tap("#do-enter")
    expect(hand.page.locator("#position")).not_to_have_text(place)


def shims(page: Page, sizes: list[str]) -> None:
    """The thickness of every shim in place, seat by seat, on the page of marks."""
    fields = page.locator("form.seat input[name=typed]")
    assert fields.count() == len(sizes)
    for number, size in enumerate(sizes):
        fields.nth(number).tap()
        page.keyboard.type(size)
        page.keyboard.press("Enter")
        expect(page.locator("form.seat .kept").nth(number)).to_contain_text(size)


def decide(page: Page, begin: str) -> bytes:
    """Findings, picks, order and record, by touch; the record as saved."""
    go_to(page, "Findings")
    picture(page, f"{begin}-findings")
    go_to(page, "Picks")
    expect(page.locator(".pick .figure").first).to_be_visible()
    picture(page, f"{begin}-picks")
    go_to(page, "Order")
    picture(page, f"{begin}-order")
    go_to(page, "Record")
    picture(page, f"{begin}-record")
    return record_of(page, lambda: tap(page, "a[download]"))


def test_by_touch_from_a_layout_to_the_record(chromium_browser: Browser, bench: Served) -> None:
    """A sheet started here, eight clearances with the Wi-Fi cut in the middle, eight shims."""
    job = "own-two"
    with at_page(chromium_browser, bench, "tablet", accept_downloads=True) as hand:
        page = hand.page
        page.set_default_timeout(8000)
        start_a_sheet(page, job)
        go_to(page, "Measure")
        page.wait_for_selector(READY, state="attached")
        for number, (goes, _) in enumerate(TWO):
            if number == 3:
                page.context.set_offline(True)
            feel(hand, goes)
            if number == 5:
                expect(page.locator("#kept")).to_have_text("3 waiting on this device")
                picture(page, "whole-3-no-wifi-tablet")
                page.context.set_offline(False)
        hand.saved()
        picture(page, "whole-4-measured-tablet")
        assert page.evaluate("window.keyboards") == 0
        hand.tap("#do-pages")
        go_to(page, "Marks")
        shims(page, [size for _, size in TWO])
        picture(page, "whole-5-shims-tablet")
        record = decide(page, "whole-6-tablet")
    assert record.startswith(b"%PDF-")
    stored = readings_of(bench, job)
    assert [entry["goes"] for entry in stored] == [goes for goes, _ in TWO]
    marked = [entry for entry in log_of(bench, job) if entry["kind"] == "shim"]
    assert [entry["typed"] for entry in marked] == [size for _, size in TWO]


def test_by_a_gauge_that_types(chromium_browser: Browser, bench: Served) -> None:
    """Eighteen bores, a slip among them, the page lost while five wait, another device at once."""
    job, first, rest = "by-gauge", BORES[:10], BORES[10:]
    tablet = at_page(chromium_browser, bench, "tablet", accept_downloads=True)
    with tablet as hand, at_page(chromium_browser, bench, "phone") as other:
        page = hand.page
        page.set_default_timeout(8000)
        hand.go("?feature=bore", job)
        other.go("?feature=bore", job)
        for typed in first:
            hand.gauge(typed)
            page.wait_for_timeout(HASTE)
        expect(page.locator("#ask")).to_be_visible()
        picture(page, "whole-slip-tablet")
        before = hand.taps
        hand.tap("#ask .tap:has-text('Take 78.014')")
        assert hand.taps == before + 1
        hand.saved()
        expect(other.page.locator("#last-0")).to_contain_text("78.014", timeout=1500)
        page.context.set_offline(True)
        for typed in rest[:5]:
            hand.gauge(typed)
            page.wait_for_timeout(HASTE)
        expect(page.locator("#kept")).to_have_text("5 waiting on this device")
        with pytest.raises(Error):
            page.reload()
        page.context.set_offline(False)
        hand.go("?feature=bore", job)
        hand.saved()
        for typed in rest[5:]:
            hand.gauge(typed)
            page.wait_for_timeout(HASTE)
        hand.saved()
        assert hand.taps == 1
        assert page.evaluate("window.keyboards") == 0
        expect(other.page.locator("#last-0")).to_contain_text("78.008", timeout=1500)
        page.goto(f"/jobs/{job}/findings")
        expect(page.locator("main")).to_contain_text("bore")
        picture(page, "whole-gauge-findings-tablet")
        page.goto(f"/jobs/{job}/record")
        record = record_of(page, lambda: tap(page, "a[download]"))
    assert record.startswith(b"%PDF-")
    right = [t.replace(" mm", "").lstrip("+").replace("780.14", "78.014") for t in BORES]
    assert sorted(entry["typed"] for entry in readings_of(bench, job)) == sorted(right)
    assert len({(e["place"], *e["spot"].values()) for e in readings_of(bench, job)}) == 18


def focused(page: Page) -> str:
    """What has the focus, in words."""
    said = page.evaluate(
        "(() => { const at = document.activeElement;"
        " return [at.tagName.toLowerCase(), at.id, at.name ?? '', at.innerText ?? ''] })()"
    )
    kind, key, name, words = map(str, said)
    return f"{kind}#{key}[{name}] {words}".strip()


def tab_to(page: Page, words: str, most: int = 250) -> None:
    """Press Tab until what these words are in has the focus."""
    seen = []
    for _ in range(most):
        page.keyboard.press("Tab")
        seen.append(focused(page))
        if words in seen[-1]:
            return
    raise AssertionError(f"no way to {words!r} by Tab: {seen[:20]}")


def open_by_keys(page: Page, words: str) -> None:
    """Open another page by the keyboard alone."""
    tab_to(page, "a#[] Skip to the title block")
    page.keyboard.press("Enter")
    expect(page.locator("#block")).to_be_focused()
    tab_to(page, "summary#", 3)
    choose_by_keys(page, words)


def choose_by_keys(page: Page, words: str) -> None:
    """Choose a page from the list that has the focus."""
    page.keyboard.press("Enter")
    tab_to(page, f"a#[] {words}", 20)
    page.keyboard.press("Enter")
    page.wait_for_load_state()


def test_by_keyboard_alone_on_a_phone(chromium_browser: Browser, bench: Served) -> None:
    """From the shelf to the record without a pointer: clearances, shims, what follows from them."""
    job = "by-keys"
    gaps = [*("0.12", "0.14", "0.21", "0.19") * 3]
    sizes = [f"{1.8 + 0.025 * number:.3f}" for number in range(12)]
    with at_page(chromium_browser, bench, "phone", accept_downloads=True) as hand:
        page, press = hand.page, hand.page.keyboard.press
        page.set_default_timeout(8000)
        page.goto("/")
        tab_to(page, job)
        press("Enter")
        page.wait_for_url(f"**/jobs/{job}")
        open_by_keys(page, "Measure")
        page.wait_for_selector(READY, state="attached")
        for goes in gaps:
            place = hand.position()
            hand.gauge(goes)
            expect(page.locator("#distance")).to_contain_text("won't?")
            page.wait_for_timeout(HASTE)
            press("Enter")
            expect(page.locator("#position")).not_to_have_text(place)
        hand.saved()
        picture(page, "whole-keys-1-measured-phone")
        for way in ("do-more", "do-pages"):
            tab_to(page, way)
            press("Enter")
        open_by_keys(page, "Marks")
        page.wait_for_url(f"**/jobs/{job}/marks")
        tab_to(page, "[typed]")
        for number, size in enumerate(sizes):
            page.keyboard.type(size)
            press("Enter")
            expect(page.locator("form.seat .kept").nth(number)).to_contain_text(size)
        picture(page, "whole-keys-2-shims-phone")
        for words, end in {"Findings": "findings", "Picks": "picks", "Order": "order"}.items():
            open_by_keys(page, words)
            page.wait_for_url(f"**/jobs/{job}/{end}")
            picture(page, f"whole-keys-3-{end}-phone")
        open_by_keys(page, "Record")
        page.wait_for_url(f"**/jobs/{job}/record")
        tab_to(page, "as a file")
        record = record_of(page, lambda: press("Enter"))
    assert record.startswith(b"%PDF-")
    assert [entry["goes"] for entry in readings_of(bench, job)] == gaps
    marked = [entry for entry in log_of(bench, job) if entry["kind"] == "shim"]
    assert [entry["typed"] for entry in marked] == sizes
