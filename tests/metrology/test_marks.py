"""Marks of shims by each rule."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.metrology.marks import decode
from gudgeon.sheet.select import Marking


@pytest.mark.parametrize(
    ("mark", "rule", "expected"),
    [
        ("178", "quarters", 1.775),
        ("172", "quarters", 1.725),
        ("170", "quarters", 1.700),
        ("175", "quarters", 1.750),
        ("65", "quarters", 1.65),
        ("68", "quarters", 1.675),
        ("177", "quarters", None),
        ("175", "hundredths", 1.75),
        ("75", "hundredths", 1.75),
        ("1775", "thousandths", 1.775),
        ("1,775", "millimetres", 1.775),
        ("x", "millimetres", None),
        ("-1", "millimetres", None),
        ("A5", "quarters", None),
        ("", "hundredths", None),
        ("1", "hundredths", None),
        ("١٧٥", "hundredths", None),
    ],
)
def test_each_rule(mark: str, rule: Marking, expected: float | None) -> None:
    assert decode(mark, rule) == expected


@given(st.integers(48, 128))
def test_every_size_of_a_series_comes_back_from_its_mark(step: int) -> None:
    microns = step * 25
    tenths, rest = divmod(microns, 100)
    mark = f"{tenths}{ {0: 0, 25: 2, 50: 5, 75: 8}[rest] }".replace(" ", "")
    assert decode(mark, "quarters") == pytest.approx(microns / 1000)


def test_two_digits_take_the_millimetre_of_the_series() -> None:
    assert decode("65", "quarters", 2.30, 3.20) == 2.65
    assert decode("45", "hundredths", 2.30, 3.50) == 2.45
