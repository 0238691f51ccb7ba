"""Departures: an engine that is not as its sheet says."""

from __future__ import annotations

import copy

import pytest

from gudgeon.sheet.depart import apply_departures
from gudgeon.sheet.load import load, load_raw

SHEET = """\
sheet: 1
engine: {name: X}
places: {cylinder: 3, main: 4, valve: {each: cylinder, in: [L, R], ex: [L, R]}}
features:
  bore: {at: cylinder, new: [81.000, 81.012]}
  v.2: {at: cylinder}
  gap: {at: valve, kind: gap}
  journal: {at: main}
derive:
  bore-size: {from: bore, rule: max, service: {max: 81.100}}
select:
  shims:
    window: [0.11, 0.17]
    aim: 0.14
    series: [{from: 1.2, to: 2.2, step: 0.025}]
  shells:
    main: {at: main, journal: journal, grades: {brown: 1.490}}
"""
RAW = load(SHEET, "s").raw


@pytest.mark.parametrize(
    ("path", "value", "expression", "expected"),
    [
        ("derive.bore-size.service.max", "81,350", "s.derive['bore-size'].service.max", 81.35),
        ("derive.bore-size.service.min", "80.9", "s.derive['bore-size'].service.min", 80.9),
        ("derive.bore-size.new", "[81, 81.01]", "s.derive['bore-size'].new.max", 81.01),
        ("features.bore.new.max", "81.02", "s.features['bore'].new.max", 81.02),
        ("features.bore.new.max", "81.02", "s.features['bore'].new.min", 81.0),
        ("features.v.2.of", "iron", "s.features['v.2'].of", "iron"),
        ("select.shims.window.ex.max", "0.25", "s.select.shims.window.ex.max", 0.25),
        ("select.shims.window.ex.max", "0.25", "s.select.shims.window.in_.max", 0.17),
        ("select.shims.aim.in", "0.13", "s.select.shims.aim.ex", 0.14),
        ("select.shims.series.0.price", "9", "s.select.shims.series[0].price", 9.0),
        ("select.shells.main.grades.brown.wall", "1.5", "float(s.select.shells['main']"
         ".grades['brown'].wall)", 1.5),
        ("engine.bore", "81", "s.engine.bore", 81.0),
        ("turning.in.opens", "18", "s.turning.in_.opens", 18.0),
        ("derive.bore-size.service", None, "s.derive['bore-size'].service", None),
    ],
)  # fmt: skip
def test_a_departure_is_made(
    path: str, value: str | None, expression: str, expected: object
) -> None:
    before = copy.deepcopy(RAW)
    raw, told = apply_departures(RAW, [(path, value)])
    assert told == (None,)
    assert before == RAW, "what was given is left as it was"
    assert eval(expression, {"s": load_raw(raw, "j").sheet}) == expected


@pytest.mark.parametrize(
    ("path", "value", "wrong"),
    [
        ("derive.boar-size.service.max", "1", "the sheet has no 'boar-size'"),
        ("derive.bore-size.servise.max", "1", "the sheet has no 'servise'"),
        ("derive.bore-size.service.max.x", "1", "there is nothing under 'x'"),
        ("derive.bore-size.service.max", "x", "'x' is not a number"),
        ("derive.bore-size.service.max", "[1, 2]", "a list stands where a number belongs"),
        ("derive.bore-size.service", "[2, 1]", "the lower limit 2 is above the upper limit 1"),
        ("derive.bore-size.from", "boar", "there is no feature 'boar'"),
        ("select.shims.series.7.price", "1", "there is no item '7'"),
        ("select.shims.series.-1.price", "1", "there is no item '-1'"),
        ("select.shims.series.²", "1", "there is no item '²'"),
        ("places.cylinder", "4", "'places.cylinder' can't be changed"),
        ("unit", "in", "'unit' can't be changed"),
        ("", "1", "the sheet has no ''"),
        ("select.shims.aim", "{in: &a 1}", "an anchor &a"),
    ],
)
def test_a_departure_that_makes_no_sense_is_told_and_not_made(
    path: str, value: str, wrong: str
) -> None:
    raw, told = apply_departures(RAW, [(path, value)])
    assert raw == RAW
    assert told[0] is not None
    assert told[0].wrong.startswith(wrong)


def test_the_others_are_made_all_the_same() -> None:
    raw, told = apply_departures(
        RAW,
        [
            ("derive.bore-size.service.max", "81.2"),
            ("derive.nothing", "1"),
            ("derive.bore-size.service.max", "81.3"),
        ],
    )
    assert [item is None for item in told] == [True, False, True]
    assert raw["derive"]["bore-size"]["service"]["max"] == "81.3"


def test_there_is_a_bound_on_departures() -> None:
    _, told = apply_departures(RAW, [("engine.bore", "81")] * 201)
    assert told[199] is None
    assert told[200] is not None
