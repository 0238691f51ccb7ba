"""A sheet in the browser: every value has a field, the file stays whole, two people are told."""

from __future__ import annotations

import hashlib
import json
import threading
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from gudgeon.bench.sheets.fields import Field, Group, Source, name_of, value_of
from gudgeon.bench.sheets.judged import judge
from gudgeon.bench.sheets.saving import copied, with_values
from gudgeon.bench.sheets.sections import sections
from gudgeon.bench.sheets.showing import flat
from gudgeon.faults import Unusable
from gudgeon.sheet.base import Part
from gudgeon.sheet.load import load
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.shape import Shape, shape_of
from gudgeon.sheet.starters import Choice, shims_only, starter

if TYPE_CHECKING:
    from collections.abc import Iterator

    from fastapi.testclient import TestClient
    from playwright.sync_api import Browser, Page
    from tests.bench.helpers import Come

TRIPLE = "/api/sheets/triple.yaml"


def sha(folder: Path, name: str = "triple.yaml") -> str:
    return hashlib.sha256((folder / "sheets" / name).read_bytes()).hexdigest()


def save(client: TestClient, seen: str, *typed: tuple[tuple[Any, ...], str], part: str = "") -> Any:
    fields = [{"name": name_of(path), "text": text} for path, text in typed]
    return client.patch(TRIPLE, json={"seen": seen, "part": part, "fields": fields})


def fields_of(text: str) -> dict[str, Field]:
    judged = judge(text, "x.yaml")
    source = Source(judged.raw, judged.notes, judged.unit)
    every = [source.field(path) for item in sections(judged.raw) for path in item.paths]
    return {item.name: item for item in flat(every) if isinstance(item, Field)}


def schema_paths(shape: Shape, path: tuple[str | int, ...]) -> Iterator[tuple[str | int, ...]]:
    """Every path of the schema, with NAME for names that a sheet gives itself."""
    if shape.sort == "part" and shape.part is not None:
        for name, info in shape.part.model_fields.items():
            key = info.alias or name
            yield from schema_paths(shape_of(info.annotation), (*path, key))
    elif shape.sort == "map" and shape.inner is not None:
        yield from schema_paths(shape.inner, (*path, "1"))
    elif shape.sort == "list" and shape.inner is not None and shape.inner.sort == "part":
        yield from schema_paths(shape.inner, (*path, 0))
    else:
        yield path


def test_every_value_of_the_schema_has_a_field() -> None:
    """The whole schema, walked from its classes: each of its values can be typed somewhere."""
    paths = [p for p in schema_paths(Shape("part", part=Sheet), ()) if p[0] not in ("sheet",)]
    assert len(paths) > 100
    raw: dict[str, Any] = {"sheet": "1"}
    for path in paths:
        holds: Any = raw
        for key, after in pairwise(path):
            if isinstance(holds, list):
                holds.extend([{}] if not holds else [])
                holds = holds[0]
            else:
                holds = holds.setdefault(key, [] if after == 0 else {})
        if isinstance(holds, dict):
            holds.setdefault(path[-1], None)
    source = Source(raw)
    shown = [source.field(path) for item in sections(raw) for path in item.paths]
    names = {item.name for item in flat(shown) if isinstance(item, Field)}
    missing = [path for path in paths if name_of(path) not in names]
    assert missing == []
    assert issubclass(Sheet, Part)


@pytest.mark.parametrize("text", [starter(Choice()), starter(Choice("flat2", 2, "rocker-screw"))])
def test_typing_what_stands_there_changes_no_byte(text: str) -> None:
    """Every field saved as it is shown: the file is what it was."""
    typed = []
    for field in list(fields_of(text).values())[::11]:
        path = tuple(json.loads(field.name))
        if field.value:
            typed.append((path, value_of(path, field.value, "x")))
    assert len(typed) > 20
    assert with_values(text, "x.yaml", typed) == text


