"""Changing a sheet's text: every other byte stays, and the result reads as it was meant."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gudgeon.cli.demo import sheet_texts
from gudgeon.faults import Unusable
from gudgeon.sheet.edit import Change, change
from gudgeon.sheet.edit.flow import one_line
from gudgeon.sheet.starters import Choice, shims_only, starter
from gudgeon.sheet.yamltext import Path, read_yaml

TEXTS = {
    **{name: sheet_texts()[name] for name in ("triple.yaml", "twin.yaml")},
    "starter": starter(Choice("v2", gear="rocker-screw")),
    "shims": shims_only(Choice()),
}


def leaves(value: Any, path: Path = ()) -> list[Path]:
    """Every path with one value, or none, behind it."""
    if isinstance(value, dict):
        return [found for key, item in value.items() for found in leaves(item, (*path, key))]
    if isinstance(value, list):
        return [found for place, item in enumerate(value) for found in leaves(item, (*path, place))]
    return [path]


def at(value: Any, path: Path) -> Any:
    """What stands at a path."""
    for key in path:
        value = value[key]
    return value


def changed_lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines of each that the other has not, without what both begin and end with."""
    a, b = before.splitlines(), after.splitlines()
    while a and b and a[0] == b[0]:
        a, b = a[1:], b[1:]
    while a and b and a[-1] == b[-1]:
        a, b = a[:-1], b[:-1]
    return a, b


