"""Rounds: what is read, in which order, with what, and what it is held against."""

from __future__ import annotations

from itertools import pairwise, product
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.bench.rounds import Round, blades_of, one_level_first, one_place_first, rounds
from gudgeon.log.entries import Instrument
from gudgeon.log.job import Job, Shop
from gudgeon.record.spot_drawing import spot_drawing
from gudgeon.sheet.load import load

NAMES = st.lists(st.text("abcd", min_size=1, max_size=3), min_size=1, max_size=4, unique=True)


@pytest.fixture(scope="module")
def triple(laid_out: Path) -> dict[tuple[str, str], Round]:
    """The rounds of the demo's triple, by feature and epoch."""
    from gudgeon.cli.opening import open_job

    return {(item.feature, item.epoch): item for item in rounds(*open_job("triple", str(laid_out)))}


def small(text: str, *instruments: Instrument) -> dict[str, Round]:
    """The rounds of a small sheet, by feature."""
    sheet = load(f"sheet: 1\nengine: {{name: X}}\n{text}", "x.yaml").sheet
    shop = Shop(instruments={item.name: item for item in instruments})
    made = rounds(Job("x", "", sheet, "", ""), shop)
    return {item.feature: item for item in made}


@given(NAMES, st.lists(NAMES, max_size=3))
def test_both_orders_take_every_reading_once(places: list[str], axes: list[list[str]]) -> None:
    plan = {f"axis{number}": levels for number, levels in enumerate(axes)}
    steps = list(one_place_first(places, plan))
    assert {(s.place, *s.spot) for s in steps} == set(product(places, *axes))
    order = one_level_first(steps)
    assert sorted(order) == list(range(len(steps)))
    firsts = [steps[at].spot[:1] for at in order]
    assert sum(a != b for a, b in pairwise(firsts)) == len(set(firsts)) - 1


def test_one_place_complete_before_the_next(triple: dict[tuple[str, str], Round]) -> None:
    bore = triple["bore", "found"]
    assert [step.place for step in bore.steps] == [
        f"cylinder/{number}" for number in (1, 2, 3) for _ in range(6)
    ]
    tops = [bore.steps[at] for at in bore.by_level[:6]]
    assert {step.spot[0] for step in tops} == {"top"}
    assert [step.place[-1] for step in tops] == ["1", "1", "2", "2", "3", "3"]


def test_every_epoch_is_a_round(triple: dict[tuple[str, str], Round]) -> None:
    assert [epoch for feature, epoch in triple if feature == "gap"] == ["found", "dry", "built"]


def test_what_a_reading_is_held_against(triple: dict[tuple[str, str], Round]) -> None:
    bore, gap, ring = (triple[name, "found"] for name in ("bore", "gap", "ring-gap"))
    assert (bore.bands[""].low, bore.bands[""].high) == (78.0, 78.015)
    assert (bore.bands[""].text, bore.bands[""].what) == ("78.000 … 78.015", "new")
    assert bore.bands[""].source == "p. 4-12"
    assert {side: band.text for side, band in gap.bands.items()} == {
        "in": "0.11 … 0.17",
        "ex": "0.19 … 0.25",
    }
    assert gap.bands["in"].what == "window"
    assert ring.bands[""].text == "0.20 … 0.40"
    assert triple["tip", "found"].bands == {}


def test_one_sided_ranges_are_told_as_such() -> None:
    made = small("places: {main: 1}\nfeatures: {f: {at: main, new: {max: 0.03}}}")
    assert made["f"].bands[""].text == "≤ 0.03"
    assert made["f"].bands[""].low is None


def test_no_limit_is_made_up() -> None:
    made = small("places: {main: 2}\nfeatures: {f: {at: main}}")
    assert made["f"].bands == {}
    assert made["f"].near is None


def test_blades_are_for_gaps_without_a_plan(triple: dict[tuple[str, str], Round]) -> None:
    assert triple["gap", "found"].blades
    assert triple["pump-tip", "found"].blades
    assert not triple["crank-end-float", "found"].blades
    assert not triple["bore", "found"].blades


def test_sign_temperatures_and_units(triple: dict[tuple[str, str], Round]) -> None:
    assert triple["tip", "found"].signed
    assert not triple["bore", "found"].signed
    assert triple["bore", "found"].warm
    assert not triple["gap", "found"].warm
    made = small("unit: in\nplaces: {pin: 1}\nfeatures: {f: {at: pin}, m: {at: pin, kind: mass}}")
    assert made["f"].unit == "in"
    assert made["m"].unit == "g"
    assert made["m"].tools[0].name == "scales"


def test_instruments_that_fit_come_first(triple: dict[tuple[str, str], Round]) -> None:
    bore = triple["bore", "found"]
    assert [tool.name for tool in bore.tools[:2]] == ["bore-gauge-a", "bore-gauge"]
    assert bore.tools[0].decimals == (3, 4)
    assert bore.tools[0].turn == 0.5
    assert all(tool.name != "scales" for tool in bore.tools)
    assert [tool.fits for tool in bore.tools][:3] == [True, True, False]


def test_blades_from_the_set_itself() -> None:
    at = "2026-11-01T08:00:00Z"
    own = Instrument(id="i", at=at, name="long", of="feeler", text="blades 0.10 0,12 0.15 bent")
    made = small("places: {pin: 1}\nfeatures: {g: {at: pin, kind: gap}}", own)
    assert made["g"].tools[0].blades == ("0.10", "0.12", "0.15")


@pytest.mark.parametrize(
    ("text", "blades"),
    [("", ()), ("bent", ()), ("blades", ()), ("blade 0.1", ("0.1",)), ("Blades: 11 0.2", ("0.2",))],
)
def test_blades_in_words(text: str, blades: tuple[str, ...]) -> None:
    assert blades_of(text) == blades


def test_every_spot_of_the_demo_is_in_its_drawing(triple: dict[tuple[str, str], Round]) -> None:
    for item in triple.values():
        for wears in ("larger", "smaller", None):
            drawn = spot_drawing(dict(item.axes), item.kind, item.at, wears)
            named = {
                f'data-place="{axis.name}={level}"' for axis in item.axes for level in axis.levels
            }
            assert all(name in drawn for name in named) or item.kind in ("gap", "height", "run-out")


def test_the_page_and_its_twin(main: TestClient) -> None:
    page = main.get("/jobs/triple/measure?feature=bore&place=cylinder/2")
    assert page.status_code == 200
    assert 'id="capture"' in page.text
    twin = main.get("/jobs/triple/measure?json").json()
    assert twin["count"] == len(main.get("/api/jobs/triple/entries").json()["entries"])
    assert {item["feature"] for item in twin["rounds"]} > {"bore", "gap", "journal"}
    assert "drawings" not in twin
    assert "plan" not in twin
    assert len(page.content) < 400_000


def test_a_hostile_address_is_only_text(main: TestClient) -> None:
    page = main.get("/jobs/triple/measure", params={"feature": "</script><script>alert(1)"})
    assert page.status_code == 200
    assert "<script>alert" not in page.text


def test_a_sheet_with_nothing_to_measure(main: TestClient, folder: Path) -> None:
    from tests.bench.measuring import open_job

    (folder / "sheets" / "bare.yaml").write_text("sheet: 1\nengine: {name: Bare}\n", "utf-8")
    open_job(folder, "bare", "bare.yaml")
    page = main.get("/jobs/bare/measure")
    assert page.status_code == 200
    assert "nothing to measure" in page.text
