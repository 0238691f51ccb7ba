"""Nothing lost: the bench stopped and started, the Wi-Fi cut, tabs closed, two devices at once."""

from __future__ import annotations

import random
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Route, expect
from tests.bench.browser import picture, screen
from tests.bench.helpers import Served, served
from tests.bench.measuring import JOB, READY, Hand, at_page, copied, log_of, readings_of, watched

SIZES = [f"78.0{number:02d}" for number in range(8, 26)]


@pytest.fixture
def shop(laid_out: Path, tmp_path: Path) -> Path:
    """A demo shop with a fresh job."""
    return copied(laid_out, tmp_path / "shop")


@pytest.fixture
def bench(shop: Path) -> Iterator[Served]:
    """A bench of this test's own."""
    with served(shop, "--port", "0") as bench:
        yield bench


def free_port() -> int:
    """A port nobody uses."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def queued(page: Page) -> int:
    """How many entries the device's own store holds."""
    return int(
        page.evaluate(
            """() => new Promise((resolve, reject) => {
              const request = indexedDB.open("gudgeon", 1);
              request.onerror = () => reject(request.error);
              request.onsuccess = () => {
                const count = request.result.transaction("queue").objectStore("queue").count();
                count.onsuccess = () => { request.result.close(); resolve(count.result); };
              };
            })"""
        )
    )


def test_the_bench_stops_midway_and_comes_back(chromium_browser: Browser, shop: Path) -> None:
    """Six readings, the bench is killed, six more, the tab is closed, the bench comes back."""
    port = str(free_port())
    with screen(chromium_browser, f"http://localhost:{port}", "phone") as context:
        with served(shop, "--port", port) as bench:
            hand = Hand(watched(context))
            hand.go("?feature=bore")
            for typed in SIZES[:6]:
                hand.gauge(typed)
                hand.page.wait_for_timeout(310)
            hand.saved()
            bench.process.kill()
            bench.process.wait(timeout=20)
        for typed in SIZES[6:12]:
            hand.gauge(typed)
            hand.page.wait_for_timeout(310)
        expect(hand.page.locator("#kept")).to_have_text("6 waiting on this device")
        expect(hand.page.locator("#link")).to_contain_text("don't reload", timeout=15_000)
        picture(hand.page, "measure-no-link-phone")
        assert queued(hand.page) == 6
        assert hand.page.evaluate(
            "(() => { const s = document.getElementById('stage');"
            " return s.scrollHeight <= s.clientHeight + 1 })()"
        )
        hand.page.close(run_before_unload=False)
        with served(shop, "--port", port) as bench:
            hand = Hand(watched(context))
            hand.go("?feature=bore")
            assert hand.position() == "cylinder 3 · top · thrust · bore"
            hand.saved()
            assert queued(hand.page) == 0
            for typed in SIZES[12:]:
                hand.gauge(typed)
                hand.page.wait_for_timeout(310)
            hand.saved()
            stored = readings_of(bench)
            assert [entry["typed"] for entry in stored] == SIZES
            assert len({(e["place"], *e["spot"].values()) for e in stored}) == 18
            assert len(log_of(bench)) == 2 + 18


def test_the_open_page_catches_up_by_itself(chromium_browser: Browser, shop: Path) -> None:
    """The page stays open while the bench is away; nobody touches anything."""
    port = str(free_port())
    with screen(chromium_browser, f"http://localhost:{port}", "tablet") as context:
        with served(shop, "--port", port) as bench:
            hand = Hand(watched(context))
            hand.go("?feature=bore")
            hand.gauge(SIZES[0])
            hand.saved()
            bench.stop()
        for typed in SIZES[1:4]:
            hand.gauge(typed)
            hand.page.wait_for_timeout(310)
        expect(hand.page.locator("#kept")).to_contain_text("3 waiting")
        with served(shop, "--port", port) as bench:
            hand.saved()
            assert [entry["typed"] for entry in readings_of(bench)] == SIZES[:4]
            expect(hand.page.locator("#link")).to_have_text("", timeout=15_000)


