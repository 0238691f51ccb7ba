"""Quantities as typed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.calc.quantities import read_quantity
from gudgeon.faults import Unusable


@pytest.mark.parametrize(
    ("text", "value", "u"),
    [
        ("1.850", 1.85, None),
        ("1,850", 1.85, None),
        ("1.850 mm", 1.85, None),
        ("1.850mm", 1.85, None),
        ("4 in", 101.6, None),
        ("−0.02", -0.02, None),
        ("1.850 +- 0.003 mm", 1.85, 0.003),
        ("1.850mm +- 0.003", 1.85, 0.003),
        ("1.850 ± 3 um", None, None),
        ("1.850 mm ± 3 um", 1.85, 0.003),
        ("1.850+-0.003", 1.85, 0.003),
        ("1.850 +/- 0.003", 1.85, 0.003),
        ("(1,850 ± 0,003) mm", 1.85, 0.003),
        ("0.05 in +- 0.001", 1.27, 0.0254),
        ("1.85e-1", 0.185, None),
    ],
)
def test_a_length_is_read(text: str, value: float | None, u: float | None) -> None:
    found = read_quantity(text, "length", "--x")
    if value is None:  # the unit after the uncertainty stands for both where there is one only
        assert (found.value, found.u) == (0.00185, 0.003)
    else:
        assert (found.value, found.u) == (value, u)


def test_an_uncertainty_of_a_temperature_is_a_difference() -> None:
    found = read_quantity("68 +- 1.8 degF", "temperature", "--x")
    assert found.value == 20.0
    assert found.u == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "not a number"),
        ("nan", "not a number"),
        ("inf", "not a number"),
        ("1e308", "far too large"),
        ("1e99", "far too large"),
        ("1.2.3", "more than one|not a number"),
        ("1,234.5", "more than one decimal mark"),
        ("twelve", "not a number"),
        ("1.850 +- 0.003 +- 0.1", "two"),
        ("1.850 +- -0.003", "below 0"),
        ("1.850 +-", "not a number"),
        ("+- 0.003", "not a number"),
        ("1.850 kg", "a mass where a length belongs"),
        ("1.850 mm +- 0.003 kg", "a mass where a length belongs"),
        ("9" * 500, "number"),
    ],
)
def test_nonsense_is_refused_with_its_place(text: str, part: str) -> None:
    with pytest.raises(Unusable, match=part) as caught:
        read_quantity(text, "length", "--old")
    assert all(fault.where == "--old" and fault.right for fault in caught.value.faults)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        found = read_quantity(text, "length", "--x")
    except Unusable:
        return
    assert abs(found.value) < 1e10


def test_what_was_typed_is_kept() -> None:
    assert str(read_quantity("1,850", "length", "--x")) == "1.850"
    assert read_quantity("1.850", "length", "--x").decimals == 3
    assert str(read_quantity("0.05 in", "length", "--x")) == "1.27"
    assert read_quantity("0.05 in", "length", "--x").decimals is None
    assert read_quantity("0.05 in +- 0.001", "length", "--x").as_json() == {
        "value": 1.27, "unit": "mm", "u": 0.0254, "typed": "0.05 in",
    }  # fmt: skip
