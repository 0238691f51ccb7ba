"""The engine's page: its drawing for every layout, its list, its links, its zoom."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect
from tests.bench.browser import Screen, axe_faults, picture, screen
from tests.bench.looking import looked_at, served_copy

from gudgeon.bench.drawing.crank import draw_crank
from gudgeon.bench.drawing.frame import Callout
from gudgeon.bench.drawing.plan import draw_plan
from gudgeon.sheet.load import load
from gudgeon.sheet.starters import LAYOUTS, Choice, starter

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from fastapi.testclient import TestClient
    from playwright.sync_api import Browser
    from tests.bench.helpers import Come, Served

    from gudgeon.sheet.model import Sheet

ENGINE = "/jobs/triple/engine"


@pytest.fixture(scope="module")
def seen(laid_out: Path) -> Iterator[TestClient]:
    """The main screen of a bench that is only looked at."""
    with looked_at(laid_out) as client:
        yield client


@pytest.fixture(scope="module")
def bench(laid_out: Path) -> Iterator[Served]:
    """A bench on a port that is only looked at."""
    with served_copy(laid_out) as served:
        yield served


def sheet_of(layout: str, valves: int) -> Sheet:
    return load(starter(Choice(layout, valves=valves)), "x.yaml").sheet


def callouts(places: tuple[str, ...]) -> dict[str, Callout]:
    return {
        place: Callout(place, place, "0.135", "as new", "as new", f"/{place}", f"{place} 0.135")
        for place in places
    }


def linked(svg: str) -> set[str]:
    return set(re.findall(r'<a href="[^"]*" aria-label="[^"]*" data-place="([^"]*)">', svg))


def numbers(svg: str) -> list[tuple[float, float]]:
    """Where lettering stands."""
    return [(float(x), float(y)) for x, y in re.findall(r'<text [^>]*x="([^"]+)" y="([^"]+)"', svg)]


@pytest.mark.parametrize("valves", [2, 3, 4, 5])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_place_of_every_layout_is_drawn_and_leads_somewhere(layout: str, valves: int) -> None:
    sheet = sheet_of(layout, valves)
    for narrow in (False, True):
        for kind in ("valve", "cylinder"):
            places = sheet.layout.of(kind)
            svg = draw_plan(sheet, callouts(places), kind, narrow)
            assert linked(svg) == set(places)
            _on_paper(svg)
        crank = (*sheet.layout.of("main"), *sheet.layout.of("pin"))
        svg = draw_crank(sheet, callouts(crank), narrow)
        assert linked(svg) == set(crank)
        _on_paper(svg)


def _on_paper(svg: str) -> None:
    size = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert size
    wide, high = float(size[1]), float(size[2])
    for x, y in numbers(svg):
        assert 0 <= x <= wide, (x, wide)
        assert 0 <= y <= high, (y, high)


def test_two_banks_are_drawn_with_their_names_left_and_right_apart() -> None:
    text = """
