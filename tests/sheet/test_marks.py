"""Strings of marks, typed in many ways, and the end they are read from."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.faults import Unusable
from gudgeon.sheet.marks import laid_out, reading_end, split_marks

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
    assert split_marks(text, count, "code") == tuple(marks)


def test_marks_of_several_characters() -> None:
    assert split_marks("10, 9, 11", 3, "code") == ("10", "9", "11")
    assert split_marks("A1 A1", 2, "code") == ("A1", "A1")
    assert split_marks("10", 1, "code") == ("10",)


@pytest.mark.parametrize(
    ("text", "count", "said"),
    [
        ("ABBC", 5, "entry 7: 'ABBC' has 4 marks for 5 places, give one character for each"),
        ("A B", 1, "entry 7: 'A B' has 2 marks for 1 place, "),
        ("1,,3", 3, "entry 7: '1,,3' has 2 marks for 3 places, "),
        ("  ", 2, "entry 7: '  ' has 0 marks for 2 places, "),
    ],
)
def test_a_wrong_length_is_said(text: str, count: int, said: str) -> None:
    with pytest.raises(Unusable) as error:
        split_marks(text, count, "entry 7")
    assert fault_of(error).startswith(said)


@pytest.mark.parametrize("last", ["5", "main/5", " 5 "])
@pytest.mark.parametrize("first", ["1", "main/1", None])
def test_the_reading_end(first: str | None, last: str) -> None:
    marks = "21333"
    forwards = dict(zip(MAINS, marks, strict=True))
    backwards = dict(zip(MAINS, reversed(marks), strict=True))
    assert laid_out(marks, MAINS, first, "code") == forwards
    assert laid_out(marks, MAINS, last, "code") == backwards
    assert list(laid_out(marks, MAINS, last, "code")) == MAINS


@pytest.mark.parametrize("start", ["3", "main", "", "drive side"])
def test_a_string_begins_at_one_of_its_ends(start: str) -> None:
    assert reading_end(start, MAINS) is None
    with pytest.raises(Unusable) as error:
        laid_out("21333", MAINS, start, "code")
    assert "can't begin at" in fault_of(error)
    assert "stamped first, 1 or 5" in fault_of(error)


def test_a_string_of_one_place_has_one_end() -> None:
    assert laid_out("B", ["pin/1"], "1", "code") == {"pin/1": "B"}
    assert reading_end("1", []) is None


@given(st.text(max_size=80), st.integers(1, 12))
def test_any_text_gives_marks_or_a_fault(text: str, count: int) -> None:
    with suppress(Unusable):
        marks = split_marks(text, count, "code")
        assert len(marks) == count
        assert all(marks)
