"""Findings, places, picks, order and record as pages: the same numbers as the core, opened up."""

from __future__ import annotations

import csv
import io
import json
import re
import time
from html import unescape
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect
from tests.bench.browser import Screen, axe_faults, contrasts, picture, screen, targets
from tests.bench.helpers import note
from tests.bench.looking import held_by, looked_at, served_copy

from gudgeon.metrology.findings import WORDS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from fastapi.testclient import TestClient
    from playwright.sync_api import Browser, Page
    from tests.bench.helpers import Come, Served


PAGES = {
    "engine": "/jobs/triple/engine",
    "findings": "/jobs/triple/findings",
    "place": "/jobs/triple/places/main/3",
    "picks": "/jobs/triple/picks",
    "picks-built": "/jobs/twin/picks",
    "drawer": "/jobs/triple/drawer",
    "order": "/jobs/triple/order",
    "record": "/jobs/triple/record",
}
SLIP = "triple-0456"


@pytest.fixture(scope="module")
def seen(laid_out: Path) -> Iterator[TestClient]:
    """The main screen of a bench that is only looked at."""
    with looked_at(laid_out) as client:
        yield client


@pytest.fixture(scope="module")
def bench_here(laid_out: Path) -> Iterator[Served]:
    """A bench on a port that is only looked at."""
    with served_copy(laid_out) as served:
        yield served


def twin(client: TestClient, path: str) -> dict[str, Any]:
    answer = client.get(path + "?json")
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    return told


def send(client: TestClient, entries: list[dict[str, Any]], begin: str = "t") -> None:
    """Write entries as the page's script does: with an id and a time of the device."""
    for number, entry in enumerate(entries):
        full = {**entry, "id": f"{begin}{number}", "at": "2026-11-20T10:00:00Z"}
        answer = client.put(f"/api/jobs/triple/entries/{begin}{number}", json=full)
        assert answer.status_code == 201, answer.text


def test_findings_are_those_of_the_core_the_worst_first(seen: TestClient) -> None:
    told = twin(seen, PAGES["findings"])
    found = held_by(seen).desk.findings("triple")
    assert told["counts"] == {str(word): count for word, count in found.counts().items()}
    rows = [
        row
        for part in told["parts"]
        for row in (*part["first"], *(row for group in part["rest"] for row in group["rows"]))
    ]
    assert len(rows) == len(found.items)
    worst = [WORDS.index(part["worst"]) for part in told["parts"]]
    assert worst == sorted(worst)
    for part in told["parts"]:
        words = [row["word"] for row in part["first"]]
        assert words == sorted(words, key=WORDS.index)
        assert set(words) <= {"beyond service", "not decided"}


def test_every_number_leads_to_what_is_under_it(seen: TestClient) -> None:
    told = twin(seen, PAGES["findings"])
    rows = [row for part in told["parts"] for row in part["first"]]
    assert rows
    for row in rows:
        address, _, anchor = row["to"].partition("#")
        page = unescape(seen.get(address).text)
        assert f'id="{anchor}"' in page
        place = twin(seen, address)
        size = next(item for item in place["sizes"] if item["anchor"] == anchor)
        assert size["value"] == row["value"]
        assert size["formula"]
        assert size["page"].startswith("p. ")
        assert len(size["readings"]) >= size["read"] > 0
        for reading in size["readings"]:
            assert reading["typed"] in page
            assert reading["id"] in page
        assert sum(float(source["u"]) ** 2 for source in size["sources"]) == pytest.approx(
            (float(size["u"]) / 2) ** 2, rel=0.35
        )


def test_corrections_of_a_reading_add_up(seen: TestClient) -> None:
    place = twin(seen, "/jobs/triple/places/cylinder/1")
    checked = 0
    for size in place["sizes"]:
        for reading in size["readings"]:
            if reading["corrected"].endswith(" mm") and reading["typed"].endswith(" mm"):
                typed = float(reading["typed"].removesuffix(" mm"))
                steps = sum(float(amount.replace("−", "-")) for _, amount in reading["steps"])
                corrected = float(reading["corrected"].removesuffix(" mm"))
                assert typed + steps == pytest.approx(corrected, abs=2e-4)
                checked += 1
    assert checked >= 6


