"""Numbers as typed: what is read, what is refused, and that nothing typed is lost."""

from __future__ import annotations

import pickle
from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.numbers import (
    LENGTH_UNITS,
    Length,
    NotANumber,
    read_decimal,
    read_length,
    read_volume,
    read_whole,
    shown,
    split_unit,
)

#: The units whose names an independent units library shares.
NAMES = {"mm": "mm", "cm": "cm", "m": "m", "um": "um", "in": "inch", "thou": "thou"}
numbers = st.decimals(-1000, 1000, allow_nan=False, allow_infinity=False, places=4)


@given(numbers, st.sampled_from(sorted(NAMES)))
def test_a_length_agrees_with_an_independent_library(number: Decimal, unit: str) -> None:
    """Reference: pint's registry (independent library), to rounding."""
    if abs(number) > 100 and unit == "m":
        number /= 10
    mine = read_length(f"{number} {unit}")
    theirs = (float(number) * pint.get_application_registry()(NAMES[unit])).to("mm").magnitude
    assert float(mine) == pytest.approx(theirs, rel=1e-12, abs=1e-12)


@given(numbers, st.sampled_from(sorted(LENGTH_UNITS)))
def test_a_length_goes_there_and_back(number: Decimal, unit: str) -> None:
    length = read_length(f"{number} {unit}")
    assert read_decimal(length.typed) == number
    assert length.unit == unit
    assert float(Decimal(repr(float(length))) / LENGTH_UNITS[unit]) == pytest.approx(float(number))


@given(numbers)
def test_comma_and_point_say_the_same(number: Decimal) -> None:
    assert read_decimal(str(number).replace(".", ",")) == read_decimal(str(number)) == number


@pytest.mark.parametrize("text", ["81.000", "0,05", "1.8901", "-0.02", "1e-3", ".5"])
def test_what_was_typed_is_kept(text: str) -> None:
    assert read_length(text).typed == text


@pytest.mark.parametrize(
    "text",
    ["", "nan", "inf", "1e308", "1,234.5", "1.2.3", "0x10", "12:30", "no", "1_000", "٣", "1" * 40],
)
def test_what_is_no_number_is_refused_with_a_remedy(text: str) -> None:
    with pytest.raises(NotANumber) as refused:
        read_decimal(text)
    assert refused.value.wrong
    assert refused.value.right


@pytest.mark.parametrize("text", ["1.85 tenths", "1.85 fathom", "1.85 kg", "mm"])
def test_a_unit_that_is_none_of_length_is_refused(text: str) -> None:
    with pytest.raises(NotANumber):
        read_length(text)


def test_a_minus_sign_of_any_shape_is_read() -> None:
    assert read_decimal("−0.020") == read_decimal("-0.020")


def test_volumes_and_whole_numbers() -> None:
    assert read_volume("0.599 l") == pytest.approx(599.0)
    assert read_whole("12", 1, 20) == 12
    with pytest.raises(NotANumber):
        read_whole("1.5")
    with pytest.raises(NotANumber):
        read_volume("599 kg")


def test_shown_text_is_cut_and_harmless() -> None:
    assert shown("a" * 100) == f"'{'a' * 40}…'"
    assert "\x1b" not in shown("\x1b[2J")


def test_a_length_survives_copying() -> None:
    length = Length(1.85, "1.850")
    copied = pickle.loads(pickle.dumps(length))
    assert (copied, copied.typed, copied.decimals) == (1.85, "1.850", 3)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        split_unit(text)
        read_length(text)
    except NotANumber:
        pass


@pytest.mark.parametrize("text", ["8l.000", "1.8O5", "1O5", "1.8S0 mm"])
def test_letters_among_digits_are_called_so(text: str) -> None:
    with pytest.raises(NotANumber, match="has letters among its digits"):
        read_length(text)


@pytest.mark.parametrize("text", ["4cm3", "4in2", "4 furlongs", "12 x3"])
def test_a_unit_that_is_none_is_not_taken_for_letters(text: str) -> None:
    with pytest.raises(NotANumber, match="is not a unit of length"):
        read_length(text)


@pytest.mark.parametrize("text", ["1e308", "-1e400", "1e999999", "2.5E+310", "1000001"])
def test_what_is_far_too_large_is_called_so(text: str) -> None:
    with pytest.raises(NotANumber, match="is far too large"):
        read_decimal(text)
