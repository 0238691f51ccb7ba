"""The skeleton's pages in a real browser: phone and tablet, light and dark, keys, axe."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.bench.browser import (
    AXE,
    SCREENS,
    Screen,
    axe_faults,
    contrasts,
    picture,
    screen,
    targets,
)
from tests.bench.helpers import Served, served

from gudgeon.bench.serving import own_addresses

if TYPE_CHECKING:
    from collections.abc import Iterator

PAGES = {
    "shop": "/",
    "front": "/jobs/triple",
    "screen": "/settings",
    "devices": "/devices",
    "paired": "/paired",
    "trouble": "/nowhere",
}


@pytest.fixture(scope="module")
def bench(laid_out: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A bench for tests that only look."""
    import shutil

    copy = Path(shutil.copytree(laid_out, tmp_path_factory.mktemp("looked-at") / "shop"))
    with served(copy, "--port", "0", "--lan") as bench:
        yield bench


def test_axe_is_the_one_that_was_checked_in() -> None:
    digest = hashlib.sha256(AXE.read_bytes()).hexdigest()
    listed = (AXE.parent / "SHA256SUMS").read_text(encoding="utf-8").split()
    assert listed == [digest, AXE.name]


def test_axe_sees_a_bad_page(chromium_browser: Browser, bench: Served) -> None:
    with screen(chromium_browser, bench.address) as context:
        page = context.new_page()
        page.set_content('<img src="x"><input><p style="color:#bbb;background:#fff">pale</p>')
        found = {fault.partition(":")[0] for fault in axe_faults(page)}
    assert {"image-alt", "label", "color-contrast"} <= found


@pytest.mark.parametrize(
    ("kind", "scheme"),
    [("phone", "light"), ("tablet", "light"), ("tablet", "dark"), ("desk", "light")],
)
def test_every_page_reads_well(
    chromium_browser: Browser, bench: Served, kind: Screen, scheme: str
) -> None:
    """Axe, contrast (text 7:1, values 12:1), sizes in millimetres, no sideways scrolling."""
    with screen(chromium_browser, bench.address, kind, color_scheme=scheme) as context:
        page = context.new_page()
        for name, path in PAGES.items():
            page.goto(path)
            expect(page.locator("#again")).to_have_count(0, timeout=20_000)
            page.evaluate("document.fonts.ready.then(() => true)")
            if name == "devices":
                page.click("button.main")
                page.wait_for_selector("#digits:not(:empty)")
            picture(page, f"{name}-{kind}-{scheme}")
            assert axe_faults(page) == [], name
            for text, ratio, value in contrasts(page):
                assert ratio >= (12.0 if value else 7.0), (name, text, ratio)
            wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert wide <= 0, (name, wide)
            _large_enough(page, name, kind)


def _large_enough(page: Page, name: str, kind: str) -> None:
    main = 17.0 if kind == "phone" else 20.0
    found = [item for item in targets(page) if not item["inline"]]
    for item in found:
        least = main if item["main"] else 15.0
        assert min(item["width"], item["height"]) >= least - 0.05, (name, kind, item)


@pytest.mark.parametrize("kind", ["phone", "tablet"])
def test_a_whole_page_can_be_walked_by_keyboard(
    chromium_browser: Browser, bench: Served, kind: Screen
) -> None:
    """Each stop of the Tab key is in sight, not under the title block, and has a visible ring."""
    with screen(chromium_browser, bench.address, kind) as context:
        page = context.new_page()
        for path in ("/", "/jobs/triple", "/settings", "/devices"):
            page.goto(path)
            stops = 0
            while stops < 60:
                page.keyboard.press("Tab")
                seen = page.evaluate(_FOCUS)
                if seen is None:
                    break
                stops += 1
                assert seen["ring"] >= 2, seen
                assert seen["free"], seen
            assert stops >= 3


_FOCUS = """() => {
  const el = document.activeElement;
  if (!el || el === document.body) return null;
  const box = el.getBoundingClientRect(), style = getComputedStyle(el);
  const over = document.querySelector(".block").getBoundingClientRect();
  const inBlock = !!el.closest(".block");
  return {
    what: el.outerHTML.slice(0, 80),
    ring: style.outlineStyle === "none" ? 0 : parseFloat(style.outlineWidth),
    free: inBlock || el.matches(".skip") || (box.top < over.top && box.bottom > 0),
  };
}"""


def test_the_skip_link_leads_to_the_title_block(chromium_browser: Browser, bench: Served) -> None:
    with screen(chromium_browser, bench.address, "desk") as context:
        page = context.new_page()
        page.goto("/jobs/triple")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.closest('.block') !== null")