def test_a_length_in_another_unit_is_kept_as_typed(main: TestClient, folder: Path) -> None:
    path = ("derive", "bore-size", "service", "max")
    answer = save(main, sha(folder), (path, "3.0748 in"), part="part-cylinders").json()
    assert answer["saved"] is True
    assert answer["equals"][name_of(path)] == "= 78.100 mm"
    text = (folder / "sheets" / "triple.yaml").read_text()
    assert "3.0748 in" in text
    service = load(text, "x").sheet.derive["bore-size"].service
    assert service is not None
    assert str(service.max) == "3.0748 in"


def test_what_is_wrong_stands_at_its_field_and_is_not_saved(main: TestClient, folder: Path) -> None:
    before = (folder / "sheets" / "triple.yaml").read_bytes()
    window = ("select", "shims", "window", "in")
    answer = save(main, sha(folder), ((*window, "min"), "0.9"), part="shims").json()
    assert answer["saved"] is False
    said = [item for item in answer["said"] if item["severity"] == "unread"]
    assert said[0]["name"] == name_of(window)
    assert "above the upper limit" in said[0]["wrong"]
    assert answer["sha256"] == sha(folder)
    assert (folder / "sheets" / "triple.yaml").read_bytes() == before
    both = [((*window, "min"), "0.9"), ((*window, "max"), "1.0")]
    assert save(main, sha(folder), *both, part="shims").json()["saved"] is True


def test_checks_speak_beside_the_cell_they_mean(main: TestClient) -> None:
    page = main.get("/sheets/triple-faulty.yaml?part=shells&json").json()
    cell = name_of(("select", "shells", "main-shell", "scheme", "cells", "B", "2"))
    said = [item for item in page["shown"]["said"] if item["name"] == cell]
    assert "leaves the window" in said[0]["wrong"]
    assert "37.006..37.012" in said[0]["sum"]


def test_somebody_who_saw_an_older_text_is_told(main: TestClient, folder: Path) -> None:
    seen = sha(folder)
    file = folder / "sheets" / "triple.yaml"
    file.write_text(file.read_text() + "# a note from a text editor\n")
    answer = save(main, seen, (("currency",), "GBP"))
    assert answer.status_code == 409
    assert "changed elsewhere" in answer.json()["error"]
    assert "GBP" not in file.read_text()


