"""The drawer: putting pieces in, striking them out, keeping one for an engine."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from playwright.sync_api import expect
from tests.bench.browser import picture, screen
from tests.bench.looking import held_by

if TYPE_CHECKING:
    from fastapi.testclient import TestClient
    from playwright.sync_api import Browser
    from tests.bench.helpers import Come, Served

DRAWER = "/jobs/triple/drawer"
STOCK = {"kind": "stock", "group": "shim", "mark": "178", "typed": "1.781", "unit": "mm"}


def entry(key: str, **fields: Any) -> dict[str, Any]:
    return {"id": key, "at": "2026-11-20T10:00:00Z", **fields}


def put(client: TestClient, key: str, **fields: Any) -> int:
    return client.put(f"/api/shop/entries/{key}", json=entry(key, **fields)).status_code


def pieces(client: TestClient, path: str = DRAWER) -> dict[str, dict[str, Any]]:
    told = client.get(path + "?json").json()
    return {item["id"]: item for _, items in told["groups"] for item in items}


def test_a_piece_is_put_in_once_however_often_it_is_sent(main: TestClient) -> None:
    assert [put(main, "p1", **STOCK, count=2) for _ in range(3)] == [201, 200, 200]
    assert pieces(main)["p1"]["free"] == 2
    assert pieces(main)["p1"]["size"] == "1.781 mm"
    assert put(main, "p1", **STOCK, count=3) == 409


def test_what_is_put_in_may_be_picked(main: TestClient) -> None:
    before = main.get("/jobs/triple/picks?json").json()
    for number, size in enumerate(("1.734", "1.780", "1.764")):
        fields = {**STOCK, "typed": size, "mark": None, "diameter": "7.5"}
        given = {key: value for key, value in fields.items() if value is not None}
        assert put(main, f"q{number}", **given) == 201
    after = main.get("/jobs/triple/picks?json").json()
    assert len(after["shims"]["buy"]) < len(before["shims"]["buy"])
    assert after["free"] == before["free"] + 3


def test_a_piece_kept_for_one_engine_is_not_there_for_another(main: TestClient) -> None:
    put(main, "p1", **STOCK)
    assert put(main, "r1", kind="reserve", stock="p1", job="triple") == 201
    assert pieces(main)["p1"]["kept"][0]["job"] == "triple"
    assert put(main, "r2", kind="reserve", stock="p1", job="twin") == 422
    shop = held_by(main).desk.shop
    assert "p1" in [piece.stock for piece in shop("triple").drawer]
    assert "p1" not in [piece.stock for piece in shop("twin").drawer]
    back = pieces(main)["p1"]["kept"][0]["undo"]
    assert put(main, "s1", **back) == 201
    assert put(main, "r3", kind="reserve", stock="p1", job="twin") == 201


def test_a_piece_struck_out_is_still_to_be_read_and_comes_back(main: TestClient) -> None:
    put(main, "p1", **STOCK)
    assert put(main, "s1", **pieces(main)["p1"]["strike"]) == 201
    assert "p1" not in pieces(main)
    gone = main.get(DRAWER + "?json").json()["gone"]
    assert "178" in gone[0]["text"]
    assert put(main, "s2", **gone[0]["undo"]) == 201
    assert "p1" in pieces(main)


def test_nonsense_is_refused_in_words(main: TestClient) -> None:
    def why(key: str, **fields: Any) -> str:
        answer = main.put(f"/api/shop/entries/{key}", json=entry(key, **fields))
        assert answer.status_code == 422
        return str(answer.json()["error"])

    assert "neither mark nor size" in why("a", kind="stock", group="shim")
    assert "not a number" in why("b", **{**STOCK, "typed": "thick"})
    assert "there is no job" in why("c", kind="reserve", stock="shop-0012", job="other").lower()
    assert "not in the drawer" in why("d", kind="reserve", stock="none", job="twin")
    assert "no entry" in why("e", kind="strike", target="none")
    assert "does not write" in why("f", kind="setting", name="hour-rate", value="9")
    assert "belong in the log" in why("g", kind="note2") or "not known" in why("g", kind="note2")
    answer = main.put("/api/shop/entries/h", json=entry("i", **STOCK))
    assert answer.status_code == 422
    assert main.put("/api/shop/entries/h", content=b"\xff").status_code == 422


def test_only_who_may_write_does(come: Come) -> None:
    assert put(come("look"), "p1", **STOCK) == 403
    assert put(come("write", "192.0.2.51"), "p2", **STOCK) == 201


def test_a_piece_is_put_in_kept_and_struck_by_touch(
    chromium_browser: Browser, running: Served
) -> None:
    with screen(chromium_browser, running.address, "tablet") as context:
        page = context.new_page()
        page.goto(DRAWER)
        page.tap("text=Put a piece in")
        page.fill("input[name=typed]", "thick")
        page.tap("button[type=submit]")
        expect(page.locator("#put-in .fault")).to_contain_text("not a number")
        page.fill("input[name=typed]", "1.781")
        page.fill("input[name=mark]", "178")
        page.tap("button[type=submit]")
        mine = page.locator(".pieces", has_text="1.781 mm")
        expect(mine).to_contain_text("1 of 1 free")
        mine.locator("text=Keep one for triple").tap()
        expect(mine).to_contain_text("1 kept for triple")
        picture(page, "drawer-kept")
        mine.locator("text=Give back").tap()
        expect(mine).to_contain_text("1 of 1 free")
        mine.locator("text=Strike out").tap()
        expect(mine).to_have_count(0)
        expect(page.locator(".struck")).to_contain_text("1.781")
