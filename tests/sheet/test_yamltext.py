"""YAML read as typed, within bounds, and nothing but Unusable for whatever is thrown at it."""

from __future__ import annotations

import contextlib
import time
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.faults import Unusable
from gudgeon.sheet import yamltext
from gudgeon.sheet.yamltext import DEEPEST, LARGEST_TEXT, MOST_NODES, read_yaml


@pytest.fixture(params=["c", "pure"])
def parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both parsers: the fast one, and the one that is there where the fast one is not."""
    if request.param == "pure":
        monkeypatch.setattr(yamltext, "_Parser", yaml.SafeLoader)
    return str(request.param)


def test_every_scalar_stays_text(parser: str) -> None:
    text = "a: [no, 012, 1:30, 1e3, 81.000, .inf, 2024-01-01, 'null', \"~\", 0x1F, '']"
    assert read_yaml(text, "x").value == {
        "a": ["no", "012", "1:30", "1e3", "81.000", ".inf", "2024-01-01", "null", "~", "0x1F", ""]
    }


def test_blanks_are_none(parser: str) -> None:
    text = "a:\nb: ~\nc: null\nd: {e: , f: NULL}\ng:\n  -\n  - Null\n"
    assert read_yaml(text, "x").value == {
        "a": None,
        "b": None,
        "c": None,
        "d": {"e": None, "f": None},
        "g": [None, None],
    }


def test_places_of_keys_and_values(parser: str) -> None:
    spots = read_yaml("a:\n  bore: 81\n  list: [x,  y]\n", "x").spots
    assert (spots["a", "bore"].line, spots["a", "bore"].column) == (2, 3)
    assert (spots["a", "bore"].value_line, spots["a", "bore"].value_column) == (2, 9)
    assert (spots["a", "list", 1].value_line, spots["a", "list", 1].value_column) == (3, 14)


@pytest.mark.parametrize(
    ("text", "where", "wrong"),
    [
        ("a: &x 1", "1:4", "an anchor &x"),
        ("a: *x", "1:4", "an alias *x"),
        ("*x : 1", "1:1", "an alias *x"),
        ("a: !!int 1", "1:4", "a tag"),
        ("a: ! 1", "1:4", "a tag"),
        ("!!map {a: 1}", "1:1", "a tag"),
        ("a: 1\nb: 2\na: 3", "3:1", "the key 'a' stands here twice, first on line 1"),
        ("<<: {a: 1}", "1:1", "a merge key"),
        ("? \n: 1", "1:2", "a key is blank"),
        ("? [a]\n: 1", "1:3", "a key that is itself a list"),
        ("a: 1\n---\nb: 1", "2:1", "a second document"),
        ("a: [1, 2", "1:4", "a list that is not closed"),
        ("a: {b: 1", "1:4", "a '{' that is not closed"),
        ("a: 'b", "1:4", "a quote that is not closed"),
        ("a:\n\tb: 1", "2:1", "a character that can't stand here"),
        ("a: b: c", "1:5", "a key where none can stand"),
        ("a: ]", "1:4", "a bracket or mark with nothing in it"),
        ("%YAML 9.0\n---\na: 1", "1:1", "a version of YAML"),
        ("a: \x00", "1:4", "a character that no text holds"),
        ("a\nb: \ud800", "2:4", "a character that no text holds"),
    ],
)
def test_what_a_sheet_has_no_use_for_is_refused(
    text: str, where: str, wrong: str, parser: str
) -> None:
    with pytest.raises(Unusable) as caught:
        read_yaml(text, "s.yaml")
    fault = caught.value.faults[0]
    assert fault.where == f"s.yaml:{where}"
    assert fault.wrong.startswith(wrong)
    assert fault.right


def test_every_fault_is_named_at_once() -> None:
    with pytest.raises(Unusable) as caught:
        read_yaml("a: &x 1\na: *x\nb: !!str 2\n<<: 3", "s")
    where = [fault.where for fault in caught.value.faults]
    assert where == ["s:1:4", "s:2:1", "s:2:4", "s:3:4", "s:4:1"]


def test_a_key_that_stands_twice_keeps_the_first_value_out_of_harm() -> None:
    with pytest.raises(Unusable) as caught:
        read_yaml("a: {b: 1}\na: {b: 1, b: 2}", "s")
    assert len(caught.value.faults) == 2


@pytest.mark.parametrize(
    "text",
    [
        "[" * 100_000,
        "{" * 100_000,
        "a: " + "[" * 500 + "]" * 500,
        "- " * 100_000,
        "".join(f"{' ' * depth}a:\n" for depth in range(1000)),
        "a: &a [x]\n" + "b: [*a, *a]\n" * 20_000,
        "x: [" + "1, " * 60_000 + "]",
        "a: " + "'" * 400_001,
        "[" + "a, " * 10 + "[" * 19 + "[",
    ],
    ids=["brackets", "braces", "500-deep", "dashes", "indents", "aliases", "wide", "quotes", "mix"],
)
def test_bombs_end_soon(text: str) -> None:
    started = time.process_time()
    with pytest.raises(Unusable):
        read_yaml(text, "bomb")
    assert time.process_time() - started < 4.0  # of CPU time: a busy machine is no fault


def test_bounds_are_where_they_are_stated(parser: str) -> None:
    deep = "[" * DEEPEST + "]" * DEEPEST
    assert read_yaml(deep, "x").value != []
    with pytest.raises(Unusable, match="20 levels"):
        read_yaml(f"[{deep}]", "x")
    wide = "[" + ",".join(["1"] * (MOST_NODES - 1)) + "]"
    if parser == "c":
        assert len(read_yaml(wide, "x").value) == MOST_NODES - 1
        with pytest.raises(Unusable, match="50,000"):
            read_yaml(f"[{wide}]", "x")
    with pytest.raises(Unusable, match="1024 kB"):
        read_yaml("#" * (LARGEST_TEXT + 1), "x")


_WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=12)
_PLAIN = st.recursive(
    _WORDS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(_WORDS, inner, max_size=4),
    max_leaves=20,
)


def _printable(value: Any) -> bool:
    if isinstance(value, dict):
        return all(_printable(key) and _printable(item) for key, item in value.items())
    if isinstance(value, list):
        return all(_printable(item) for item in value)
    return not yaml.reader.Reader.NON_PRINTABLE.search(value)


@given(_PLAIN.filter(_printable))
def test_what_is_written_comes_back(value: Any) -> None:
    """Text in double quotes, written by the library itself, is read back as it was."""
    text = yaml.safe_dump(value, default_style='"', allow_unicode=True).replace("!!null ", "")
    assert read_yaml(text, "x").value == value


@given(st.text(max_size=200))
def test_no_text_does_anything_but_read_or_be_refused(text: str) -> None:
    with contextlib.suppress(Unusable):
        read_yaml(text, "x")
