"""Every letter a record lets through is one its faces hold."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.record.cautions import CAUTIONS, INVENTED, SHORT
from gudgeon.record.letters import _MORE, _RANGES, STAND_IN, figure_text, printable

EVERY = "".join(chr(code) for low, high in _RANGES for code in range(low, high + 1)) + "".join(
    sorted(_MORE)
)


@given(st.text(max_size=200))
def test_what_comes_out_is_printable_and_stays_so(text: str) -> None:
    once = printable(text)
    assert set(once) <= set(EVERY)
    assert printable(once) == once


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("Łódź Ω 81,003 µm", "Łódź Ω 81,003 µm"),
        ("e\u0301", "é"),
        ("中文 ok", "□□ ok"),
        ("flag \U0001f3c1\ufe0f", "flag □"),
        ("right\u202eto left\u202c", "rightto left"),
        ("a\tb\r\nc\x00d", "a b  cd"),
        ("\ud800 half", " half"),
    ],
)
def test_letters_without_a_glyph_get_a_stand_in(typed: str, printed: str) -> None:
    assert printable(typed) == printed


def test_a_long_text_is_cut_and_says_so() -> None:
    assert printable("x" * 5000).endswith("(cut; the log holds all of it)")
    assert len(figure_text("y" * 500)) < 200


def test_our_own_words_need_no_stand_in() -> None:
    own = " ".join([SHORT, INVENTED, *(word for caution in CAUTIONS for word in caution)])
    assert STAND_IN not in printable(own)
    assert printable(own) == own
