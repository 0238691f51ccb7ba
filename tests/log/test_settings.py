"""The machinery of settings: what is in force, and what can't be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.log.settings import Known, in_force
from gudgeon.numbers import NotANumber

NUMBER = Known("2", "a number", 1.0, 4.0)
WORD = Known("one", "a word", choices=("one", "other", "third"))
TABLE = {"number": NUMBER, "word": WORD}


def test_the_job_goes_before_the_shop_and_the_shop_before_the_default() -> None:
    assert in_force(TABLE, {}, {}).numbers == {"number": 2.0}
    assert in_force(TABLE, {}, {"number": "3"}).numbers == {"number": 3.0}
    held = in_force(TABLE, {"number": "2,5", "word": " Other "}, {"number": "3"})
    assert (held.numbers, held.words) == ({"number": 2.5}, {"word": "other"})
    assert held.typed == {"number": "2,5", "word": " Other "}
    assert not held.faults


def test_what_would_be_right_is_said() -> None:
    assert NUMBER.right == "set a number from 1 to 4"
    assert WORD.right == "set one, other or third"


@pytest.mark.parametrize("typed", ["0.999", "4.001", "two", "nan", "inf", "", "1e400", "1 2"])
def test_a_number_outside_its_bounds_is_none(typed: str) -> None:
    with pytest.raises(NotANumber) as error:
        NUMBER.number(typed)
    assert error.value.right == NUMBER.right


@given(st.text(max_size=60), st.text(max_size=60))
def test_whatever_was_set_something_is_in_force(number: str, word: str) -> None:
    held = in_force(TABLE, {"number": number}, {"word": word})
    assert 1.0 <= held.numbers["number"] <= 4.0
    assert held.words["word"] in WORD.choices
    for fault in held.faults:
        name = fault.where.removeprefix("setting ")
        assert held.typed[name] == TABLE[name].default
        assert fault.right == TABLE[name].right