def test_answers_lost_requests_lost_and_doubled(chromium_browser: Browser, bench: Served) -> None:
    """A third of the requests never arrive, a third arrive and the answer is lost; then reload."""
    chance = random.Random(7)
    went = {"dropped": 0, "answered": 0, "lost": 0}

    def mess(route: Route) -> None:
        if route.request.method != "PUT":
            route.continue_()
            return
        kind = chance.choice(list(went))
        went[kind] += 1
        if kind == "dropped":
            route.abort("connectionreset")
        elif kind == "lost":
            route.fetch()
            route.abort("connectionreset")
        else:
            answer = route.fetch()
            route.fulfill(response=answer)

    with screen(chromium_browser, bench.address, "tablet") as context:
        page = watched(context)
        hand = Hand(page)
        page.route("**/api/jobs/*/entries/*", mess)
        hand.go("?feature=bore")
        for number, typed in enumerate(SIZES):
            hand.gauge(typed)
            page.wait_for_timeout(310)
            if number % 6 == 5:
                page.close(run_before_unload=False)
                page = watched(context)
                page.route("**/api/jobs/*/entries/*", mess)
                hand = Hand(page)
                hand.go("?feature=bore")
        page.unroute("**/api/jobs/*/entries/*")
        hand.saved()
    assert went["dropped"]
    assert went["lost"]
    assert went["answered"]
    assert [entry["typed"] for entry in readings_of(bench)] == SIZES
    assert len(log_of(bench)) == 2 + 18


def test_two_tabs_share_one_queue(chromium_browser: Browser, bench: Served) -> None:
    """Both try to send what waits; each entry is in the log once, and both know."""
    with screen(chromium_browser, bench.address, "tablet") as context:
        one, two = Hand(watched(context)), Hand(watched(context))
        block = {"on": True}

        def cut(route: Route) -> None:
            if block["on"] and route.request.method == "PUT":
                route.abort("internetdisconnected")
            else:
                route.continue_()

        for hand in (one, two):
            hand.page.route("**/api/jobs/*/entries/*", cut)
            hand.go("?feature=bore")
        one.page.bring_to_front()
        for typed in SIZES[:5]:
            one.gauge(typed)
            one.page.wait_for_timeout(310)
        expect(two.page.locator("#kept")).to_contain_text("5 waiting")
        block["on"] = False
        one.saved()
        two.saved()
        expect(two.page.locator("#last-0")).to_contain_text(SIZES[4])
    assert len(log_of(bench)) == 2 + 5


def test_two_devices_see_each_other_within_a_second(
    chromium_browser: Browser, bench: Served
) -> None:
    took = []
    first, second = at_page(chromium_browser, bench), at_page(chromium_browser, bench, "phone")
    with first as one, second as two:
        one.go("?feature=bore")
        two.go("?feature=bore")
        two.tap("#do-more")
        one.page.wait_for_timeout(500)
        for typed in SIZES[:6]:
            one.gauge(typed, "")
            began = time.perf_counter()
            one.page.keyboard.press("Enter")
            expect(two.page.locator("#last-0")).to_contain_text(typed, timeout=3000)
            took.append(time.perf_counter() - began)
            one.page.wait_for_timeout(310)
        two.tap("#do-keys")
        two.gauge("78.031")
        two.saved()
        expect(one.page.locator("#last-0")).to_contain_text("78.031", timeout=1000)
    assert max(took) < 1.0, took


def test_one_spot_from_two_devices_keeps_both_and_is_shown(
    chromium_browser: Browser, shop: Path
) -> None:
    with served(shop, "--port", "0") as bench, at_page(chromium_browser, bench, "tablet") as hand:
        hand.go("?feature=bore")
        spot = {"height": "top", "axis": "thrust"}
        other: dict[str, Any] = {
            "id": "elsewhere", "at": "2026-11-02T08:00:00Z", "kind": "reading", "typed": "78.020",
            "place": "cylinder/1", "feature": "bore", "spot": spot, "unit": "mm",
        }  # fmt: skip
        from gudgeon.bench.desk import Desk
        from gudgeon.store.sqlite import SqliteStore

        hand.page.route("**/api/jobs/*/entries/*", lambda route: route.abort())
        hand.gauge("78.012")
        Desk(SqliteStore(shop)).keep(JOB, other, "tablet 2")
        hand.page.unroute("**/api/jobs/*/entries/*")
        expect(hand.page.locator("#ask")).to_contain_text("two devices", timeout=8000)
        expect(hand.page.locator("#ask")).to_contain_text("78.020 mm on tablet 2")
        hand.saved()
        assert {e["typed"] for e in readings_of(bench)} == {"78.012", "78.020"}
        hand.tap("#ask .tap:has-text('Strike 78.020')")
        hand.saved()
        assert {e["typed"] for e in readings_of(bench)} == {"78.012"}