def test_of_many_who_save_at_once_one_wins_and_the_file_is_whole(
    main: TestClient, folder: Path
) -> None:
    seen, answers = sha(folder), []

    def saving(number: int) -> None:
        answers.append(save(main, seen, (("engine", "notes"), f"by {number}")).status_code)

    threads = [threading.Thread(target=saving, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(answers) == [200, 409, 409, 409, 409, 409]
    load((folder / "sheets" / "triple.yaml").read_text(), "x")
    assert not [item for item in (folder / "sheets").iterdir() if item.name.startswith(".")]


@pytest.mark.parametrize(
    "text",
    ["a: {b", "[1, 2", "*alias", "&x", "!!tag", "- x", "# not a comment", "'", '"', "x\ny",
     "{{ 7*7 }}", "<script>alert(1)</script>", "~", "null", "no", "012", "1:30", " ", "\t",
     "é\u2028ü", "%", "|", ">"],
)  # fmt: skip
def test_any_text_is_a_text(main: TestClient, folder: Path, text: str) -> None:
    """Typed into a field of words it comes back as it was, or is refused in words."""
    answer = save(main, sha(folder), (("engine", "notes"), text))
    if answer.status_code == 422:
        assert "characters that no sheet holds" in answer.json()["error"]
        return
    assert answer.json()["saved"] is True
    kept = load((folder / "sheets" / "triple.yaml").read_text(), "x").sheet.engine.notes
    assert (kept or "") == text.strip()
    page = main.get("/sheets/triple.yaml?part=engine").text
    assert "<script>alert" not in page


@pytest.mark.parametrize(
    "name",
    ['["nothing"]', "[]", "x", "{}", '["sheet", {}]', "[1]", '["features"' + ',"a"' * 30 + "]",
     "[" * 5000],
)  # fmt: skip
def test_a_field_that_is_none_is_refused(main: TestClient, folder: Path, name: str) -> None:
    call = {"seen": sha(folder), "fields": [{"name": name[:700], "text": "1"}]}
    assert main.patch(TRIPLE, json=call).status_code == 422


@pytest.mark.parametrize(
    "file", ["..%2Fdevices.json", "triple", "x.yaml", ".hidden.yaml", "%2e%2e%2fx.yaml"]
)
def test_no_file_beside_the_sheets_is_reached(main: TestClient, folder: Path, file: str) -> None:
    (folder / "x.yaml").write_text("sheet: 1\n")
    (folder / "sheets" / "link.yaml").symlink_to(folder / "x.yaml")
    assert main.get(f"/sheets/{file}").status_code == 404
    assert main.get("/sheets/link.yaml").status_code == 404
    for name in ("../x", "a/b", "", "-x", "x" * 80, "a b"):
        answer = main.post("/api/sheets", json={"name": name})
        assert answer.status_code == 422


def test_entries_are_added_filled_and_taken_out(main: TestClient, folder: Path) -> None:
    before = (folder / "sheets" / "triple.yaml").read_bytes()
    within = name_of(("features",))
    add = {"seen": sha(folder), "within": within, "key": "cam-lift", "part": "cams"}
    assert main.post(f"{TRIPLE}/entries", json=add).status_code == 200
    again = {**add, "seen": sha(folder)}
    assert "already" in main.post(f"{TRIPLE}/entries", json=again).json()["error"]
    saved = save(main, sha(folder), (("features", "cam-lift", "at"), "cam"))
    assert saved.json()["saved"] is True
    feature = load((folder / "sheets" / "triple.yaml").read_text(), "x").sheet.features["cam-lift"]
    assert (feature.at, feature.part) == ("cam", "cams")
    drop = {"seen": sha(folder), "name": name_of(("features", "cam-lift"))}
    assert main.post(f"{TRIPLE}/drop", json=drop).status_code == 200
    assert (folder / "sheets" / "triple.yaml").read_bytes() == before


def test_blanks_are_filled_from_another_sheet_with_its_unit() -> None:
    """What is filled in stays; a length of a sheet in inches says so here."""
    mine = shims_only(Choice(inlet=("0.10", "0.15")))
    theirs = shims_only(Choice(unit="in", inlet=("0.003", "0.005"), exhaust=("0.007", "0.009")))
    text, count = copied(mine, "x", load(theirs, "y").raw, ("mm", "in"), [("select", "shims")])
    shims = load(text, "x").sheet.select.shims
    assert count == 2
    assert shims is not None
    assert shims.window is not None
    assert shims.window.in_ is not None
    assert shims.window.ex is not None
    assert [str(end) for end in (shims.window.in_.min, shims.window.ex.max)] == ["0.10", "0.009 in"]


def test_a_device_that_may_look_changes_nothing(come: Come, folder: Path) -> None:
    looks = come("look")
    assert looks.get("/sheets/triple.yaml").status_code == 200
    assert save(looks, sha(folder), (("currency",), "EUR")).status_code == 403
    assert looks.post("/api/sheets", json={"name": "x"}).status_code == 403
    assert looks.post("/api/jobs", json={"name": "x", "sheet": "triple.yaml"}).status_code == 403


def test_a_broken_file_is_shown_as_text_and_can_be_mended(main: TestClient, folder: Path) -> None:
    file = folder / "sheets" / "broken.yaml"
    file.write_text("sheet: 1\nengine: {name: [\n")
    page = main.get("/sheets/broken.yaml")
    assert page.status_code == 200
    assert "Not saved." in page.text or "can be judged" in page.text
    seen = sha(folder, "broken.yaml")
    wrong = main.put("/api/sheets/broken.yaml", json={"seen": seen, "text": "sheet: 2"})
    assert wrong.status_code == 422
    right = main.put("/api/sheets/broken.yaml", json={"seen": seen, "text": "sheet: 1\n"})
    assert right.status_code == 200
    assert file.read_text() == "sheet: 1\n"


def test_a_job_is_opened_and_pinned_to_a_newer_version(main: TestClient, folder: Path) -> None:
    assert main.post("/api/sheets", json={"name": "big-four", "whole": "shims"}).json()["go"] == (
        "/sheets/big-four.yaml"
    )
    new = {"name": "four", "title": "tight at 3", "sheet": "big-four.yaml"}
    assert main.post("/api/jobs", json=new).json()["go"] == "/jobs/four"
    assert "already" in main.post("/api/jobs", json=new).json()["error"]
    assert main.post("/api/jobs", json={**new, "name": "../x"}).status_code == 422
    seen = sha(folder, "big-four.yaml")
    fields = [{"name": name_of(("select", "shims", "window", "in", "min")), "text": "0.11"}]
    saved = main.patch("/api/sheets/big-four.yaml", json={"seen": seen, "fields": fields})
    pin = {"sheet": "big-four.yaml", "seen": seen}
    assert main.post("/api/jobs/four/sheet", json=pin).status_code == 409
    pin["seen"] = saved.json()["sha256"]
    assert main.post("/api/jobs/four/sheet", json=pin).status_code == 200
    listed = main.get("/sheets?json").json()["sheets"]
    mine = next(item for item in listed if item["file"] == "big-four.yaml")
    assert mine["jobs"] == ["four"]
    (folder / "sheets" / "big-four.yaml").unlink()
    assert [item["job"] for item in main.get("/sheets?json").json()["alone"]] == ["four"]
    assert main.post("/api/jobs/four/sheet-copy", json={}).status_code == 200
    assert (folder / "sheets" / "big-four.yaml").is_file()


@pytest.mark.parametrize("whole", ["shims", "all"])
def test_decimal_commas_of_a_new_sheet_keep_their_value(
    main: TestClient, folder: Path, whole: str
) -> None:
    typed = {"in_min": "0,10", "in_max": "0,16", "ex_min": "0,20", "ex_max": "0.26"}
    typed |= {"series_from": "1,2", "series_to": "3,5", "series_step": "0,05"}
    answer = main.post("/api/sheets", json={"name": "commas", "whole": whole} | typed)
    assert answer.status_code == 200, answer.text
    text = (folder / "sheets" / "commas.yaml").read_text(encoding="utf-8")
    assert '{from: "1,2", to: "3,5", step: "0,05",' in text
    shims = load(text, "commas.yaml").sheet.select.shims
    assert shims is not None
    assert shims.window is not None
    assert shims.window.in_ is not None
    assert shims.window.ex is not None
    assert (shims.window.in_.min, shims.window.in_.max) == (0.10, 0.16)
    assert (shims.window.ex.min, shims.window.ex.max) == (0.20, 0.26)
    assert [(s.from_, s.to, s.step) for s in shims.series] == [(1.2, 3.5, 0.05)]


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ({"in_min": "0,1x"}, "in min"),
        ({"ex_max": "1.234,5"}, "ex max"),
        ({"series_from": "1,2"}, "series"),
        ({"name": "a/b"}, "name"),
    ],
)
def test_a_figure_that_is_none_starts_no_sheet(
    main: TestClient, folder: Path, typed: dict[str, str], where: str
) -> None:
    answer = main.post("/api/sheets", json={"name": "none", "whole": "shims"} | typed)
    assert answer.status_code == 422
    assert answer.json()["faults"][0]["where"] == where
    assert not (folder / "sheets" / "none.yaml").exists()


