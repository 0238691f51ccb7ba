"""Readings → sizes: derived values, fits, plain features, by place and epoch."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.metrology.engine import SHEET, event, feeler, job, measured, reading, shop, spots

from gudgeon.metrology.sizes import Size, sizes


def by_name(*entries: object) -> dict[tuple[str, str, str], Size]:
    found = sizes(job(*entries), shop())
    return {(size.name, size.place, size.epoch): size for size in found}


def bore(place: str, *typed: str) -> list[object]:
    return [
        reading("bore", place, text, spot=spot)
        for spot, text in zip(spots("bore"), typed, strict=False)
    ]


WORN = ("58.062", "58.031", "58.030", "58.019", "58.010", "58.008")


def test_a_bore_and_its_piston_come_to_sizes_with_their_arithmetic() -> None:
    found = by_name(*bore("cylinder/2", *WORN), reading("piston", "cylinder/2", "57.964"))
    size = found["bore-size", "cylinder/2", "found"]
    assert size.value is not None
    assert size.value.value == pytest.approx(58.062)
    assert size.formula == "max of 6 (top thrust 58.062)"
    assert size.complete
    assert len(size.readings) == 6
    fit = found["piston-in-bore", "cylinder/2", "found"]
    assert fit.value is not None
    assert fit.value.value == pytest.approx(0.098)
    assert fit.formula == "max bore 58.062 − piston 57.964"
    assert fit.text(fit.value.value) == "0.098"
    assert fit.features == ("bore", "piston")
    assert fit.other is not None
    assert fit.other.value.value == pytest.approx(58.026666667 - 57.964)


def test_a_difference_of_one_gauge_has_no_setting_error_and_a_fit_has_both() -> None:
    found = by_name(*bore("cylinder/2", *WORN), reading("piston", "cylinder/2", "57.964"))
    oval = found["bore-oval", "cylinder/2", "found"].value
    fit = found["piston-in-bore", "cylinder/2", "found"].value
    assert oval is not None
    assert fit is not None
    master = "instrument:bore-gauge/setting master"
    assert oval.parts[master] == pytest.approx(0.0, abs=1e-12)
    assert fit.parts[master] > 0.0
    assert fit.parts["instrument:micrometer-0.001/zero"] < 0.0
    assert oval.u == pytest.approx(math.hypot(*oval.parts.values()))


def test_what_was_not_read_is_there_without_value() -> None:
    found = by_name(*bore("cylinder/1", *WORN[:5]))
    assert found["bore-size", "cylinder/1", "found"].notes == ("5 of 6 read",)
    assert not found["bore-size", "cylinder/1", "found"].complete
    empty = found["bore-size", "cylinder/4", "found"]
    assert (empty.value, empty.read, empty.planned, empty.formula) == (None, 0, 6, "nothing read")
    assert found["piston-in-bore", "cylinder/1", "found"].value is None
    assert ("gap", "valve/1/in/L", "built") not in found


def test_every_place_of_the_sheet_has_every_size_once() -> None:
    found = sizes(job(), shop())
    keys = [(size.name, size.place, size.epoch) for size in found]
    assert len(keys) == len(set(keys))
    assert {size.name for size in found} == {
        *SHEET.derive,
        *SHEET.fits,
        *("piston-mass", "ring-gap", "housing", "gap", "tip"),
    }
    assert sum(size.name == "gap" for size in found) == 16


def test_the_rise_is_seated_less_found_and_the_zero_cancels() -> None:
    tip = {"part_temp": "20", "gauge_temp": "20"}
    found = by_name(
        reading("tip", "valve/1/in/L", "38.21", id="a", **tip),
        event("seat-recut", "valve/1/in/L"),
        reading("tip", "valve/1/in/L", "38.32", id="b", at="2026-03-09T10:00:00Z",
                epoch="seated", **tip),
    )  # fmt: skip
    rise = found["rise", "valve/1/in/L", "seated"]
    assert rise.value is not None
    assert rise.value.value == pytest.approx(0.11)
    assert rise.formula == "seated 38.32 − found 38.21"
    shared = [part for name, part in rise.value.parts.items() if name.startswith("instrument:")]
    assert shared == [pytest.approx(0.0)]
    assert rise.stale is None
    assert found["tip", "valve/1/in/L", "found"].stale is not None
    assert found["rise", "valve/1/in/R", "seated"].value is None


def test_a_valve_held_open_is_a_size_without_value() -> None:
    size = by_name(feeler("valve/1/in/L", None, "0.04"))["gap", "valve/1/in/L", "found"]
    assert size.value is None
    assert size.below == 0.04
    assert size.readings == ("gap.valve-1-in-L",)


@given(st.integers(0, 10_000))
def test_the_greatest_of_six_is_one_of_the_six(seed: int) -> None:
    readings = [entry for entry in measured(seed % 50) if entry.feature == "bore"]
    size = by_name(*readings)["bore-size", "cylinder/1", "found"]
    assert size.value is not None
    typed = [float(e.typed) for e in readings if e.place == "cylinder/1"]
    assert size.value.value == pytest.approx(max(typed), abs=1e-9)


def test_a_mass_is_in_grams() -> None:
    size = by_name(reading("piston-mass", "cylinder/1", "168.4"))[
        "piston-mass", "cylinder/1", "found"
    ]
    assert size.unit == "g"
    assert size.value is not None
    assert size.value.u == pytest.approx(0.075, rel=0.01)
