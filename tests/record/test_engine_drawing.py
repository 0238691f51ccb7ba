"""The engine drawn from any sheet: every place once, in its order, nothing off the paper."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from itertools import combinations
from typing import Any

import pytest
from tests.record.made_up import sheet

from gudgeon.record.engine_drawing import draw_plan, plan_notes
from gudgeon.record.engine_end import draw_end
from gudgeon.record.engine_places import main_boundaries, named_side, plan_layout, throws
from gudgeon.record.engine_side import draw_side, side_notes
from gudgeon.record.marks import WORDS, Tag, draw_mark, mark_svg
from gudgeon.record.svg import SCREEN, Board, number
from gudgeon.sheet.model import Sheet

SVG = "{http://www.w3.org/2000/svg}"
V_TWIN: dict[str, Any] = {"angle": "60", "banks": {"front": ["1"], "rear": ["2"]}}
FLAT: dict[str, Any] = {"banks": {"left": ["1"], "right": ["2"]}}
LAYOUTS = {
    **{f"inline {n}": sheet(n) for n in range(1, 7)},
    "two valves": sheet(3, inlets=("1",), exhausts=("1",)),
    "three valves": sheet(2, exhausts=("1",)),
    "five valves": sheet(4, inlets=("L", "C", "R")),
    "from the right": sheet(4, end="1 = right, at the clutch"),
    "V2": sheet(2, "v", **V_TWIN),
    "V4": sheet(4, "v", angle="65", banks={"rear": ["1", "3"], "front": ["2", "4"]}),
    "V without banks": sheet(4, "v"),
    "flat 2": sheet(2, "flat", **FLAT),
    "flat 4": sheet(4, "flat"),
    "flat 6, left and right": sheet(
        6, "flat", banks={"left": ["1", "3", "5"], "right": ["2", "4", "6"]}
    ),
}
every_layout = pytest.mark.parametrize("engine", LAYOUTS.values(), ids=LAYOUTS.keys())


def places_in(svg: str) -> list[str]:
    return [
        g.attrib["data-place"]
        for g in ET.fromstring(svg).iter(f"{SVG}g")
        if "data-place" in g.attrib
    ]


@every_layout
def test_every_cylinder_and_valve_is_drawn_once(engine: Sheet) -> None:
    drawn = places_in(draw_plan(engine))
    assert sorted(drawn) == sorted([*engine.layout.of("cylinder"), *engine.layout.of("valve")])


@every_layout
def test_every_main_and_pin_is_drawn_once(engine: Sheet) -> None:
    drawn = places_in(draw_side(engine))
    assert sorted(drawn) == sorted([*engine.layout.of("main"), *engine.layout.of("pin")])


@every_layout
def test_valves_lie_inside_their_bore_and_apart(engine: Sheet) -> None:
    plan = plan_layout(engine)
    bores = {cylinder.name: cylinder.bore for cylinder in plan.cylinders}
    for address, valve in plan.valves.items():
        bore = bores[address.split("/")[1]]
        assert math.dist(valve[:2], bore[:2]) + valve.r <= bore.r + 1e-9
    for a, b in combinations([*plan.valves.values()], 2):
        assert math.dist(a[:2], b[:2]) >= a.r + b.r
    for a, b in combinations([*bores.values()], 2):
        assert math.dist(a[:2], b[:2]) > a.r + b.r


@every_layout
def test_nothing_leaves_the_paper(engine: Sheet) -> None:
    values = {
        place: Tag("81.041", WORDS[0])
        for kind in engine.layout.kinds
        for place in engine.layout.of(kind)
    }
    for svg in (draw_plan(engine, values), draw_side(engine, values), draw_end(engine)):
        if svg is None:
            continue
        root = ET.fromstring(svg)
        width, height = (float(v) for v in root.attrib["viewBox"].split()[2:])
        for item in root.iter():
            for key, most in (
                ("x", width),
                ("cx", width),
                ("x1", width),
                ("y", height),
                ("cy", height),
                ("y2", height),
            ):
                if key in item.attrib:
                    assert -0.01 <= float(item.attrib[key]) <= most + 0.01, (item.tag, item.attrib)


def order_along(engine: Sheet) -> list[str]:
    return [c.name for c in sorted(plan_layout(engine).cylinders, key=lambda c: c.bore.x)]


@pytest.mark.parametrize(
    ("end", "order"),
    [
        ("1 = left, on the machine", ["1", "2", "3"]),
        ("1 = right, at the clutch", ["3", "2", "1"]),
        ("1 = cam drive end", ["1", "2", "3"]),
        ("1 = right, seen from the front", ["1", "2", "3"]),
    ],
)
def test_cylinders_stand_as_seated_where_the_sheet_says_so(end: str, order: list[str]) -> None:
    engine = sheet(3, end=end)
    assert order_along(engine) == order
    assert ("LEFT" in draw_plan(engine)) == (named_side(end) is not None)
    mains = re.findall(r'data-place="main/(\d)"', draw_side(engine))
    assert mains == ["1", "2", "3", "4"]


def test_left_and_right_valves_are_not_turned_with_the_numbering() -> None:
    plan = plan_layout(sheet(3, end="1 = right, sitting on the machine"))
    assert plan.valves["valve/1/in/L"].x < plan.valves["valve/1/in/R"].x


def test_the_first_cylinder_is_the_solid_one_and_its_end_is_written() -> None:
    svg = draw_plan(sheet(3, end="1 = left, sitting <on> the machine"))
    assert "1 = left, sitting &lt;on&gt; the machine" in svg
    first = svg[svg.index('data-place="cylinder/1"') : svg.index('data-place="cylinder/2"')]
    assert 'class="figures paper"' in first


def test_values_and_marks_stand_at_their_places() -> None:
    engine = sheet(2)
    svg = draw_plan(engine, {"valve/2/ex/R": Tag("0.2157", WORDS[2])})
    group = next(
        g
        for g in ET.fromstring(svg).iter(f"{SVG}g")
        if g.attrib.get("data-place") == "valve/2/ex/R"
    )
    assert "0.2157" in "".join(group.itertext())
    assert svg.count("0.2157") == 1


def test_marks_differ_without_colour() -> None:
    shapes = {re.sub(r"<title>.*?</title>", "", mark_svg(word)) for word in WORDS}
    assert len(shapes) == len(WORDS)
    board = Board(4, 4)
    draw_mark(board, (2, 2), WORDS[0])
    colours = set(re.findall(r'(?:fill|stroke)="(#\w+)"', " ".join(mark_svg(w) for w in WORDS)))
    assert colours == {board.ink.line, board.ink.paper}


def test_a_page_can_bring_its_own_colours() -> None:
    svg = draw_plan(sheet(), {"valve/1/in/L": Tag("0.14", WORDS[1])}, SCREEN)
    assert "currentColor" in svg
    assert "#" not in svg


def test_the_same_sheet_gives_the_same_drawing() -> None:
    assert draw_plan(sheet()) == draw_plan(sheet())
    assert draw_side(sheet()) == draw_side(sheet())


def test_throws_stand_as_the_firing_angles_say() -> None:
    fired = Sheet.model_validate(
        {
            "sheet": "1",
            "engine": {"name": "x"},
            "places": {"cylinder": "3", "main": "4", "pin": "3"},
            "turning": {"firing": {"1": "0", "2": "240", "3": "480"}},
        }
    )
    assert "top centre" in side_notes(fired)[0]
    assert "by turns" in side_notes(sheet(3))[0]


def test_rods_of_a_v_share_a_throw() -> None:
    assert throws(LAYOUTS["V4"]) == [("pin/1", "pin/2"), ("pin/3", "pin/4")]
    assert throws(sheet(2)) == [("pin/1",), ("pin/2",)]


def test_the_angle_of_a_v_is_the_sheets_or_owned_to_be_missing() -> None:
    assert "60°" in (draw_end(LAYOUTS["V2"]) or "")
    assert "angle not given" in (draw_end(LAYOUTS["V without banks"]) or "")
    assert draw_end(sheet(3)) is None


@pytest.mark.parametrize(("mains", "count"), [(1, 3), (2, 2), (5, 4), (3, 4), (9, 4)])
def test_mains_lie_between_the_ends(mains: int, count: int) -> None:
    at = main_boundaries(mains, count)
    assert len(at) == mains
    assert at == sorted(at)
    assert all(0 <= place <= count for place in at)


def test_a_sheet_without_places_is_drawn_as_such() -> None:
    bare = Sheet.model_validate({"sheet": "1", "engine": {"name": "bare"}})
    assert "no cylinders" in draw_plan(bare)
    assert "no crank" in draw_side(bare)
    assert plan_notes(bare)


def test_odd_places_do_not_break_a_drawing() -> None:
    odd = Sheet.model_validate(
        {
            "sheet": "1",
            "engine": {"name": "<&\"'>"},
            "places": {
                "end": "]]>中\u200d",
                "cylinder": ["A", "B"],
                "main": "9",
                "valve": {
                    "each": "cylinder",
                    "up": ["1", "2", "3", "4"],
                    "down": ["1"],
                    "third": ["1"],
                },
            },
        }
    )
    for svg in (draw_plan(odd), draw_side(odd)):
        ET.fromstring(svg)


def test_coordinates_are_short_and_never_minus_nothing() -> None:
    assert [number(x) for x in (0.0, -0.0, -0.004, 1.005, 100.0)] == ["0", "0", "0", "1", "100"]
