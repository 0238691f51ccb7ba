"""From text to sheet: all faults at once, each at its place; blanks; units; references."""

from __future__ import annotations

import hashlib
import time
from typing import Any

import pytest

from gudgeon.faults import Unusable
from gudgeon.sheet.load import Loaded, load, load_raw
from gudgeon.sheet.starters import Choice, starter

TRIPLE = """\
sheet: 1
engine: {name: Invented triple, bore: "81,0"}
places:
  end: 1 = left
  cylinder: 3
  main: 4
  valve: {each: cylinder, in: [L, R], ex: [L, R]}
features:
  bore:
    at: cylinder
    plan: {height: [top, mid, foot], axis: [thrust, pin]}
    new: [81.000, 81.012]
  journal: {at: main, new: {max: 1.2992 in}}
  gap: {at: valve, kind: gap}
derive:
  bore-size: {from: bore, rule: max, service: {max: 81.100}, source: p. 4-7}
select:
  shims:
    window: [0.11, 0.17]
    aim: 0.14
    series:
      - {from: , to: , step: }
      - {from: 1.200, to: 2.200, step: 0.025}
"""


def faults(text: str) -> list[str]:
    """The faults of a text that is no sheet, one line each."""
    with pytest.raises(Unusable) as caught:
        load(text, "s.yaml")
    return [str(fault) for fault in caught.value.faults]


def test_a_sheet_is_read_as_typed() -> None:
    loaded = load(TRIPLE, "triple.yaml")
    sheet = loaded.sheet
    assert sheet.engine.bore == 81.0
    service = sheet.derive["bore-size"].service
    assert service is not None
    assert service.max is not None
    assert service.max.typed == "81.100"
    assert sheet.features["journal"].new is not None
    assert sheet.features["journal"].new.max == pytest.approx(32.99968)
    assert len(sheet.layout.of("valve")) == 12
    assert loaded.sha256 == hashlib.sha256(TRIPLE.encode()).hexdigest()
    assert loaded.raw["engine"]["bore"] == "81,0"


def test_short_forms_stand_for_both_sides() -> None:
    shims = load(TRIPLE, "t").sheet.select.shims
    assert shims is not None
    assert shims.window is not None
    assert shims.window.in_ == shims.window.ex
    assert shims.aim is not None
    assert shims.aim.in_ == shims.aim.ex == 0.14


def test_an_entry_with_a_blank_necessary_key_is_left_out() -> None:
    loaded = load(TRIPLE, "t")
    shims = loaded.sheet.select.shims
    assert shims is not None
    assert [series.from_ for series in shims.series] == [1.2]
    assert loaded.left_out == {}
    told = load(TRIPLE.replace("from: bore", "from: "), "t")
    assert "bore-size" not in told.sheet.derive
    assert told.left_out == {("derive", "bore-size"): "from"}


def test_places_in_the_file_count_blank_items_too() -> None:
    text = TRIPLE.replace("step: 0.025", "step: 0.025x")
    assert faults(text) == ["s.yaml:23:40: 'x' is not a unit of length, use mm, um, in or thou"]


@pytest.mark.parametrize(
    ("path", "key", "where"),
    [
        (("derive", "bore-size", "service", "max"), False, "t:16:53"),
        (("derive", "bore-size", "service", "max"), True, "t:16:48"),
        (("derive",), False, "t:15:1"),
        (("features", "bore", "plan", "axis", 1), False, "t:11:53"),
        (("features", "bore", "source"), False, "t:9:3"),
        (("nowhere", "at", "all"), False, "t:1:1"),
    ],
)
def test_where(path: tuple[str | int, ...], key: bool, where: str) -> None:
    assert load(TRIPLE, "t").where(path, key) == where


def test_the_unit_of_the_sheet_is_that_of_bare_numbers() -> None:
    text = "sheet: 1\nengine: {name: X, bore: 3.189, stroke: 51.6 mm}\nunit: in"
    engine = load(text, "x").sheet.engine
    assert engine.bore == pytest.approx(81.0006)
    assert engine.stroke == 51.6


def test_all_faults_are_told_at_once_in_the_order_of_the_file() -> None:
    text = (
        TRIPLE.replace("Invented triple", "X, colour: red")
        .replace("81.012", "81.x12")
        .replace("rule: max", "rule: maxi")
        .replace("[0.11, 0.17]", "[0.17, 0.11]")
    )
    assert [line.split(": ")[0] for line in faults(text)] == [
        "s.yaml:2:19",
        "s.yaml:12:19",
        "s.yaml:16:33",
        "s.yaml:19:13",
    ]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("at: main", "at: mian"), "there is no kind of place 'mian', did you mean main?"),
        (("from: bore", "from: boar"), "there is no feature 'boar', did you mean bore?"),
        (("gap: {at: valve", "gap: {at: main"), "'gap' is measured at main, not at valve"),
        (("axis: [thrust, pin]", "axis: [thrust, thrust]"), "the axis 'axis' names a spot twice"),
        (("axis: [thrust, pin]", "axis: []"), "the axis 'axis' is empty"),
        (("rule: max", "rule: change"), "change needs two epochs, 'bore' has one"),
        (("bore-size:", "bore:"), "'bore' names two things"),
        (("cylinder: 3", "cylinder: 65"), "'65' is not a number of places"),
        (("each: cylinder", "each: barrel"), "'valve' stands within each 'barrel'"),
        (("sheet: 1", "sheet: 2"), "'2' is no version of this format"),
        (("kind: gap", "kind: [gap]"), "a list is not one of the words"),
        (("main: 4", "main: {in: 2}"), "a kind of place within another needs 'each'"),
        (("end: 1 = left", "end: [left]"), "the end is a list or group"),
        (("  bore:\n", "  b ore:\n"), "'b ore' can't be a name"),
    ],
)
def test_cross_references_and_words(change: tuple[str, str], told: str) -> None:
    assert any(told in line for line in faults(TRIPLE.replace(*change)))