def test_open_questions_stand_with_their_answers(seen: TestClient) -> None:
    questions = twin(seen, PAGES["findings"])["questions"]
    slip = next(item for item in questions if item["key"] == SLIP)
    assert [answer["words"] for answer in slip["answers"]] == [
        "Take 33.992 mm",
        "It is right as read",
        "Strike it, measure again",
    ]
    assert all("100" not in item["chance"] for item in questions)
    page = seen.get(PAGES["findings"]).text
    for written in re.findall(r'data-write="([^"]*)"', page):
        assert isinstance(json.loads(unescape(written)), list)
    other = {item["key"]: item for item in questions}
    assert {"triple-0379", "triple-0031"} <= set(other)


@pytest.mark.parametrize("which", [0, 1, 2])
def test_an_answer_puts_the_question_away(main: TestClient, which: int) -> None:
    slip = next(item for item in twin(main, PAGES["findings"])["questions"] if item["key"] == SLIP)
    there = twin(main, PAGES["place"])
    before = [row["id"] for row in there["lines"]]
    before_it = sum(
        reading["typed"] == "33.992 mm" for size in there["sizes"] for reading in size["readings"]
    )
    send(main, slip["answers"][which]["entries"])
    keys = [item["key"] for item in twin(main, PAGES["findings"])["questions"]]
    assert SLIP not in keys
    lines = {row["id"]: row for row in twin(main, PAGES["place"])["lines"]}
    assert set(before) <= set(lines)
    assert lines[SLIP]["struck"] is (which != 1)
    readings = [
        reading["typed"]
        for size in twin(main, PAGES["place"])["sizes"]
        for reading in size["readings"]
    ]
    assert readings.count("33.992 mm") == before_it + (which == 0)
    assert ("33.492 mm" in readings) is (which == 1)


def test_an_engine_bored_before_is_noted_with_one_answer(main: TestClient) -> None:
    asked = twin(main, "/jobs/twin/findings")["questions"]
    bored = next(item for item in asked if "rebore" in item["text"])
    assert bored["answers"][0]["words"] == "Yes: note it for this engine"
    (entry,) = bored["answers"][0]["entries"]
    full = {**entry, "id": "d1", "at": "2026-11-20T10:00:00Z"}
    assert main.put("/api/jobs/twin/entries/d1", json=full).status_code == 201
    left = twin(main, "/jobs/twin/findings")["questions"]
    assert bored["key"] not in [item["key"] for item in left]


def test_a_spot_read_on_two_devices_is_put_to_somebody(main: TestClient, come: Come) -> None:
    reading: dict[str, Any] = {
        "kind": "reading", "place": "cylinder/1", "feature": "piston-pin", "typed": "17.98",
    }  # fmt: skip
    feature = held_by(main).desk.job("triple").sheet.features["piston-pin"]
    reading |= {"spot": {axis: names[0] for axis, names in feature.plan.items()}}
    for number, device in enumerate((main, come("write", "192.0.2.60"))):
        full = {**reading, "id": f"w{number}", "at": f"2026-11-20T10:00:0{number}Z", "attempt": 9}
        answer = device.put(f"/api/jobs/triple/entries/w{number}", json=full)
        assert answer.status_code == 201, answer.text
    asked = twin(main, PAGES["findings"])["questions"]
    twice = next(item for item in asked if item["key"].startswith("twice"))
    assert [answer["words"][:6] for answer in twice["answers"]] == ["Both s", "Strike", "Strike"]
    send(main, twice["answers"][2]["entries"], "k")
    left = twin(main, PAGES["findings"])["questions"]
    assert not [item for item in left if item["key"].startswith("twice")]


def test_a_device_that_looks_is_given_no_answers(come: Come) -> None:
    for path in (PAGES["findings"], PAGES["place"], PAGES["drawer"]):
        page = come("look").get(path)
        assert page.status_code == 200
        assert 'data-write="' not in page.text


def test_struck_entries_stay_readable_and_come_back(main: TestClient) -> None:
    path = "/jobs/triple/places/valve/1/in/L"
    line = next(row for row in twin(main, path)["lines"] if " gap " in row["text"])
    send(main, [{**line["undo"], "reason": "held wrong"}], "s")
    struck = next(row for row in twin(main, path)["lines"] if row["id"] == line["id"])
    assert (struck["struck"], struck["reason"]) == (True, "held wrong")
    assert f'<li class="struck">\n<span class="what"><span class="said">{line["text"]}' in unescape(
        main.get(path).text
    )
    send(main, [struck["undo"]], "u")
    back = next(row for row in twin(main, path)["lines"] if row["id"] == line["id"])
    assert back["struck"] is False


