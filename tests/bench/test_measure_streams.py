"""Two thousand recorded presses of gauges through the page's own field and parser."""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from playwright.sync_api import Browser
from tests.bench.browser import screen
from tests.bench.helpers import Served, served
from tests.bench.measuring import copied

STREAMS: Final = 2000
#: Fields that type at the same time, so that the streams keep their true pace and end in time.
FIELDS: Final = 60

_REPLAY: Final = """async ({parts, address}) => {
  const { Gauge } = await import(address + "measure/gauge.js");
  const { read } = await import(address + "measure/parse.js");
  const wait = (ms) => new Promise((go) => setTimeout(go, ms));
  const press = (field, key) => {
    const down = new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true});
    if (field.dispatchEvent(down) && key.length === 1) {
      field.value += key;
      field.dispatchEvent(new InputEvent("input", {data: key, inputType: "insertText"}));
    }
  };
  return Promise.all(parts.map(async (streams) => {
    const field = document.createElement("input");
    document.body.append(field);
    const came = [];
    new Gauge(field, {taken: (text) => came.push(read(text)), typing: () => {}, ready: () => {}});
    for (const [key, after] of streams.flat()) {
      await wait(after);
      press(field, key);
    }
    return came;
  }));
}"""


@pytest.fixture(scope="module")
def bench(laid_out: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A bench that only serves its scripts."""
    with served(copied(laid_out, tmp_path_factory.mktemp("streams") / "shop"), "--port", "0") as it:
        yield it


def stream(chance: random.Random) -> tuple[list[tuple[str, float]], dict[str, Any]]:
    """One press of a gauge: keys with the time before each [ms], and what it must be read as."""
    whole, part = chance.randrange(130), chance.randrange(10**4)
    decimals = chance.choice((0, 2, 3, 3, 3, 4))
    mark = chance.choice(".,")
    sign = chance.choice(("", "", "", "-", "+"))
    head = "" if whole == 0 and decimals and chance.random() < 0.3 else str(whole)
    number = head + (f"{mark}{part:04d}"[: decimals + 1] if decimals else "")
    unit = chance.choice(("", "", "", "mm", "MM", " mm", "in", '"'))
    before = chance.choice(("", "", "  "))
    text = before + sign + number + unit
    ends = chance.choice((["Enter"], ["Enter"], ["Tab"]))
    keys = [(key, chance.uniform(5, 30)) for key in (*text, *ends)]
    read_unit = {"": "", "mm": "mm", "MM": "mm", " mm": "mm", "in": "in", '"': "in"}[unit]
    return keys, {"typed": sign.replace("+", "") + number, "unit": read_unit}


def test_two_thousand_streams_none_lost_none_misread(
    chromium_browser: Browser, bench: Served
) -> None:
    chance = random.Random(20)
    made = [stream(chance) for _ in range(STREAMS)]
    parts = [made[at::FIELDS] for at in range(FIELDS)]
    with screen(chromium_browser, bench.address, "desk") as context:
        page = context.new_page()
        page.goto("/jobs/fresh/measure")
        script = page.locator("script[src$='measure.js']").get_attribute("src")
        assert script
        came = page.evaluate(
            _REPLAY,
            {
                "parts": [[keys for keys, _ in part] for part in parts],
                "address": script.removesuffix("measure.js"),
            },
        )
    lost, misread = 0, []
    for part, got in zip(parts, came, strict=True):
        lost += len(part) - len(got)
        for (keys, wanted), read in zip(part, got, strict=False):
            if {"typed": read.get("typed"), "unit": read.get("unit")} != wanted:
                misread.append(("".join(key for key, _ in keys), read))
    assert (lost, misread) == (0, [])


NO_NUMBERS: Final = (
    "", "-", ".", "1.2.3", "1,2,3", "1.234,5", "12e3", "NaN", "Err", "0x1f", "78.012 lb", "7 8.0",
    "78.01278.013", "--1", "1-", "١٢", "78.012;", "1" * 31,
)  # fmt: skip


def test_what_is_no_number_is_refused(chromium_browser: Browser, bench: Served) -> None:
    with screen(chromium_browser, bench.address, "desk") as context:
        page = context.new_page()
        page.goto("/jobs/fresh/measure")
        script = page.locator("script[src$='measure.js']").get_attribute("src")
        assert script
        read = page.evaluate(
            """async ({texts, at}) => {
              const { read } = await import(at + "measure/parse.js");
              return texts.map((text) => "wrong" in read(text));
            }""",
            {"texts": list(NO_NUMBERS), "at": script.removesuffix("measure.js")},
        )
    assert dict(zip(NO_NUMBERS, read, strict=True)) == dict.fromkeys(NO_NUMBERS, True)