@pytest.mark.parametrize("text", ["", "# only a remark", "~"])
def test_an_empty_file_says_how_to_start(text: str) -> None:
    assert faults(text)[0].endswith("the sheet is empty, start one with gudgeon sheet new")


@pytest.mark.parametrize("text", ["just words", "- a\n- b", "'12'"])
def test_a_text_that_is_no_sheet(text: str) -> None:
    assert "stands where a group of keys belongs" in faults(text)[0]


def test_a_plan_cannot_ask_for_a_thousand_readings() -> None:
    spots = "[" + ", ".join(map(str, range(32))) + "]"
    text = TRIPLE.replace("axis: [thrust, pin]", f"axis: {spots}").replace(
        "[top, mid, foot]", spots
    )
    assert "a plan of 1024 readings" in faults(text)[0]


def test_places_cannot_be_multiplied_without_end() -> None:
    names = "[" + ", ".join(f"n{i}" for i in range(60)) + "]"
    text = f"sheet: 1\nplaces: {{cylinder: 60, valve: {{each: cylinder, in: {names}}}}}"
    assert "more than 500 places of one kind" in faults(text)[0]


def _leaves(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    if isinstance(value, dict):
        return [leaf for key, item in value.items() for leaf in _leaves(item, (*path, key))]
    if isinstance(value, list):
        return [leaf for key, item in enumerate(value) for leaf in _leaves(item, (*path, key))]
    return [path]


def _blanked(value: Any, path: tuple[str | int, ...]) -> Any:
    if not path:
        return None
    copy: Any = dict(value) if isinstance(value, dict) else list(value)
    copy[path[0]] = _blanked(copy[path[0]], path[1:])
    return copy


def test_any_leaf_but_the_version_may_be_blank() -> None:
    """Each leaf in turn; where another part names what went, that is a fault of the reference."""
    loaded = load(TRIPLE, "t")
    for path in _leaves(loaded.raw):
        if path == ("sheet",):
            continue
        try:
            load_raw(_blanked(loaded.raw, path), "t")
        except Unusable as problem:
            for fault in problem.faults:
                assert "there is no" in fault.wrong or "not numbered here" in fault.wrong, path


def test_a_starter_loads_with_every_group_left_blank() -> None:
    raw = load(starter(Choice()), "s").raw
    for key in raw:
        if key not in ("sheet", "places", "features"):
            assert isinstance(load_raw(_blanked(raw, (key,)), "s"), Loaded)


def test_raw_data_is_checked_by_path() -> None:
    raw = load(TRIPLE, "t").raw
    bad = _blanked(raw, ("engine", "bore"))
    bad["derive"]["bore-size"] = {"from": "bore", "rule": "max", "service": {"max": "8x"}}
    with pytest.raises(Unusable) as caught:
        load_raw(bad, "job")
    assert caught.value.faults[0].where == "job: derive.bore-size.service.max"


def test_a_starter_of_a_thousand_lines_loads_at_once() -> None:
    text = starter(Choice())
    load(text, "warm")
    started = time.process_time()
    load(text, "s")
    assert time.process_time() - started < 0.2


@pytest.mark.parametrize(
    ("address", "right"),
    [
        ("cylinder/9", "this engine has cylinder/1 to cylinder/4"),
        ("head/3", "this engine has head/1, head/2"),
        (
            "valve/1/on/L",
            "this engine has valve/1/in/L, valve/1/in/R, valve/1/ex/L, valve/1/ex/R",
        ),
        ("valve/9/in/L", "this engine has valve/1/in/L to valve/4/in/L"),
        ("cylindre/1", "this engine has these kinds of place: cylinder, head, valve, engine"),
    ],
)
def test_places_the_engine_has_not_got(address: str, right: str) -> None:
    sheet = load(
        "sheet: 1\nengine: {name: X}\nplaces: {cylinder: 4, head: 2,"
        " valve: {each: cylinder, in: [L, R], ex: [L, R]}}",
        "x.yaml",
    ).sheet
    with pytest.raises(Unusable) as refused:
        sheet.layout.check(address, "place")
    assert refused.value.faults[0].right == right
