"""Strings of marks against their reversal."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gudgeon.metrology.class_likelihood import HOUSING, JOURNAL, Band, log_density
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.priors import SHOWN_FROM, chance
from gudgeon.metrology.strings import ENOUGH, StringTest, chi_square_odds, reversed_string

CASE = {"A": Band(36.000, 36.006), "B": Band(36.006, 36.012), "C": Band(36.012, 36.018)}
CRANK = {"1": Band(32.994, 33.000), "2": Band(32.988, 32.994), "3": Band(32.982, 32.988)}
HOUSINGS = (36.003, 36.008, 36.013, 36.015, 36.004)
JOURNALS = (32.991, 32.996, 32.981, 32.992, 32.997)


def _measured(values: tuple[float, ...], u: float, zero: float = 0.0) -> list[Measured]:
    return [Measured(v, {f"read {i}": u, "zero": zero}) for i, v in enumerate(values)]


def test_the_envelope_sum() -> None:
    """An invented engine: the crank's string is settled, the case's is not."""
    assert chi_square_odds("21321", CRANK, JOURNALS, 0.002) == pytest.approx(26.0, abs=0.6)
    assert chi_square_odds("ABBCA", CASE, HOUSINGS, 0.004) == pytest.approx(2.2, abs=0.1)


def test_the_likelihood_agrees_on_what_can_be_told() -> None:
    crank = reversed_string("21321", CRANK, _measured(JOURNALS, 0.002), JOURNAL)
    assert crank.verdict == "fits as read"
    assert crank.odds > 10.0
    case = reversed_string("ABBCA", CASE, _measured(HOUSINGS, 0.004), HOUSING)
    assert case.verdict == "too weak to tell"
    assert 1.0 < case.odds < 10.0
    assert case.used == 2


def test_a_string_read_from_the_wrong_end_is_found() -> None:
    test = reversed_string("12312", CRANK, _measured(JOURNALS, 0.002), JOURNAL)
    assert test.verdict == "fits better from the other end"
    assert test.turned
    assert test.text == f"fits better from the other end: odds {test.figure}"


def test_a_palindrome_cannot_be_told() -> None:
    test = reversed_string("21312", CRANK, _measured(JOURNALS, 0.002), JOURNAL)
    assert (test.verdict, test.log_odds) == ("can't be told", 0.0)
    assert "photo" in test.text


def test_nothing_measured_tells_nothing() -> None:
    for sizes in ([None] * 5, [None, None, Measured.of(32.981, 0.002, "r"), None, None]):
        test = reversed_string("21321", CRANK, sizes, JOURNAL)
        assert (test.verdict, test.used) == ("too weak to tell", 0)
        assert "no measured place" in test.text
    no_range = reversed_string("12", {"1": None, "2": None}, _measured((33.0, 33.0), 1.0), JOURNAL)
    assert no_range.used == 0


@settings(deadline=None)
@given(
    st.lists(st.sampled_from("123"), min_size=2, max_size=6),
    st.integers(0, 2**32 - 1),
    st.sampled_from([0.0, 0.001, 0.003]),
)
def test_reversal_is_symmetric(marks: list[str], seed: int, zero: float) -> None:
    rng = np.random.default_rng(seed)
    values = tuple(float(v) for v in rng.uniform(32.975, 33.005, len(marks)))
    sizes = _measured(values, 0.002, zero)
    read = reversed_string(marks, CRANK, sizes, JOURNAL)
    other = reversed_string(marks[::-1], CRANK, sizes, JOURNAL)
    assert read.log_odds == pytest.approx(-other.log_odds, abs=1e-9)
    mirrored = reversed_string(marks[::-1], CRANK, sizes[::-1], JOURNAL)
    assert read.log_odds == pytest.approx(mirrored.log_odds, abs=1e-9)


def test_a_common_zero_error_does_not_mislead() -> None:
    """The zero error moves all places together; the order of the classes still shows."""
    rng = np.random.default_rng(7)
    wrong = right = 0
    for _ in range(150):
        zero = rng.normal(0.0, 0.005)
        true = [rng.uniform(*CRANK[mark]) for mark in "21323"]
        values = tuple(float(v + zero + rng.normal(0.0, 0.0012)) for v in true)
        test = reversed_string("21323", CRANK, _measured(values, 0.0012, 0.005), JOURNAL)
        right += test.verdict == "fits as read"
        wrong += test.verdict == "fits better from the other end"
    assert wrong <= 1
    assert right > 100


def test_averaging_over_the_zero_error_is_exact() -> None:
    """Against many draws of the zero error."""
    sizes = _measured(JOURNALS, 0.0015, 0.002)
    rng = np.random.default_rng(9)

    def average(marks: str) -> float:
        total = []
        for z in rng.normal(0.0, 0.002, 4000):
            moved = _measured(tuple(v - float(z) for v in JOURNALS), 0.0015)
            logs = [
                log_density(size.value, size.u, CRANK[mark], JOURNAL)
                for size, mark in zip(moved, marks, strict=True)
            ]
            total.append(np.exp(sum(logs)))
        return float(np.log(np.mean(total)))

    expected = average("21321") - average("12312")
    got = reversed_string("21321", CRANK, sizes, JOURNAL).log_odds
    assert got == pytest.approx(expected, abs=0.1)


def test_what_is_asked_is_likelier_than_not() -> None:
    """The odds that make a verdict and the chance from which a question is shown are one."""
    at_the_verdict = StringTest("fits better from the other end", -math.log(ENOUGH), 5)
    assert at_the_verdict.posterior >= SHOWN_FROM
    assert StringTest("too weak to tell", -math.log(8.9), 5).posterior < SHOWN_FROM
    assert StringTest("can't be told", 0.0, 0).posterior == pytest.approx(chance("string-end"))


@pytest.mark.parametrize("wear", [0.0, 0.004])
def test_right_strings_are_seldom_called_wrong_and_wrong_ones_mostly_found(wear: float) -> None:
    """With worn journals and the micrometer's zero error, at what the tool claims of it."""
    rng = np.random.default_rng(11)
    wrong = missed = 0
    for _ in range(300):
        marks = [str(mark) for mark in rng.choice(list("123"), 5)]
        zero = rng.normal(0.0, 0.001)
        values = tuple(
            float(rng.uniform(*CRANK[m]) - rng.exponential(wear or 1e-12) + zero)
            + float(rng.normal(0.0, 0.0012))
            for m in marks
        )
        sizes = _measured(values, 0.0015, 0.001)
        right = reversed_string(marks, CRANK, sizes, JOURNAL)
        turned = reversed_string(marks[::-1], CRANK, sizes, JOURNAL)
        wrong += right.turned
        missed += turned.verdict != "can't be told" and turned.log_odds > 0.0
    assert wrong <= 6
    assert missed <= 30