sheet: 1
engine: {name: X, layout: {kind: v, angle: 90, banks: {left: [1, 3], right: [2, 4]}}}
places: {cylinder: 4, main: 3, pin: 4, valve: {each: cylinder, in: [1], ex: [1]}}
"""
    sheet = load(text, "x.yaml").sheet
    places = sheet.layout.of("valve")
    svg = draw_plan(sheet, callouts(places), "valve")
    assert linked(svg) == set(places)
    assert ">left</text>" in svg
    assert ">right</text>" in svg
    assert linked(draw_crank(sheet, callouts(sheet.layout.of("pin")))) == {
        "pin/1", "pin/2", "pin/3", "pin/4",
    }  # fmt: skip


def test_turned_for_a_narrow_screen_left_stays_on_the_same_hand() -> None:
    """Turned a quarter clockwise, what was left is above; it is never mirrored."""
    sheet = sheet_of("inline4", 4)
    wide, narrow = (
        draw_plan(sheet, callouts(sheet.layout.of("valve")), "valve", turned)
        for turned in (False, True)
    )
    at = {
        turned: {
            place: (float(x), float(y))
            for place, x, y in re.findall(
                r'data-place="(valve/[^"]+)"><circle cx="([^"]+)" cy="([^"]+)"', svg
            )
        }
        for turned, svg in ((False, wide), (True, narrow))
    }
    for turned in (False, True):
        spots = at[turned]
        along = [spots[f"valve/{n}/in/L"] for n in (1, 2, 3, 4)]
        axis = 1 if turned else 0
        assert [p[axis] for p in along] == sorted(p[axis] for p in along)
        (x1, y1), (x2, y2) = spots["valve/1/in/L"], spots["valve/1/in/R"]
        (x3, y3) = spots["valve/1/ex/L"]
        cross = (x2 - x1) * (y3 - y1) - (y2 - y1) * (x3 - x1)
        assert cross < 0


def test_a_sheet_without_places_says_so(come: Come) -> None:
    sheet = load("sheet: 1\nengine: {name: X}", "x.yaml").sheet
    assert "names no cylinders yet" in draw_plan(sheet, {}, "valve")
    assert draw_crank(sheet, {}) == ""


def test_the_list_says_what_the_drawing_shows(seen: TestClient) -> None:
    page = seen.get(ENGINE).text
    told = seen.get(ENGINE + "?json").json()
    assert told["plan"]["name"] == "gap"
    assert len(told["plan"]["places"]) == 12
    for at in told["plan"]["places"]:
        assert page.count(f'data-place="{at["place"]}"') == 2
        assert f">{at['value']}</text>" in page
        assert at["word"] in page
        assert at["measure"].startswith("/jobs/triple/measure?feature=gap&")
    first = told["plan"]["places"][0]
    assert (first["place"], first["value"], first["unit"]) == ("valve/1/in/L", "0.135", "mm")
    assert first["stale"].startswith("measured 2026-09-07, before the seat was recut")


def test_the_crank_shows_the_oil_clearance_of_the_shells_picked(seen: TestClient) -> None:
    crank = seen.get(ENGINE + "?json").json()["crank"]
    assert crank["name"] == "oil clearance"
    assert [at["place"] for at in crank["places"]] == [
        *(f"main/{n}" for n in (1, 2, 3, 4)), *(f"pin/{n}" for n in (1, 2, 3)),
    ]  # fmt: skip
    assert all(0.02 <= float(at["value"]) <= 0.048 for at in crank["places"])
    assert all(at["word"] == "" for at in crank["places"])


def test_another_size_a_near_cylinder_and_what_a_touch_does(seen: TestClient) -> None:
    told = seen.get(ENGINE + "?plan=bore-size&near=2&touch=see&json").json()
    assert [at["place"] for at in told["plan"]["places"]] == ["cylinder/2"]
    page = seen.get(ENGINE + "?plan=bore-size&near=2&touch=see").text
    assert 'href="/jobs/triple/places/cylinder/2#bore-size-found" aria-label=' in page
    nonsense = seen.get(ENGINE + "?plan=nothing&near=9&touch=x&json").json()
    assert nonsense["plan"]["name"] == "gap"
    assert len(nonsense["plan"]["places"]) == 12


def test_a_device_that_looks_is_led_to_what_was_found(come: Come) -> None:
    told = come("look").get(ENGINE + "?json").json()
    assert [choice["words"] for choice in told["touch"]] == ["See what was found"]


@pytest.mark.parametrize("kind", ["phone", "tablet"])
def test_a_place_is_reached_by_finger_and_by_keyboard(
    chromium_browser: Browser, bench: Served, kind: Screen
) -> None:
    with screen(chromium_browser, bench.address, kind) as context:
        page = context.new_page()
        page.goto(ENGINE)
        picture(page, f"engine-{kind}")
        assert axe_faults(page) == []
        shown = page.locator('a[data-place="valve/2/ex/L"]:visible')
        expect(shown).to_have_count(1)
        box = shown.bounding_box()
        assert box
        mm = float(
            page.evaluate(
                "parseFloat(getComputedStyle(document.documentElement).getPropertyValue('--mm'))"
            )
        )
        assert min(box["width"], box["height"]) / mm >= 14.9
        shown.focus()
        page.keyboard.press("Enter")
        page.wait_for_url("**/measure?feature=gap&epoch=found&place=valve%2F2%2Fex%2FL")
        page.goto(ENGINE + "?touch=see")
        page.locator('a[data-place="main/3"]:visible').tap()
        page.wait_for_url("**/places/main/3#shells")
        expect(page.locator("h1")).to_have_text("main 3")