def test_what_comes_from_the_log_is_shown_as_text(main: TestClient) -> None:
    text = '"><script>alert(1)</script>'
    send(main, [{**note("x", text), "place": "valve/1/in/L"}], "n")
    page = main.get("/jobs/triple/places/valve/1/in/L").text
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_no_such_place_is_said(seen: TestClient) -> None:
    answer = seen.get("/jobs/triple/places/valve/9/in/L", headers={"Accept": "text/html"})
    assert answer.status_code == 404
    assert "there is no place" in answer.text.lower()
    assert seen.get("/jobs/none/findings").status_code == 404


def test_picks_say_what_the_core_picks(seen: TestClient) -> None:
    told = twin(seen, PAGES["picks"])
    picks = held_by(seen).desk.picks("triple")
    lines = told["shims"]["lines"]
    assert picks.shims is not None
    assert [line["place"] for line in lines] == [pick.place for pick in picks.shims.choice.picks]
    for line, pick in zip(lines, picks.shims.choice.picks, strict=True):
        assert line["shim"] == pick.taken.shim.label
        total = float(line["leaves"].rpartition("= ")[2])
        assert total == pytest.approx(pick.taken.clearance.value, abs=6e-4)
    assert [step["bought"] for step in told["shims"]["frontier"]] == [2, 3, 4, 5]
    assert [step["chosen"] for step in told["shims"]["frontier"]].count(True) == 1
    assert [stop["angle"] for stop in told["shims"]["stops"]] == ["0°", "240°"]
    assert len(told["shims"]["held"]) == 3
    assert len(told["shims"]["again"]) == 1
    shells = [line for group in told["shells"] for line in group["lines"]]
    assert [line["place"] for line in shells] == [pick.place for pick in picks.shells.picks]
    page = seen.get(PAGES["picks"]).text
    assert page.count('class="landing"') == len(lines) + len(shells)


def test_as_built_stands_beside_its_forecast(seen: TestClient) -> None:
    built = twin(seen, PAGES["picks-built"])["shims"]["built"]
    assert [item["place"] for item in built] == [
        f"valve/1/{side}/{hand}" for side in ("in", "ex") for hand in ("L", "R")
    ]
    assert built[0]["read"] == "0.165 ± 0.013"
    assert built[0]["forecast"] == "0.152 ± 0.016"
    assert built[0]["verdict"] == "conforms"
    assert twin(seen, PAGES["picks-built"])["shims"]["left_out"]


