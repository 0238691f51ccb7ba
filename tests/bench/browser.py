"""A real browser for the tests: Chromium by Playwright, screens of two sizes, pictures kept."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, Literal

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

ROOT: Final = Path(__file__).parents[2]
#: Where pictures of pages go, to be looked at after a run.
PICTURES: Final = ROOT / "build" / "screens"
AXE: Final = Path(__file__).parent / "vendored" / "axe-core" / "axe.min.js"
_ARGUMENTS: Final = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
#: Width and height of screens [CSS px].
SCREENS: Final = {"phone": (360, 740), "tablet": (1180, 820), "desk": (1280, 900)}
Screen = Literal["phone", "tablet", "desk"]


def chromium_path() -> str:
    """The Chromium there is: that of `GUDGEON_CHROMIUM`, or one on PATH."""
    names = (os.environ.get("GUDGEON_CHROMIUM"), "chromium", "chromium-browser", "google-chrome")
    for name in names:
        found = shutil.which(name) if name else None
        if found:
            return found
    raise LookupError("there is no Chromium: bin/setup dev installs it")


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser, closed at the end."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium_path(), args=_ARGUMENTS)
        yield browser
        browser.close()


@contextmanager
def screen(
    browser: Browser, address: str, kind: Screen = "tablet", **options: Any
) -> Iterator[BrowserContext]:
    """A screen of one kind, as a device of its own. What its scripts trip over fails the test."""
    width, height = SCREENS[kind]
    touch = kind != "desk"
    context = browser.new_context(
        base_url=address,
        viewport={"width": width, "height": height},
        has_touch=touch,
        is_mobile=touch,
        **options,
    )
    wrong: list[str] = []
    context.on("weberror", lambda error: wrong.append(str(error.error)))
    context.on(
        "console",
        lambda said: (
            wrong.append(said.text)
            if said.type == "error" and not re.search("Failed to load resource|ERR_", said.text)
            else None
        ),
    )
    yield context
    context.close()
    assert wrong == []


def picture(page: Page, name: str) -> None:
    """Keep a picture of a page as it is now."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=PICTURES / f"{name}.png")


def axe_faults(page: Page) -> list[str]:
    """What axe-core finds against WCAG 2.2, A and AA."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found: dict[str, Any] = page.evaluate(
        "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']})"
    )
    return [
        f"{item['id']}: {node['html'][:120]}"
        for item in found["violations"]
        for node in item["nodes"]
    ]


#: Contrast of every visible text with the first opaque ground under it, and its colour by role.
_CONTRAST: Final = """() => {
  const parse = (c) => {
    const canvas = document.createElement("canvas"); canvas.width = canvas.height = 1;
    const pen = canvas.getContext("2d", {willReadFrequently: true});
    pen.fillStyle = c; pen.fillRect(0, 0, 1, 1);
    const d = pen.getImageData(0, 0, 1, 1).data;
    return [d[0], d[1], d[2], d[3] / 255];
  };
  const light = ([r, g, b]) => [r, g, b].map((v) => v / 255)
    .map((v) => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const out = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const text = walk.currentNode.textContent.trim();
    const at = walk.currentNode.parentElement;
    if (!text || at.closest("script, svg, noscript") || !at.checkVisibility()) continue;
    let ground = at, fill = [0, 0, 0, 0];
    while (ground && fill[3] < 1) {
      fill = parse(getComputedStyle(ground).backgroundColor);
      ground = ground.parentElement;
    }
    const a = light(parse(getComputedStyle(at).color)), b = light(fill);
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    out.push([text.slice(0, 40), ratio, !!at.closest(".value, .figure")]);
  }
  return out;
}"""


def contrasts(page: Page) -> list[tuple[str, float, bool]]:
    """Each visible text with its contrast, and whether it is a value."""
    return [tuple(row) for row in page.evaluate(_CONTRAST)]


#: Sizes of all that can be touched [mm], by the page's own millimetre.
_TARGETS: Final = """() => {
  const root = document.documentElement;
  const mm = parseFloat(getComputedStyle(root).getPropertyValue("--mm"));
  const all = "a[href], button, input, summary, select, textarea, [role=button]";
  const seen = {visibilityProperty: true, opacityProperty: true};
  const tick = "input[type=radio], input[type=checkbox]";
  return [...document.querySelectorAll(all)]
    .map((el) => el.matches(tick) ? el.closest("label") || el : el)
    .filter((el) => el.checkVisibility(seen) && !el.matches(".skip, [type=hidden]"))
    .map((el) => {
      const box = el.getBoundingClientRect();
      return {
        what: (el.id || el.textContent.trim() || el.name || el.tagName).slice(0, 40),
        main: el.matches(".main, .pad *, [data-main]"),
        inline: getComputedStyle(el).display === "inline",
        width: box.width / mm, height: box.height / mm, x: box.left / mm, y: box.top / mm,
      };
    });
}"""


def targets(page: Page) -> list[dict[str, Any]]:
    """All that can be touched, with its size and place [mm]."""
    found: list[dict[str, Any]] = page.evaluate(_TARGETS)
    return found