@pytest.mark.parametrize("name", TEXTS)
def test_every_value_is_set_and_made_blank_where_it_stands(name: str) -> None:
    """One line of the file at the most is another, and its comment is still there."""
    text = TEXTS[name]
    raw = read_yaml(text, name).value
    paths = leaves(raw)
    assert len(paths) > 20
    for path in paths[:: max(1, len(paths) // 25)]:
        for value in ("2.2874 in", "a: b # c", None):
            after = change(text, [Change(path, value)])
            assert at(read_yaml(after, name).value, path) == value
            old, new = changed_lines(text, after)
            assert len(old) <= 1, (path, value)
            assert len(new) <= 1, (path, value)
            if old and " # " in old[0]:
                assert new[0].endswith(old[0].partition(" # ")[2])


@pytest.mark.parametrize("name", TEXTS)
def test_setting_what_stands_there_changes_no_byte(name: str) -> None:
    """Saving without a change is no change."""
    text = TEXTS[name]
    raw = read_yaml(text, name).value
    same = [Change(path, at(raw, path)) for path in leaves(raw)[::9]]
    assert change(text, same) == text


def test_a_value_blank_again_leaves_the_file_as_it_was() -> None:
    """Typed and taken back: a starter is byte for byte what it was."""
    text = TEXTS["shims"]
    for path in leaves(read_yaml(text, "x").value):
        if at(read_yaml(text, "x").value, path) is None and isinstance(path[-1], str):
            once = change(text, [Change(path, "1.5")])
            assert change(once, [Change(path, None)]) == text, path


def test_a_blank_is_filled_without_a_space_too_many() -> None:
    """In brackets and out of them, before a comment, a comma, a brace."""
    text = "a: {min: , max: }\nb: # c\nd:   # e\nf:\ng: [{h: , i: }]\n"
    paths: list[Path] = [("a", "min"), ("a", "max"), ("b",), ("d",), ("f",), ("g", 0, "i")]
    after = change(text, [Change(path, "1") for path in paths])
    assert after == "a: {min: 1, max: 1}\nb: 1 # c\nd: 1   # e\nf: 1\ng: [{h: , i: 1}]\n"
    assert change(after, [Change(path, None) for path in paths]) == text


def test_keys_that_are_not_there_are_made_with_what_they_stand_in() -> None:
    """Deep paths make groups on the way, short by nature in brackets."""
    text = "sheet: 1 # one\nunit: mm\nfeatures:\n  gap: {at: valve, kind: gap}\n# end\n"
    after = change(
        text,
        [
            Change(("features", "gap", "new", "max"), "0.2"),
            Change(("features", "bore", "at"), "engine"),
            Change(("features", "bore", "new", "min"), "58.000"),
            Change(("features", "bore", "new", "max"), "58.010"),
            Change(("select", "shims", "window", "in", "min"), "0.11"),
            Change(("renew",), {"what": "gasket", "count": "1"}, "add"),
            Change(("renew",), {"what": "seal: front"}, "add"),
        ],
    )
    assert after == (
        "sheet: 1 # one\nunit: mm\nfeatures:\n"
        "  gap: {at: valve, kind: gap, new: {max: 0.2}}\n"
        "  bore:\n    at: engine\n    new: {min: 58.000, max: 58.010}\n"
        "select:\n  shims:\n    window: {in: {min: 0.11}}\n"
        'renew: [{what: gasket, count: 1}, {what: "seal: front"}]\n'
        "# end\n"
    )


def test_entries_are_taken_out_with_their_lines() -> None:
    """What held the last entry alone is blank."""
    text = (
        "a: 1\nfits:\n  one: # first\n    hole: a\n    shaft: b\n  two: {hole: c, shaft: d}\nb: 2\n"
    )
    once = change(text, [Change(("fits", "one"), kind="drop")])
    assert once == "a: 1\nfits:\n  two: {hole: c, shaft: d}\nb: 2\n"
    assert change(once, [Change(("fits", "two"), kind="drop")]) == "a: 1\nfits:\nb: 2\n"
    inline = "m: {A: [1, 2], B: [2, 3], C: ~}\n"
    assert change(inline, [Change(("m", "B"), kind="drop")]) == "m: {A: [1, 2], C: ~}\n"
    assert change(inline, [Change(("m", "C"), kind="drop")]) == "m: {A: [1, 2], B: [2, 3]}\n"


def test_line_breaks_stay_as_the_file_has_them() -> None:
    """A file from another system keeps its own."""
    after = change("sheet: 1\r\nfits:\r\n  a:\r\n    hole: x\r\nunit: mm\r\n",
                   [Change(("fits", "a", "shaft"), "y"), Change(("currency",), "EUR")])  # fmt: skip
    assert after == (
        "sheet: 1\r\nfits:\r\n  a:\r\n    hole: x\r\n    shaft: y\r\nunit: mm\r\ncurrency: EUR\r\n"
    )


@pytest.mark.parametrize(
    "text",
    ["a: |\n  long\n  text\nb: 1\n", "a: >\n  x\n\nb: 1", "a: 'x''y'\nb: 1\n", "a:\n- 1\nb: 1"],
)
def test_other_ways_of_writing_are_read_and_left(text: str) -> None:
    """Block texts, quotes, lists at the edge."""
    raw = read_yaml(text, "x").value
    after = change(text, [Change(("b",), "2"), Change(("c",), "3")])
    assert read_yaml(after, "x").value == {**raw, "b": "2", "c": "3"}
    again = change(text, [Change(("a",), "new: one")])
    assert read_yaml(again, "x").value == {"a": "new: one", "b": "1"}


def test_a_path_through_a_value_is_refused() -> None:
    """And nothing is changed."""
    with pytest.raises(Unusable, match="can't be changed"):
        change("a: 1\n", [Change(("a", "b"), "2")])
    with pytest.raises(Unusable, match="can't be changed"):
        change("a: [1]\n", [Change(("a", 4), "2")])


plain = st.text(
    st.characters(blacklist_categories=["Cs", "Cc"], blacklist_characters="\ufeff\ufffe\uffff")
)
values = st.recursive(
    st.none() | plain,
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(plain.filter(bool), inner, max_size=4)
    ),
    max_leaves=8,
)  # fmt: skip


@given(values)
@settings(max_examples=300, deadline=None)
def test_what_is_written_in_one_line_is_read_back(value: Any) -> None:
    """Whatever it is."""
    assert read_yaml("a: " + one_line(value), "x").value == {"a": value}


@given(st.sampled_from(["shims", "triple.yaml"]), st.data())
@settings(max_examples=60, deadline=None)
def test_whatever_is_typed_is_read_back_and_all_else_stays(name: str, data: st.DataObject) -> None:
    """Any text, in any place of any sheet."""
    text = TEXTS[name]
    raw = read_yaml(text, name).value
    path = data.draw(st.sampled_from(leaves(raw)))
    value = data.draw(plain)
    after = read_yaml(change(text, [Change(path, value)]), name).value
    assert at(after, path) == value