def test_the_order_adds_up_and_goes_out_as_a_table(seen: TestClient) -> None:
    told = twin(seen, PAGES["order"])
    total = sum(float(line["total"]) for line in told["lines"] if line["total"])
    assert told["total"] == f"EUR {total:.2f}"
    answer = seen.get("/api/jobs/triple/order.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert 'filename="triple-order.csv"' in answer.headers["content-disposition"]
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert [row["what"] for row in rows] == [line["what"] for line in told["lines"]]
    assert seen.get("/api/jobs/none/order.csv").status_code == 404


def test_the_record_is_made_once_for_each_state_of_the_log(main: TestClient) -> None:
    bench = held_by(main)
    assert twin(main, "/jobs/twin/record")["ready"] is False
    first = main.get("/api/jobs/twin/record.pdf")
    assert first.status_code == 200
    assert first.headers["content-type"] == "application/pdf"
    assert first.headers["content-disposition"] == 'inline; filename="twin-record.pdf"'
    assert first.content.startswith(b"%PDF-")
    assert twin(main, "/jobs/twin/record")["ready"] is True
    held = bench.papers.made["twin", "a4"]
    kept = main.get("/api/jobs/twin/record.pdf?keep=yes")
    assert kept.headers["content-disposition"].startswith("attachment")
    assert kept.content == first.content
    assert bench.papers.made["twin", "a4"] is held
    entry = note("r1")
    assert main.put("/api/jobs/twin/entries/r1", json=entry).status_code == 201
    assert twin(main, "/jobs/twin/record")["ready"] is False
    assert main.get("/api/jobs/twin/record.pdf").content != first.content
    assert main.get("/api/jobs/twin/record.pdf?paper=A0").status_code == 422


def test_pages_are_light_and_soon_made(seen: TestClient) -> None:
    """Time of the processor, so that what else the computer does has no part in it."""
    for path in PAGES.values():
        seen.get(path)
        times = []
        for _ in range(7):
            began = time.process_time()
            answer = seen.get(path, headers={"Accept-Encoding": "gzip"})
            times.append(time.process_time() - began)
            assert int(answer.headers["content-length"]) < 60_000
        assert min(times) < 0.1, (path, times)


@pytest.mark.parametrize(("kind", "scheme"), [("phone", "light"), ("tablet", "dark")])
def test_every_page_of_results_reads_well(
    chromium_browser: Browser, bench_here: Served, kind: Screen, scheme: str
) -> None:
    with screen(chromium_browser, bench_here.address, kind, color_scheme=scheme) as context:
        page = context.new_page()
        for name, path in PAGES.items():
            page.goto(path)
            page.evaluate("document.fonts.ready.then(() => true)")
            page.evaluate("document.querySelectorAll('details.fold').forEach(d => d.open = true)")
            picture(page, f"{name}-{kind}-{scheme}")
            page.evaluate("document.querySelector('.block').style.position = 'static'")
            assert axe_faults(page) == [], name
            for text, ratio, value in contrasts(page):
                assert ratio >= (12.0 if value else 7.0), (name, text, ratio)
            wide = page.evaluate(
                "Math.max(document.documentElement.scrollWidth - innerWidth,"
                " innerWidth - screen.width)"
            )
            assert wide <= 0, (name, wide)
            for item in targets(page):
                if not item["inline"]:
                    assert min(item["width"], item["height"]) >= 14.95, (name, item)


def test_news_comes_by_itself_but_shuts_nothing_that_is_open(
    chromium_browser: Browser, running: Served
) -> None:
    with screen(chromium_browser, running.address, "tablet") as context:
        page, other = context.new_page(), context.new_page()
        page.goto("/jobs/twin/places/cylinder/1")
        expect(page.locator("#state")).to_have_text("in touch with the bench")
        other.goto("/jobs/twin")
        _note(other, "n1", "first note")
        expect(page.locator(".history")).to_contain_text("first note", timeout=20_000)
        expect(page.locator("#state")).to_have_text("in touch with the bench")
        page.locator(".under-it summary").first.tap()
        _note(other, "n2", "second note")
        expect(page.locator("#say")).to_contain_text("New entries", timeout=20_000)
        expect(page.locator(".under-it[open]")).to_have_count(1)


def _note(page: Page, key: str, text: str) -> None:
    status = page.evaluate(
        """async ([key, text]) => (await fetch(`/api/jobs/twin/entries/${key}`, {method: "PUT",
          headers: {"X-Gudgeon": "bench", "Content-Type": "application/json"},
          body: JSON.stringify({id: key, at: "2026-11-20T10:00:00Z", kind: "note", text,
            place: "cylinder/1"})
        })).status""",
        [key, text],
    )
    assert status == 201


def test_a_question_is_answered_with_one_tap(chromium_browser: Browser, running: Served) -> None:
    with screen(chromium_browser, running.address, "phone") as context:
        page = context.new_page()
        page.goto(PAGES["findings"])
        page.tap("text=Take 33.992 mm")
        expect(page.locator("text=Take 33.992 mm")).to_have_count(0, timeout=20_000)
        page.goto(PAGES["place"])
        expect(page.locator(".struck .said").first).to_contain_text("33.492")
        expect(page.locator(".history")).to_contain_text("33.992 mm taken for 33.492 mm")


def test_what_is_under_a_number_opens_without_a_script(
    chromium_browser: Browser, bench_here: Served
) -> None:
    with screen(
        chromium_browser, bench_here.address, "tablet", java_script_enabled=False
    ) as context:
        page = context.new_page()
        page.goto("/jobs/triple/places/main/3")
        first = page.locator(".under-it").first
        expect(first.locator(".readings").first).to_be_hidden()
        first.locator("summary").click()
        expect(first.locator(".readings").first).to_be_visible()
        expect(first).to_contain_text("Uncertainty by source")
