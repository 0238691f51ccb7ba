"""Gaps as intervals between two blades."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.metrology.engine import feeler, job, reading, shop

from gudgeon.faults import Fault
from gudgeon.metrology.blades import Blades, blades
from gudgeon.metrology.instruments import Owned
from gudgeon.metrology.kinds import KINDS
from gudgeon.metrology.readings import read_all

SET = Owned("feeler", KINDS["feeler"])


def felt(goes: str | None, wont: str | None, feel: str | None = None, unit: str = "mm") -> Blades:
    found = blades(goes, wont, feel, unit, SET, "e")
    assert isinstance(found, Blades)
    return found


@given(st.integers(3, 60), st.integers(1, 10))
def test_the_gap_lies_midway_and_half_the_interval_over_root_three_is_uncertain(
    low: int, step: int
) -> None:
    found = felt(f"{low / 100:.2f}", f"{(low + step) / 100:.2f}")
    assert found.value is not None
    assert found.value.value == pytest.approx((2 * low + step) / 200)
    rectangle = step / 200 / math.sqrt(3)
    assert found.value.u == pytest.approx(math.hypot(rectangle, 0.006))
    assert round(found.value.value, found.decimals) == pytest.approx(found.value.value)


def test_a_worked_gap() -> None:
    """0.13 goes, 0.15 will not: 0.14 ± 0.01, not 0.13. Blades of a thou: 5 and 6 thou."""
    assert felt("0.13", "0.15").value == felt("0,13", "0,15").value
    inch = felt("5", "6", unit="thou").value
    assert inch is not None
    assert inch.value == pytest.approx(0.1397)


def test_one_blade_says_less() -> None:
    free, drags = felt("0.13", None).value, felt("0.13", None, "drag").value
    both = felt("0.13", "0.15").value
    assert free is not None
    assert drags is not None
    assert both is not None
    assert drags.value == 0.13
    assert free.value == pytest.approx(0.14)
    assert free.u == pytest.approx(both.u)
    assert "only the blade that goes" in felt("0.13", None).notes[0]
    assert felt("0.13", "0.13").value is not None


def test_no_gap_is_a_bound_and_no_number() -> None:
    shut = felt(None, "0.04")
    assert shut.value is None
    assert shut.below == 0.04
    assert "held open" in shut.notes[0]
    assert felt("0", None).below == 0.0


@pytest.mark.parametrize(
    ("goes", "wont", "wrong"),
    [
        ("0.15", "0.13", "the thicker one"),
        (None, None, "no blade is named"),
        ("-0.05", None, "has no thickness"),
        ("x", "0.1", "not a number"),
        ("0.1 furlong", None, "not a unit"),
    ],
)
def test_blades_that_cannot_be(goes: str | None, wont: str | None, wrong: str) -> None:
    found = blades(goes, wont, None, "mm", SET, "e")
    assert isinstance(found, Fault)
    assert wrong in found.wrong
    assert found.right


def test_repeats_average_the_hand_but_neither_the_feel_nor_the_blades() -> None:
    entries = [feeler("valve/1/in/L", "0.13", "0.15", id=f"g{n}", attempt=n) for n in (1, 2, 3, 4)]
    one = read_all(job(entries[0]), shop()).values("gap", "valve/1/in/L")[()]
    four = read_all(job(*entries), shop()).values("gap", "valve/1/in/L")[()]
    assert one.value == pytest.approx(four.value)
    feel, step, hand = 0.004, 0.01 / math.sqrt(3), 0.012 / 2 * math.sqrt(5 / 9)
    assert one.u == pytest.approx(math.hypot(feel, step, hand))
    assert four.u == pytest.approx(math.hypot(feel, step, hand / 2))


def test_two_valves_share_the_feel_alone() -> None:
    table = read_all(
        job(feeler("valve/1/in/L", "0.13", "0.15"), feeler("valve/1/in/R", "0.13", "0.15")), shop()
    )
    left, right = (table.values("gap", f"valve/1/in/{side}")[()] for side in "LR")
    assert left.covariance(right) == pytest.approx(0.004**2)


def test_a_gap_typed_as_one_number_is_a_blade_that_drags() -> None:
    value = read_all(job(reading("gap", "valve/1/in/L", "0.14")), shop()).values(
        "gap", "valve/1/in/L"
    )[()]
    assert value.value == 0.14
    assert value.u > 0.006
