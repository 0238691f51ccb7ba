"""The measuring page as a newcomer meets it: long readings, questions, a device that looks."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect
from tests.bench.browser import Screen, axe_faults, picture, screen
from tests.bench.helpers import Served, served
from tests.bench.measuring import Hand, at_page, copied, open_job, readings_of, watched

JOBS = ["blades-phone", "blades-tablet", "asked-phone", "asked-tablet", "again", "looked"]
TOO_WIDE = """() => [...document.querySelectorAll(".more .tap")]
    .filter((key) => key.offsetWidth)
    .flatMap((key) => [key, ...key.children].map((part) => [part, key]))
    .filter(([part, key]) => {
      const [inner, outer] = [part.getBoundingClientRect(), key.getBoundingClientRect()];
      return key.scrollWidth > key.clientWidth || key.scrollHeight > key.clientHeight
        || inner.left < outer.left || inner.right > outer.right;
    })
    .map(([part]) => part.textContent)"""


@pytest.fixture(scope="module")
def bench(laid_out: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A bench with a fresh job for every test that asks for one."""
    folder = copied(laid_out, tmp_path_factory.mktemp("trial") / "shop")
    for name in JOBS:
        open_job(folder, name)
    with served(folder, "--port", "0") as bench:
        yield bench


@pytest.mark.parametrize("kind", ["phone", "tablet"])
def test_the_last_readings_stay_on_their_keys(
    chromium_browser: Browser, bench: Served, kind: Screen
) -> None:
    with at_page(chromium_browser, bench, kind) as hand:
        hand.go("?feature=gap", f"blades-{kind}")
        for goes, wont in (("0.13", "0.14"), ("0.23", "0.24"), ("0.125", "0.150")):
            before = hand.position()
            hand.gauge(goes)
            hand.gauge(wont)
            expect(hand.page.locator("#position")).not_to_have_text(before)
        hand.saved()
        if kind == "phone":
            hand.tap("#do-more")
        expect(hand.page.locator("#last-0")).to_contain_text("0.125…0.150")
        expect(hand.page.locator("#last-1")).to_contain_text("0.23…0.24")
        picture(hand.page, f"measure-last-{kind}")
        assert hand.page.evaluate(TOO_WIDE) == []
        sizes = hand.page.evaluate(
            """() => { const mm = parseFloat(getComputedStyle(document.documentElement)
                .getPropertyValue("--mm"));
              return [0, 1, 2].map((n) => parseFloat(getComputedStyle(
                document.querySelector(`#last-${n} span`)).fontSize) / mm); }"""
        )
        assert min(sizes) >= 2.4, sizes


@pytest.mark.parametrize("kind", ["phone", "tablet"])
def test_a_refused_reading_hides_no_later_question(
    chromium_browser: Browser, bench: Served, kind: Screen
) -> None:
    """The newest is in sight at once, the other is one tap away, and both are counted."""
    with at_page(chromium_browser, bench, kind) as hand:
        hand.page.add_init_script(
            "crypto.getRandomValues ="
            " (into) => into.fill(window.sameAgain ? 7 : Math.random() * 256)"
        )
        hand.go("?feature=bore", f"asked-{kind}")
        hand.page.evaluate("window.sameAgain = true")
        ask = hand.page.locator("#ask")
        for typed in ("78.012", "78.013"):
            hand.gauge(typed)
            hand.saved()
            hand.page.wait_for_timeout(310)
        expect(ask).to_contain_text("another entry under the same id")
        expect(ask.locator("small")).to_have_count(0)
        hand.page.evaluate("window.sameAgain = false")
        hand.gauge("780.14")
        expect(ask).to_contain_text("78.014")
        expect(ask).to_contain_text("Question 1 of 2")
        picture(hand.page, f"measure-two-questions-{kind}")
        hand.tap("#ask .tap:has-text('Next question')")
        expect(ask).to_contain_text("another entry under the same id")
        expect(ask).to_contain_text("Question 2 of 2")
        hand.tap("#ask .tap:has-text('Next question')")
        expect(ask).to_contain_text("Question 1 of 2")
        hand.tap("#ask .tap:has-text('Later')")
        expect(ask).to_contain_text("another entry under the same id")
        hand.tap("#ask .tap:has-text('Later')")
        expect(ask).to_be_hidden()
        hand.page.evaluate(
            """() => { const m = gudgeonMeasure; for (const n of [1, 2, 3, 4])
              m.ask({ key: `k${n}`, entries: [], text: `${n}`, options: [], stays: true });
              m.open = () => m.questions; m.show.question = () => {};
              m.show.panel = () => {}; m.show.more();
              document.getElementById("measure").dataset.panel = "more";
              document.getElementById("ask").hidden = true; }"""
        )
        key = hand.page.locator("#do-questions")
        expect(key).to_be_visible()
        assert key.locator("small").inner_text() == "questions"
        picture(hand.page, f"measure-questions-key-{kind}")
        assert hand.page.evaluate(TOO_WIDE) == []
        lines = key.locator("small").evaluate(
            "(part) => part.offsetHeight / parseFloat(getComputedStyle(part).lineHeight)"
        )
        assert lines < 1.5


def test_what_stands_here_is_shown_before_it_is_read_again(
    chromium_browser: Browser, bench: Served
) -> None:
    with at_page(chromium_browser, bench, "phone") as hand:
        hand.go("?feature=gap", "again")
        hand.gauge("0.13")
        expect(hand.page.locator("#distance")).to_contain_text("goes")
        before = hand.position()
        hand.gauge("0.14")
        expect(hand.page.locator("#position")).not_to_have_text(before)
        expect(hand.page.locator("#distance")).not_to_contain_text("stands here")
        hand.saved()
        hand.tap("#do-more")
        hand.tap("#do-repeat")
        expect(hand.page.locator("#position")).to_contain_text("again, number 2")
        expect(hand.page.locator("#distance")).to_contain_text("stands here: 0.13…0.14")
        fits = "(line) => line.scrollHeight <= line.clientHeight + 1"
        assert hand.page.locator("#distance").evaluate(fits)


@pytest.mark.parametrize("kind", ["phone", "tablet"])
@pytest.mark.parametrize("feature", ["bore", "gap"])
def test_keys_of_a_device_that_looks_are_seen_to_do_nothing(
    chromium_browser: Browser, bench: Served, kind: Screen, feature: str
) -> None:
    with screen(chromium_browser, bench.address, kind) as context:
        page = watched(context)
        page.add_init_script(
            "new MutationObserver(() => document.body && (document.body.dataset.writes = 'no'))"
            ".observe(document, {childList: true, subtree: true})"
        )
        hand = Hand(page)
        hand.go(f"?feature={feature}", "looked")
        told = page.locator("#told")
        expect(told).to_have_text("This device may only look. Readings can't be entered here.")
        expect(page.locator("#ready")).to_have_text("LOOKING ONLY")
        picture(page, f"measure-looks-{feature}-{kind}")
        for key in ("#do-enter", "#do-mark", "#do-back", ".digit >> nth=4"):
            expect(page.locator(key)).to_have_attribute("aria-disabled", "true")
            hand.tap(key)
        hand.gauge("0.13")
        hand.gauge("", "Enter")
        assert page.input_value("#capture") == ""
        expect(told).to_have_text("This device may only look. Readings can't be entered here.")
        expect(page.locator("#distance")).not_to_contain_text("won't")
        assert axe_faults(page) == []
        hand.tap("#do-more" if kind == "phone" else "#do-skip")
        expect(told).to_be_visible()
    assert readings_of(bench, "looked") == []
