"""Strings of marks, typed in many ways, and the end they are read from."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.faults import Unusable
from gudgeon.fit.marks import placed, tokens

MAINS = [f"main/{number}" for number in range(1, 6)]


def fault_of(error: pytest.ExceptionInfo[Unusable]) -> str:
    return str(error.value.faults[0])


@pytest.mark.parametrize(
    ("text", "count", "marks"),
    [
        ("ABBCA", 5, "ABBCA"),
        (" A B,B; C  A ", 5, "ABBCA"),
        ("2 1321", 5, "21321"),
        ("A-C", 3, "A-C"),
        ("A – C", 3, "A-C"),
        ("AB", 2, "AB"),
        ("B", 1, "B"),
    ],
)
def test_one_character_each_or_separated(text: str, count: int, marks: str) -> None:
    assert tokens(text, count, "code") == tuple(marks)


def test_marks_of_several_characters() -> None:
    assert tokens("10, 9, 11", 3, "code") == ("10", "9", "11")
    assert tokens("A1 A1", 2, "code") == ("A1", "A1")
    assert tokens("10", 1, "code") == ("10",)


@pytest.mark.parametrize(
    ("text", "count", "said"),
    [
        ("ABBC", 5, "entry 7: 'ABBC' reads as 4 marks: A B B C, there must be 5"),
        ("A B", 1, "entry 7: 'A B' reads as 2 marks: A B, there must be 1"),
        ("1,,3", 3, "entry 7: '1,,3' reads as 2 marks: 1 3, there must be 3"),
        ("  ", 2, "entry 7: '  ' reads as 0 marks: none, there must be 2"),
    ],
)
def test_a_wrong_length_is_said(text: str, count: int, said: str) -> None:
    with pytest.raises(Unusable) as error:
        tokens(text, count, "entry 7")
    assert fault_of(error).startswith(said)


def test_the_reading_end() -> None:
    marks = tuple("21333")
    forwards = dict(zip(MAINS, marks, strict=True))
    backwards = dict(zip(MAINS, reversed(marks), strict=True))
    assert placed(marks, MAINS, "1", "code") == placed(marks, MAINS, None, "code") == forwards
    assert placed(marks, MAINS, "5", "code") == placed(marks, MAINS, "main/5", "code") == backwards
    assert list(placed(marks, MAINS, "5", "code")) == MAINS
    with pytest.raises(Unusable) as error:
        placed(marks, MAINS, "3", "code")
    assert "neither end" in fault_of(error)
    assert "reads-from: 1 or 5" in fault_of(error)


@given(st.text(max_size=80), st.integers(1, 12))
def test_any_text_gives_marks_or_a_fault(text: str, count: int) -> None:
    with suppress(Unusable):
        marks = tokens(text, count, "code")
        assert len(marks) == count
        assert all(marks)