def test_what_the_bench_refuses_stays_and_says_why(
    chromium_browser: Browser, bench: Served
) -> None:
    """An id that stands for something else (409), and a feature the sheet lost meanwhile (422)."""
    with at_page(chromium_browser, bench, "tablet") as hand:
        hand.page.add_init_script(
            "crypto.getRandomValues ="
            " (into) => into.fill(window.sameAgain ? 7 : Math.random() * 256)"
        )
        hand.go("?feature=bore")
        hand.page.evaluate("window.sameAgain = true")
        hand.gauge("78.012")
        hand.saved()
        hand.page.wait_for_timeout(310)
        hand.gauge("78.013")
        expect(hand.page.locator("#ask")).to_contain_text("another entry under the same id")
        expect(hand.page.locator("#ask")).to_contain_text("78.012")
        expect(hand.page.locator("#ask")).to_contain_text("78.013")
        hand.page.evaluate("window.sameAgain = false")
        hand.page.reload()
        hand.page.wait_for_selector(READY, state="attached")
        expect(hand.page.locator("#ask")).to_contain_text("another entry under the same id")
        hand.tap("#ask .tap:has-text('Store mine as well')")
        hand.saved()
        assert sorted(e["typed"] for e in readings_of(bench)) == ["78.012", "78.013"]
        assert queued(hand.page) == 0


def test_a_reading_is_on_the_disk_before_the_page_moves_on(
    chromium_browser: Browser, bench: Served
) -> None:
    """The tab is killed the moment the position changes: the reading is in the device's store."""
    with screen(chromium_browser, bench.address, "tablet") as context:
        page = watched(context)
        page.route("**/api/jobs/*/entries/*", lambda route: route.abort())
        hand = Hand(page)
        hand.go("?feature=bore")
        for number, typed in enumerate(SIZES[:5]):
            before = hand.position()
            hand.gauge(typed)
            expect(page.locator("#position")).not_to_have_text(before)
            page.close(run_before_unload=False)
            page = watched(context)
            page.route("**/api/jobs/*/entries/*", lambda route: route.abort())
            hand = Hand(page)
            hand.go("?feature=bore")
            assert queued(page) == number + 1
        page.unroute("**/api/jobs/*/entries/*")
        hand.saved()
    assert [e["typed"] for e in readings_of(bench)] == SIZES[:5]


def test_a_device_that_may_only_look_is_told(chromium_browser: Browser, bench: Served) -> None:
    with screen(chromium_browser, bench.address, "tablet") as context:
        page = watched(context)
        page.add_init_script(
            "new MutationObserver(() => document.body && (document.body.dataset.writes = 'no'))"
            ".observe(document, {childList: true, subtree: true})"
        )
        hand = Hand(page)
        hand.go("?feature=bore")
        hand.gauge("78.012")
        expect(page.locator("#told")).to_contain_text("only look")
        assert queued(page) == 0
    assert readings_of(bench) == []


def test_ten_tabs_at_once(chromium_browser: Browser, bench: Served) -> None:
    """Readings go into one job from many devices while the bench is asked by others."""
    stop = threading.Event()

    def ask() -> None:
        while not stop.is_set():
            log_of(bench)

    asking = threading.Thread(target=ask)
    asking.start()
    try:
        with at_page(chromium_browser, bench, "phone") as hand:
            hand.go("?feature=bore")
            for typed in SIZES:
                hand.gauge(typed)
                hand.page.wait_for_timeout(310)
            hand.saved()
    finally:
        stop.set()
        asking.join(10)
    assert [e["typed"] for e in readings_of(bench)] == SIZES
