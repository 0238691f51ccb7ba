"""Sheets made to take long: each is read, checked or refused within a second."""

from __future__ import annotations

import time

import pytest

from gudgeon.faults import Unusable
from gudgeon.sheet.check import check_sheet
from gudgeon.sheet.describe import lines_of
from gudgeon.sheet.load import load

PLACES = "sheet: 1\nplaces: {cylinder: 3, main: 4, valve: {each: cylinder, in: [L], ex: [L]}}\n"


def many(count: int, pattern: str) -> str:
    """The pattern, with its # replaced by each number."""
    return ", ".join(pattern.replace("#", str(number)) for number in range(count))


def shells(groups: int, marks: int, grades: int, scheme: str) -> str:
    """Groups of shells with many marks and grades."""
    ranges = many(marks, "#: [1, 2]")
    one = (
        "{at: main, journal: j, window: [0.1, 0.2],"
        f" case: {{marks: {{{ranges}}}}}, crank: {{marks: {{{ranges}}}}},"
        f" scheme: {scheme}, grades: {{{many(grades, '#: 1.5')}}}}}"
    )
    groups_of_them = ", ".join(f"s{number}: {one}" for number in range(groups))
    return f"{PLACES}features: {{j: {{at: main}}}}\nselect: {{shells: {{{groups_of_them}}}}}"


SHEETS = {
    "unknown keys": f"{PLACES}engine: {{{many(20000, 'k#: 1')}}}",
    "unknown names": f"{PLACES}features: {{{many(900, 'feature#: {at: main}')}}}\n"
    f"derive: {{{many(900, 'd#: {from: featuer#x, rule: max}')}}}",
    "wrong words": f"{PLACES}features: {{{many(900, 'f#: {at: main, kind: siez}')}}}",
    "marks": shells(1, 5000, 1, "{kind: sum}"),
    "grades": shells(1, 50, 8000, "{kind: sum}"),
    "all allowed": shells(12, 60, 60, "{kind: sum}"),
    "series": f"{PLACES}features: {{gap: {{at: valve, kind: gap}}}}\nselect: {{shims: {{"
    f"window: [0.1, 0.2], marking: quarters, series: ["
    f"{many(60, '{from: 1, to: 2, step: 0.001}')}]}}}}",
    "readings": PLACES.replace("cylinder: 3", "cylinder: 64")
    + "features: {"
    + many(900, "f#: {at: valve, plan: {a: [1, 2, 3, 4, 5, 6, 7, 8, 9], b: [1, 2, 3, 4, 5, 6, 7]}}")
    + "}",
    "steps": f"{PLACES}features: {{j: {{at: main, new: [1, 2]}}}}\n"
    f"oversizes: {{o: {{feature: j, largest: 3, steps: [{many(40000, '9')}]}}}}",
    "firing": f"{PLACES}turning: {{firing: {{{many(20000, '#: 1')}}}}}",
    "banks": f"{PLACES}engine: {{layout: {{kind: v, banks: {{a: [{many(40000, '1')}]}}}}}}",
    "places": "sheet: 1\nplaces: {" + many(20000, "k#: 64") + "}",
    "same key": PLACES + "a: 1\n" * 30000,
    "long word": f"{PLACES}unit: {'x' * 900_000}",
    "long count": PLACES.replace("main: 4", f"main: {'9' * 900_000}"),
    "long number": f"{PLACES}engine: {{bore: {'9' * 900_000}}}",
}


@pytest.mark.parametrize("name", SHEETS)
def test_it_is_over_soon(name: str) -> None:
    started = time.process_time()
    try:
        loaded = load(SHEETS[name], "s.yaml")
    except Unusable as problem:
        told = len(problem.faults)
    else:
        told = 1
        check_sheet(loaded)
        lines_of(loaded.sheet)
    assert time.process_time() - started < 4.0  # of CPU time: a busy machine is no fault
    assert 1 <= told <= 50


def test_what_is_just_allowed_is_read() -> None:
    for name in ("all allowed", "series"):
        assert check_sheet(load(SHEETS[name], "s.yaml"))


def test_bounds_say_what_they_are() -> None:
    with pytest.raises(Unusable, match="the sheet asks for 7,257,600 readings"):
        load(SHEETS["readings"], "s")
    with pytest.raises(Unusable, match="more than 60 entries in one place"):
        load(SHEETS["steps"], "s")
