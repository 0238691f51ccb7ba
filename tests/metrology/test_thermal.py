"""Readings brought to 20 °C, part and gauge; gaps left alone."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.metrology.engine import feeler, job, reading, shop

from gudgeon.metrology.readings import read_all
from gudgeon.metrology.temperature import to_reference
from gudgeon.metrology.thermal import celsius


def piston(part: str | None, gauge: str | None, **settings: str) -> tuple[float, float, list[str]]:
    entry = reading("piston", "cylinder/1", "57.970", part_temp=part, gauge_temp=gauge)
    named = {key.replace("_", "-"): value for key, value in settings.items()}
    at = read_all(job(entry), shop(settings=named)).at("piston", "cylinder/1")[()]
    assert at.value is not None
    return at.value.value, at.value.u, list(at.notes)


@given(st.floats(5, 60), st.floats(10, 30))
def test_part_and_gauge_are_both_corrected(part: float, gauge: float) -> None:
    value, _, notes = piston(f"{part:.2f}", f"{gauge:.2f}")
    expected = to_reference(57.970, 23.1e-6, round(part, 2), 11.5e-6, round(gauge, 2)).value
    assert value == pytest.approx(expected, abs=1e-9)
    assert notes == []


def test_without_temperatures_nothing_is_corrected_and_the_doubt_is_counted() -> None:
    value, u, notes = piston(None, None)
    assert value == pytest.approx(57.970, abs=1e-12)
    assert "20 ± 5 °C" in notes[0]
    shop_part = 57.970 * (23.1e-6 - 11.5e-6) * 5 / math.sqrt(3)
    soaked = 57.970 * 23.1e-6 * 1.0
    _, sure, _ = piston("20", "20")
    assert u == pytest.approx(math.sqrt(sure**2 + shop_part**2 + soaked**2), rel=0.03)


def test_a_shop_temperature_that_is_set_corrects() -> None:
    value, _, _ = piston(None, None, shop_temperature="30", shop_temperature_spread="1")
    assert value == pytest.approx(to_reference(57.970, 23.1e-6, 30, 11.5e-6, 30).value)


@pytest.mark.parametrize(
    ("part", "gauge", "like"),
    [("24", None, ("24", "24")), (None, "24", ("24", "24")), ("45", None, ("45", "20"))],
)
def test_one_temperature_stands_for_both_where_they_soaked(
    part: str | None, gauge: str | None, like: tuple[str, str]
) -> None:
    value, u, notes = piston(part, gauge)
    same, sure, _ = piston(*like)
    assert value == pytest.approx(same, abs=1e-9)
    assert u > 0.9 * sure  # two thermometers err apart, one temperature taken for both does not
    assert "was not written down" in notes[0]


def test_a_gap_a_flatness_and_a_mass_are_never_corrected() -> None:
    warm = {"part_temp": "60", "gauge_temp": "10"}
    table = read_all(
        job(
            feeler("valve/1/in/L", "0.13", "0.15", part_temp="60"),
            reading("piston-mass", "cylinder/1", "168.4", **warm),
        ),
        shop(),
    )
    assert table.values("gap", "valve/1/in/L")[()].value == pytest.approx(0.14)
    assert table.values("piston-mass", "cylinder/1")[()].value == pytest.approx(168.4)


@pytest.mark.parametrize(
    ("typed", "expected"), [("24", 24.0), ("24,5 °C", 24.5), ("50 F", 10.0), ("", None)]
)
def test_temperatures_as_people_write_them(typed: str, expected: float | None) -> None:
    assert celsius(typed, "here", []) == pytest.approx(expected)


@pytest.mark.parametrize("typed", ["hot", "20 K", "400", "-80"])
def test_temperatures_that_cannot_be_are_told_and_left_out(typed: str) -> None:
    entry = reading("piston", "cylinder/1", "57.970", part_temp=typed)
    table = read_all(job(entry), shop())
    assert len(table.faults) == 1
    assert table.faults[0].where == f"entry {entry.id}"
    assert table.values("piston", "cylinder/1")
