"""Readings as typed, brought to millimetres; repeats; events between them."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.metrology.engine import LATER, event, instrument, job, reading, shop

from gudgeon.metrology.readings import read_all
from gudgeon.metrology.taken import decimals_of

TOP = {"height": "top", "axis": "thrust"}


@given(st.integers(1, 99999))
def test_inch_and_millimetre_agree(ten_thousandths: int) -> None:
    inch = f"{ten_thousandths / 1e4:.4f}"
    mm = f"{ten_thousandths * 25.4 / 1e4:.6f}"
    one = read_all(job(reading("lobe", "valve/1/in/L", inch, unit="in")), shop())
    other = read_all(job(reading("lobe", "valve/1/in/L", mm)), shop())
    a = one.values("lobe", "valve/1/in/L")[()].value
    b = other.values("lobe", "valve/1/in/L")[()].value
    assert a == pytest.approx(b, abs=1e-9)


def test_the_unit_in_the_text_goes_before_the_entrys() -> None:
    entry = reading("lobe", "valve/1/in/L", "1.4370 in", unit="mm")
    taken = read_all(job(entry), shop()).taken[entry.id]
    assert taken.raw == pytest.approx(36.4998)
    assert taken.typed == "1.4370 in"


def test_masses_are_in_grams_and_have_no_length_unit() -> None:
    table = read_all(
        job(
            reading("piston-mass", "cylinder/1", "168.4"),
            reading("piston-mass", "cylinder/2", "0.1684", unit="kg"),
            reading("piston-mass", "cylinder/3", "168.4", unit="mm"),
        ),
        shop(),
    )
    assert table.values("piston-mass", "cylinder/2")[()].value == pytest.approx(168.4)
    assert not table.values("piston-mass", "cylinder/3")
    assert "not a unit of mass" in table.faults[0].wrong


@pytest.mark.parametrize(
    ("typed", "more", "wrong"),
    [
        ("58.0.1", {}, "not a number"),
        ("nan", {}, "not a number"),
        ("1e308", {}, "far too large"),
        ("-58.01", {}, "is no size"),
        ("58.01", {"spot": {"height": "top"}}, "not in its plan"),
        ("58.01", {"spot": {"height": "roof", "axis": "pin"}}, "not in its plan"),
        ("58.01", {"feature": "bore", "place": "main/1"}, "is not in the sheet"),
    ],
)
def test_what_cannot_be_used_is_told(typed: str, more: dict[str, Any], wrong: str) -> None:
    base: dict[str, Any] = {"feature": "bore", "place": "cylinder/1", "spot": TOP, **more}
    table = read_all(job(reading(typed=typed, id="bad", **base)), shop())
    assert not table.taken
    (fault,) = table.faults
    assert fault.where == "entry bad"
    assert wrong in fault.wrong
    assert fault.right


def repeats(*typed: str) -> list[Any]:
    return [
        reading("bore", "cylinder/1", text, spot=TOP, id=f"r{n}", attempt=n + 1)
        for n, text in enumerate(typed)
    ]


def test_repeats_average_each_readings_own_part_alone() -> None:
    one = read_all(job(*repeats("58.020")), shop()).values("bore", "cylinder/1")["top", "thrust"]
    four = read_all(job(*repeats("58.020", "58.022", "58.021", "58.021")), shop()).values(
        "bore", "cylinder/1"
    )["top", "thrust"]
    assert four.value == pytest.approx(58.021)
    own = one.parts["reading:r0"]
    shared = math.sqrt(one.u**2 - own**2)
    assert four.u == pytest.approx(math.hypot(shared, own / 2), rel=1e-4)


def test_repeats_far_apart_widen_the_uncertainty_and_are_told() -> None:
    table = read_all(job(*repeats("58.020", "58.520")), shop())
    at = table.at("bore", "cylinder/1")["top", "thrust"]
    assert at.value is not None
    assert at.value.u > 0.2
    assert any("lie 0.500 apart" in note for note in at.notes)
    assert [item.typed for item in at.taken] == ["58.020 mm", "58.520 mm"]


def test_an_instrument_whose_repeats_scatter_more_than_usual_gets_their_scatter() -> None:
    entries = [
        reading("bore", "cylinder/1", typed, spot=spot, id=f"{n}-{attempt}", attempt=attempt)
        for n, spot in enumerate(
            {"height": h, "axis": a} for h in ("top", "mid", "foot") for a in ("thrust", "pin")
        )
        for attempt, typed in ((1, "58.010"), (2, "58.020"))
    ]
    at = read_all(job(*entries), shop()).at("bore", "cylinder/1")["top", "thrust"]
    assert at.value is not None
    scatter = 0.01 / math.sqrt(2)
    assert at.value.parts["reading:0-1"] == pytest.approx(scatter / 2)
    assert at.value.dof["reading:0-1"] == 6
    assert any("scatter" in note for note in at.notes)


def test_a_coarse_digit_is_uncertain_by_itself_but_never_coarser_than_the_instrument() -> None:
    own = {
        typed: read_all(job(reading("lobe", "valve/1/in/L", typed)), shop()).values(
            "lobe", "valve/1/in/L"
        )[()]
        for typed in ("36.4", "36.40", "36.400")
    }
    parts = [value.parts["reading:lobe.valve-1-in-L"] for value in own.values()]
    assert parts[0] == parts[1] == pytest.approx(0.01 / math.sqrt(12))
    assert parts[2] == pytest.approx(0.0024)


def test_an_instrument_nobody_listed_is_taken_as_the_usual_kind_and_told() -> None:
    entry = reading("journal", "main/1", "32.995", spot={"axis": "0", "end": "front"},
                    instrument="grandads-mic")  # fmt: skip
    taken = read_all(job(entry), shop()).taken[entry.id]
    assert taken.instrument.kind.name == "micrometer-0.001"
    assert "not in the shop's list" in taken.notes[0]
    listed = read_all(job(entry), shop(instrument("grandads-mic", "micrometer"))).taken[entry.id]
    assert listed.instrument.kind.name == "micrometer-0.01"
    assert not listed.notes


def test_readings_after_an_event_set_aside_those_before() -> None:
    before = reading("bore", "cylinder/1", "58.080", spot=TOP, id="before")
    after = reading("bore", "cylinder/1", "58.255", spot=TOP, id="after", at=LATER)
    other = reading("bore", "cylinder/2", "58.060", spot=TOP, id="other")
    rebored = event("rebore", "cylinder/1")
    table = read_all(job(before, after, other, rebored), shop())
    assert table.values("bore", "cylinder/1")["top", "thrust"].value == pytest.approx(58.255)
    assert table.aside == {"before"}
    assert "before" in table.taken
    assert not table.stale
    alone = read_all(job(before, other, rebored), shop())
    assert list(alone.stale) == [("bore", "cylinder/1", "found")]
    assert (
        "before the cylinder was rebored (2026-03-05)" in alone.stale["bore", "cylinder/1", "found"]
    )


@pytest.mark.parametrize(
    ("typed", "factor", "decimals"),
    [("58.010", 1.0, 3), ("58", 1.0, 0), ("2.2835", 25.4, 3), ("1", 0.0254, 2), ("168.4", 1.0, 1)],
)
def test_decimals_follow_what_was_typed(typed: str, factor: float, decimals: int) -> None:
    assert decimals_of(typed, factor) == decimals
