"""Starters: every layout loads, checks clean, and has every row the engine calls for, blank."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from gudgeon.sheet.check import check_sheet
from gudgeon.sheet.load import load
from gudgeon.sheet.starters import LAYOUTS, Choice, shims_only, starter
from gudgeon.sheet.yamltext import read_yaml

CHOICES = [
    Choice(*words)
    for words in itertools.product(
        LAYOUTS,
        (2, 3, 4, 5),
        ("under-bucket", "over-bucket", "finger", "rocker-screw"),
        ("plain", "roller"),
        ("iron", "plated"),
        ("liquid", "air"),
    )
]


def test_every_starter_loads_and_has_no_fault() -> None:
    """Every layout; of the other choices, each one with each layout, not all products."""
    for choice in CHOICES[::7]:
        found = check_sheet(load(starter(choice), "s"))
        assert [item for item in found if item.severity == "fault"] == [], choice
        found = check_sheet(load(shims_only(choice), "s"))
        assert [item for item in found if item.severity == "fault"] == [], choice


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("valves", [2, 3, 4, 5])
def test_places(layout: str, valves: int) -> None:
    sheet = load(starter(Choice(layout, valves)), "s").sheet
    assert len(sheet.layout.of("cylinder")) == int(layout[-1])
    assert len(sheet.layout.of("valve")) == int(layout[-1]) * valves
    assert (sheet.engine.layout.banks is not None) is (layout in ("v2", "flat2"))


def test_what_the_engine_has_not_got_is_not_asked_for() -> None:
    roller = load(starter(Choice("v2", 2, "rocker-screw", "roller", "plated", "air")), "s").sheet
    assert roller.select.shells == {}
    assert roller.oversizes == {}
    assert "bucket" not in roller.features
    assert "rocker-shaft" in roller.features
    assert "water-pump-shaft" not in roller.features
    assert "big-end-play" in roller.features
    plain = load(starter(Choice()), "s").sheet
    assert set(plain.select.shells) == {"main-shell", "rod-shell"}
    assert set(plain.oversizes) == {"rebore", "main-regrind", "pin-regrind"}
    assert "bucket" in plain.features
    assert "rocker-shaft" not in plain.features


def _numbers(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [x for key, item in value.items() if key != "plan" for x in _numbers(item)]
    if isinstance(value, list):
        return [x for item in value for x in _numbers(item)]
    return [value] if isinstance(value, str) and "." in value and value[0].isdigit() else []


def test_no_starter_holds_a_limit() -> None:
    """A limit comes from the maker's manual, never from here."""
    for choice in CHOICES[::29]:
        assert _numbers(read_yaml(starter(choice), "s").value) == []


def test_every_row_has_a_line_on_what_to_look_up() -> None:
    lines = starter(Choice()).splitlines()
    names = [
        line for line in lines[: lines.index("select:")] if line.startswith("  ") and line[2] != " "
    ]
    rows = [line for line in names if line.rstrip().endswith(":") and "#" not in line]
    assert rows == ["  layout:"] or all(row in ("  layout:", "  source:") for row in rows)


def test_every_feature_is_judged_or_chosen_by() -> None:
    """A row that nothing reads would be asked for in vain."""
    for choice in (Choice(), Choice("v2", 2, "rocker-screw", "roller", "plated", "air")):
        sheet = load(starter(choice), "s").sheet
        used = {item.from_ for item in sheet.derive.values()}
        used |= {name for fit in sheet.fits.values() for name in (fit.hole, fit.shaft)}
        used |= {"gap", "tip"}
        for shells in sheet.select.shells.values():
            used |= {shells.housing or "", shells.journal, shells.fitted or ""}
        masses = {name for name, item in sheet.features.items() if item.kind == "mass"}
        assert set(sheet.features) - used - masses == set()


def test_in_inches() -> None:
    assert load(starter(Choice(unit="in")), "s").sheet.unit == "in"