def test_shims_that_nobody_noted_are_named_on_the_front(main: TestClient, folder: Path) -> None:
    figures = {"in_min": "0,10", "in_max": "0,16", "ex_min": "0,20", "ex_max": "0,26"}
    figures |= {"series_from": "1,2", "series_to": "3,5", "series_step": "0,05"}
    started = {"name": "oneshims", "whole": "shims", "layout": "inline1", "valves": "2"} | figures
    assert main.post("/api/sheets", json=started).status_code == 200
    long = main.post("/api/jobs", json={"name": "n" * 41, "sheet": "oneshims.yaml"})
    assert long.status_code == 422
    assert "up to 39 letters" in long.text
    assert (
        main.post("/api/jobs", json={"name": "oneshims", "sheet": "oneshims.yaml"}).status_code
        == 200
    )
    for at, place in enumerate(("valve/1/in/1", "valve/1/ex/1")):
        body = {"kind": "reading", "id": f"gap{at}", "at": "2026-03-01T10:00:00Z"}
        body |= {"feature": "gap", "place": place, "typed": "0.15", "unit": "mm"}
        answer = main.put(f"/api/jobs/oneshims/entries/gap{at}", json=body)
        assert answer.status_code == 201, answer.text
    front = main.get("/jobs/oneshims?json").json()["front"]
    assert front["shims"] == ["valve/1/in/1", "valve/1/ex/1"]
    page = main.get("/jobs/oneshims").text
    assert 'href="/jobs/oneshims/marks"><b>Note the shims: 2 valves' in page
    assert '<p class="engine"></p>' in page
    assert '<a href="/jobs/oneshims/marks">the shim there was not recorded' in (
        main.get("/jobs/oneshims/picks").text
    )