def test_a_card_sets_the_true_size(chromium_browser: Browser, bench: Served) -> None:
    with screen(chromium_browser, bench.address, "tablet") as context:
        page = context.new_page()
        page.goto("/settings")
        for _ in range(3):
            page.click("#wider")
        card = page.locator("#card").bounding_box()
        assert card is not None
        assert card["width"] / 85.6 == pytest.approx(6.3 + 3 / 85.6, abs=0.02)
        page.goto("/")
        mm = page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--mm')")
        assert float(mm.removesuffix("px")) == pytest.approx(6.3 + 3 / 85.6, abs=0.001)
        page.goto("/settings")
        page.check("input[value=dark]")
        page.goto("/")
        assert page.evaluate("document.documentElement.dataset.light") == "dark"
        page.goto("/settings")
        page.click("#usual")
        page.check("input[value=left]")
        page.goto("/")
        assert page.evaluate("document.documentElement.dataset.hand") == "left"


def test_a_tablet_is_let_in_by_its_code_and_turned_away(
    chromium_browser: Browser, folder: Path
) -> None:
    if not own_addresses():
        raise AssertionError("this machine has no address that a tablet could reach")
    with (
        served(folder, "--port", "0", "--lan") as bench,
        screen(chromium_browser, bench.address, "desk") as here,
    ):
        lan = next(line for line in bench.lines if "other devices: " in line).rpartition(" ")[2]
        with screen(chromium_browser, lan, "tablet") as there:
            main, tablet = here.new_page(), there.new_page()
            tablet.goto("/jobs/triple")
            expect(tablet).to_have_url(f"{lan}/pair")
            main.goto("/devices")
            main.click("button.main")
            digits = main.text_content("#digits:not(:empty)")
            picture(main, "devices-code")
            tablet.fill("input[name=code]", "0000 0000")
            tablet.click("button.main")
            expect(tablet.locator(".fault")).to_contain_text("not the code")
            picture(tablet, "pair-wrong-code")
            tablet.fill("input[name=code]", str(digits))
            tablet.click("button.main")
            expect(tablet).to_have_url(f"{lan}/paired")
            tablet.fill("input[name=name]", "tablet at the lathe")
            tablet.click("text=Use this name")
            expect(tablet).to_have_url(f"{lan}/")
            expect(tablet.locator(".cell.device")).to_contain_text("tablet at the lathe")
            main.reload()
            expect(main.locator(".devices")).to_contain_text("tablet at the lathe")
            main.click("text=Turn away")
            expect(main.locator("#nobody")).to_be_visible()
            tablet.reload()
            expect(tablet).to_have_url(f"{lan}/pair")


def test_news_from_another_device_shows_on_the_front(
    chromium_browser: Browser, running: Served
) -> None:
    with (
        screen(chromium_browser, running.address) as one,
        screen(chromium_browser, running.address) as two,
    ):
        front, other = one.new_page(), two.new_page()
        front.goto("/jobs/twin")
        expect(front.locator("#state")).to_have_text("in touch with the bench")
        other.goto("/jobs/twin")
        status = other.evaluate(
            """async () => (await fetch("/api/jobs/twin/entries/b1", {method: "PUT",
              headers: {"X-Gudgeon": "bench", "Content-Type": "application/json"},
              body: JSON.stringify({
                id: "b1", at: "2026-11-20T10:00:00Z", kind: "note", text: "seen"})
            })).status"""
        )
        assert status == 201
        expect(front.locator("#news")).to_contain_text("1 new", timeout=1000)
        expect(front.locator(".rows").first).to_contain_text("seen")


def test_warnings_read_on_this_device_stay_read(chromium_browser: Browser, bench: Served) -> None:
    with screen(chromium_browser, bench.address) as context:
        page = context.new_page()
        page.goto("/jobs/triple")
        expect(page.locator("#warnings .new").first).to_have_text("unread")
        page.click("#read-them")
        expect(page.locator("#warnings .new")).to_have_count(0)
        page.reload()
        expect(page.locator("#all-read")).to_be_visible()
        expect(page.locator("#warnings .new")).to_have_count(0)


def test_no_page_asks_for_anything_from_elsewhere(chromium_browser: Browser, bench: Served) -> None:
    with screen(chromium_browser, bench.address) as context:
        page = context.new_page()
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        for path in PAGES.values():
            page.goto(path)
        assert len(asked) > 20
        assert [url for url in asked if not url.startswith(bench.address + "/")] == []


def test_screens_are_those_of_the_issue() -> None:
    assert SCREENS["phone"][0] == 360
