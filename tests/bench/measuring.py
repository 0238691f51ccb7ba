"""What the tests of the measuring page share: a fresh job, a gauge that types, counted taps."""

from __future__ import annotations

import json
import random
import shutil
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests.bench.browser import Screen, screen
from tests.bench.helpers import Served

from gudgeon.log.codec import body_of
from gudgeon.log.entries import Opened, SheetPinned
from gudgeon.sheet.load import load
from gudgeon.store.sqlite import SqliteStore

JOB: Final = "fresh"
READY: Final = "html[data-measuring=yes]"


def open_job(folder: Path, name: str = JOB, sheet: str = "triple.yaml") -> None:
    """A job with nothing read yet, on a sheet of the demo."""
    text = (folder / "sheets" / sheet).read_text(encoding="utf-8")
    sha = load(text, sheet).sha256
    at = "2026-11-01T07:00:00Z"
    entries = [
        Opened(id=f"{name}-o", at=at, title="to be measured"),
        SheetPinned(id=f"{name}-s", at=at, file=sheet, sha256=sha, text=text),
    ]
    SqliteStore(folder).append(name, [body_of(entry) for entry in entries], 0)


def copied(laid_out: Path, to: Path) -> Path:
    """A demo shop with a fresh job."""
    folder = Path(shutil.copytree(laid_out, to))
    open_job(folder)
    return folder


def log_of(bench: Served, name: str = JOB) -> list[dict[str, Any]]:
    """The entries of a job, as the bench has them."""
    request = urllib.request.Request(
        f"{bench.address}/api/jobs/{name}/entries", headers={"Accept": "application/json"}
    )
    with urllib.request.urlopen(request, timeout=10) as answer:
        return list(json.load(answer)["entries"])


def readings_of(bench: Served, name: str = JOB) -> list[dict[str, Any]]:
    """Readings that no strike-out stands against."""
    log = log_of(bench, name)
    struck = {entry["target"] for entry in log if entry["kind"] == "strike"}
    return [e for e in log if e["kind"] in ("reading", "feeler") and e["id"] not in struck]


@dataclass
class Hand:
    """Somebody at the page: taps that are counted, and a gauge that types.

    Attributes:
        page: it. taps: how many so far.
    """

    page: Page
    seed: int = 1
    taps: int = 0
    chance: random.Random = field(init=False)

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)

    def go(self, query: str = "", job: str = JOB) -> None:
        """Open the page, and wait until it is ready."""
        self.page.goto(f"/jobs/{job}/measure{query}")
        self.page.wait_for_selector(READY, state="attached")

    def tap(self, what: str) -> None:
        """Tap something that is in sight."""
        at = self.page.locator(what).first
        box = at.bounding_box(timeout=4000)
        size = self.page.viewport_size
        assert box, what
        assert size, what
        foot, side = box["y"] + box["height"], box["x"] + box["width"]
        inside = (
            min(box["x"], box["y"]) >= 0,
            foot <= size["height"] + 0.5,
            side <= size["width"] + 0.5,
        )
        assert all(inside), (what, box)
        self.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        self.taps += 1

    def gauge(self, text: str, end: str = "Enter") -> None:
        """One press of a gauge: its keys at 5 to 30 ms, then its end."""
        for letter in text:
            self.page.keyboard.press(letter if letter != " " else "Space")
            self.page.wait_for_timeout(self.chance.uniform(5, 30))
        if end:
            self.page.keyboard.press(end)

    def position(self) -> str:
        """Where the page says the hand is."""
        return self.page.locator("#position").inner_text()

    def saved(self) -> None:
        """Wait until nothing waits on the device."""
        self.page.evaluate("window.gudgeonMeasure.chain")
        expect(self.page.locator("#kept")).to_have_attribute("data-waiting", "0", timeout=10_000)


@contextmanager
def at_page(
    browser: Browser, bench: Served, kind: Screen = "tablet", **options: Any
) -> Iterator[Hand]:
    """A hand at a page of its own device."""
    with screen(browser, bench.address, kind, **options) as context:
        yield Hand(watched(context))


def watched(context: BrowserContext) -> Page:
    """A page that notes whenever the focus is anywhere that opens a screen's keyboard."""
    context.add_init_script(
        """window.keyboards = 0;
        document.addEventListener("focusin", ({target}) => {
          const typed = target.matches("input, textarea, [contenteditable]");
          if (typed && target.inputMode !== "none") window.keyboards += 1;
        });"""
    )
    return context.new_page()