def test_each_sheet_leads_to_opening_a_job(main: TestClient) -> None:
    link = 'href="/sheets/triple.yaml?part=done">Open a job with this sheet'
    assert link in main.get("/sheets").text
    assert link in main.get("/sheets/triple.yaml").text


def test_what_is_open_on_the_front_leads_to_it(main: TestClient) -> None:
    front = main.get("/jobs/triple?json").json()["front"]
    page = main.get("/jobs/triple").text
    leads = [item["to"] for key in ("to_read", "undecided", "beyond") for item in front[key]]
    assert leads
    for to in [*leads, front["waits"]["to"]]:
        assert f'href="{to.replace("&", "&amp;")}"' in page
        assert main.get(to.partition("#")[0]).status_code == 200
    for item in [*front["undecided"], *front["beyond"]]:
        path, _, anchor = item["to"].partition("#")
        assert f'id="{anchor}"' in main.get(path).text, item
    assert 'id="questions"' in main.get("/jobs/triple/findings").text


def test_groups_and_fields_are_known_by_their_paths() -> None:
    judged = judge(starter(Choice()), "x")
    found = Source(judged.raw).field(("select", "shims"))
    assert isinstance(found, Group)
    with pytest.raises(Unusable):
        value_of(("engine", "name"), "a\x1b[2Jb", "x")


def axe_whole(page: Page) -> list[str]:
    """What axe finds on a page of which nothing lies under its title block."""
    from tests.bench.browser import axe_faults

    size = page.viewport_size
    page.set_viewport_size({"width": 1180, "height": 6000})
    found = axe_faults(page)
    if size is not None:
        page.set_viewport_size(size)
    return found


