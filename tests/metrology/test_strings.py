"""The test of a string of marks from both ends, on invented and on simulated numbers."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.metrology.strings import Spot, reversed_string

CASE = {"A": (36.000, 36.006), "B": (36.006, 36.012), "C": (36.012, 36.018)}
CRANK = {"1": (32.994, 33.000), "2": (32.988, 32.994), "3": (32.982, 32.988)}


def test_housings_of_the_worked_example_cannot_settle_it() -> None:
    sizes = [Spot(x, 0.004) for x in (36.003, 36.008, 36.013, 36.015, 36.004)]
    test = reversed_string([CASE[mark] for mark in "ABBCA"], sizes)
    assert test.forward == pytest.approx(0.0625)
    assert test.backward == pytest.approx(1.6, abs=0.05)
    assert test.odds == pytest.approx(2.1, abs=0.15)
    assert test.says.startswith("too weak to tell")
    assert test.posterior < 0.5


@given(st.text("123", min_size=2, max_size=7), st.integers(0, 1000))
def test_turning_the_string_round_turns_the_odds_round(marks: str, seed: int) -> None:
    chance = random.Random(seed)
    sizes = [Spot(chance.uniform(32.980, 33.002), 0.002) for _ in marks]
    one = reversed_string([CRANK[m] for m in marks], sizes, "smaller", 0.001)
    other = reversed_string([CRANK[m] for m in reversed(marks)], sizes, "smaller", 0.001)
    assert one.testable == other.testable == (marks != marks[::-1])
    assert one.odds * other.odds == pytest.approx(1.0, rel=1e-6)


@pytest.mark.parametrize("wear", [0.0, 0.004])
def test_right_strings_are_seldom_called_wrong_and_wrong_ones_mostly_found(wear: float) -> None:
    chance = random.Random(11)
    wrong = missed = 0
    for _ in range(300):
        marks = "".join(chance.choice("123") for _ in range(5))
        zero = chance.gauss(0, 0.001)
        sizes = [
            Spot(
                chance.uniform(*CRANK[m])
                - (chance.expovariate(1 / wear) if wear else 0.0)
                + zero
                + chance.gauss(0, 0.0012),
                0.0015,
            )
            for m in marks
        ]
        right = reversed_string([CRANK[m] for m in marks], sizes, "smaller", 0.001)
        turned = reversed_string([CRANK[m] for m in reversed(marks)], sizes, "smaller", 0.001)
        wrong += right.posterior >= 0.5
        missed += turned.testable and turned.odds > 1.0
    assert wrong <= 6
    assert missed <= 30


def test_a_shared_zero_error_is_no_evidence() -> None:
    sizes = [Spot(x + 0.006, 0.001) for x in (32.991, 32.997, 32.985)]
    ranges = [CRANK[m] for m in "213"]
    fitted = reversed_string(ranges, sizes, None, 0.006)
    assert fitted.forward < reversed_string(ranges, sizes).forward / 5


def test_what_is_not_measured_or_has_no_range_does_not_count() -> None:
    sizes = [Spot(32.991, 0.002), None, Spot(32.985, 0.002)]
    test = reversed_string([CRANK["2"], CRANK["1"], CRANK["3"]], sizes)
    assert test.testable
    assert test.odds > 1
    nothing = reversed_string([CRANK["2"], None, None], sizes)
    assert not nothing.testable
    with pytest.raises(ValueError, match="3 marks"):
        reversed_string([CRANK["2"]] * 3, sizes[:2])