def test_from_nothing_to_shims_without_a_text_editor(
    chromium_browser: Browser, folder: Path
) -> None:
    """Start a sheet, fill the window in from the manual, open a job, note a shim: all by hand."""
    from playwright.sync_api import expect
    from tests.bench.browser import picture, screen
    from tests.bench.helpers import served

    with (
        served(folder, "--port", "0") as bench,
        screen(chromium_browser, bench.address, "tablet") as context,
    ):
        page = context.new_page()
        page.goto("/sheets")
        page.click("text=Start a sheet")
        assert axe_whole(page) == []
        page.fill("input[name=name]", "my-four")
        page.click("text=Start the sheet")
        page.wait_for_url("**/sheets/my-four.yaml")
        page.get_by_label("name", exact=True).fill("My own four")
        page.keyboard.press("Enter")
        expect(page.locator("#saved")).to_have_text("saved")
        page.goto("/sheets/my-four.yaml?part=shims")
        window = page.get_by_role("group", name="in", exact=False).first
        window.get_by_label("least").fill("0.20")
        page.keyboard.press("Enter")
        window.get_by_label("most").fill("0.10")
        page.keyboard.press("Enter")
        expect(page.locator(".said .unread").first).to_contain_text("above the upper limit")
        picture(page, "sheet-wrong-tablet")
        assert axe_whole(page) == []
        window.get_by_label("most").fill("0.0102 in")
        page.keyboard.press("Enter")
        expect(page.locator("#saved")).to_have_text("saved")
        expect(window.locator("output.equals").nth(1)).to_have_text("= 0.259 mm")
        text = (folder / "sheets" / "my-four.yaml").read_text()
        assert "in: {min: 0.20, max: 0.0102 in}" in text, text
        page.goto("/sheets/my-four.yaml?part=done")
        page.fill("input[name=name]", "four")
        page.click("button:has-text('Open the job')")
        page.wait_for_url("**/jobs/four")
        page.goto("/jobs/four/marks")
        page.locator("form.seat input[name=typed]").first.fill("1.80")
        page.keyboard.press("Enter")
        expect(page.locator("form.seat .kept").first).to_contain_text("1.80")
        assert axe_whole(page) == []
        page.reload()
        expect(page.locator("form.seat .kept").first).to_contain_text("1.80")
        page.goto("/jobs/four/details")
        page.fill("input[name=path]", "select.shims.aim.in")
        page.fill("input[name=value]", "0.22")
        page.click("text=Note it")
        expect(page.locator(".rows")).to_contain_text("select.shims.aim.in is 0.22")
        assert axe_whole(page) == []


def test_every_row_of_shims_is_kept_at_once(chromium_browser: Browser, folder: Path) -> None:
    """By Enter, in the last row too; and what was typed last when the page is left."""
    from playwright.sync_api import expect
    from tests.bench.browser import screen
    from tests.bench.helpers import served

    with (
        served(folder, "--port", "0") as bench,
        screen(chromium_browser, bench.address, "tablet") as context,
    ):
        page = context.new_page()
        page.goto("/jobs/triple/marks?epoch=built")
        seats = page.locator("form.seat")
        last = seats.count() - 1
        seats.nth(last).locator("input[name=typed]").fill("2.05")
        page.keyboard.press("Enter")
        expect(seats.nth(last).locator(".kept")).to_contain_text("2.05")
        seats.nth(0).locator("input[name=typed]").fill("2.10")
        page.reload()
        page.wait_for_timeout(300)
        page.reload()
        expect(seats.nth(last).locator(".kept")).to_contain_text("2.05")
        expect(seats.nth(0).locator(".kept")).to_contain_text("2.10")
        seats.nth(1).locator("input[name=typed]").fill("2.15")
        page.goto("/jobs/triple")
        page.wait_for_timeout(300)
        page.goto("/jobs/triple/marks?epoch=built")
        expect(seats.nth(1).locator(".kept")).to_contain_text("2.15")


def test_a_name_that_no_sheet_can_have_is_said_at_its_field(
    chromium_browser: Browser, folder: Path
) -> None:
    from playwright.sync_api import expect
    from tests.bench.browser import screen
    from tests.bench.helpers import served

    with (
        served(folder, "--port", "0") as bench,
        screen(chromium_browser, bench.address, "tablet") as context,
    ):
        page = context.new_page()
        page.goto("/new-sheet")
        page.fill("input[name=name]", "my four!")
        page.click("text=Start the sheet")
        expect(page.locator("label:has(input[name=name]) + .fault")).to_contain_text("can't be")
        assert page.locator(".fault").count() == 1
        page.fill("input[name=name]", "my-four")
        page.fill("input[name=ex_max]", "0,2x")
        page.click("text=Start the sheet")
        expect(page.locator("label:has(input[name=ex_max]) + .fault")).to_be_visible()
        assert page.locator(".fault").count() == 1
