"""One way to write each entry, strict reading, and chains that show what is missing."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.log.helpers import AT

from gudgeon.faults import Unusable
from gudgeon.log.canon import canonical, check_chain, entry_hash, last_of, parse, tips

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
FLAT = st.dictionaries(TEXT, TEXT | st.integers(-99, 99) | st.none() | st.booleans(), max_size=5)


@given(FLAT)
def test_what_is_written_is_read_again_and_written_the_same(value: dict[str, object]) -> None:
    body = canonical(value)
    assert parse(body, "x") == value
    assert canonical(parse(body, "x")) == body


@given(FLAT)
def test_the_order_of_keys_and_spaces_make_no_difference(value: dict[str, object]) -> None:
    loose = json.dumps(dict(reversed(value.items())), indent=2, ensure_ascii=True)
    assert canonical(parse(loose, "x")) == canonical(value)


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ('{"a": NaN}', "'NaN' is not a number"),
        ('{"a": -Infinity}', "'-Infinity' is not a number"),
        ('{"a": 1e999}', "'1e999' is far too large"),
        (f'{{"a": {"9" * 5000}}}', f"'{'9' * 40}…' is far too large"),
        ('{"a": 1, "a": 2}', "the key 'a' stands twice"),
        ("[" * 100_000, "brackets too deep"),
        ('{"a":' * 100_000, "brackets too deep"),
        ('{"a": "\\ud800"}', "half a character (a lone surrogate)"),
        ("[1]", "'[1]' is not an entry"),
        ("7", "'7' is not an entry"),
        ('{"a": "b', "the line is cut off"),
        ('{"a":', "the line is cut off"),
        ('{"a" 1}', "this is not JSON (Expecting ':' delimiter)"),
        ("", "the line is cut off"),
    ],
)
def test_what_json_allows_and_an_entry_does_not(text: str, wrong: str) -> None:
    with pytest.raises(Unusable) as refused:
        parse(text, "log:3")
    (fault,) = refused.value.faults
    assert fault.wrong == wrong
    assert fault.where.startswith("log:3")
    assert fault.right


def test_a_surrogate_pair_is_one_character() -> None:
    assert parse('{"a": "\\ud83d\\udd27"}', "x") == {"a": "\N{WRENCH}"}


def chain(device: str, count: int, prev: str | None = None) -> list[str]:
    """Entries of one device, each naming the one before."""
    bodies = []
    for number in range(count):
        entry = {"id": f"{device}{number}", "at": AT, "device": device, "kind": "note"}
        bodies.append(canonical(entry if prev is None else entry | {"prev": prev}))
        prev = entry_hash(bodies[-1])
    return bodies


def test_a_whole_chain_has_no_fault_in_any_order() -> None:
    bodies = chain("a", 5) + chain("b", 3)
    assert check_chain(bodies) == check_chain(reversed(bodies)) == ()
    assert tips(bodies) == {entry_hash(bodies[4]), entry_hash(bodies[7])}
    assert last_of(bodies, "a") == entry_hash(bodies[4])
    assert last_of(bodies, "c") is None


@pytest.mark.parametrize("gone", [0, 1, 3])
def test_a_missing_entry_shows_at_the_one_after_it(gone: int) -> None:
    bodies = chain("a", 5)
    (fault,) = check_chain(bodies[:gone] + bodies[gone + 1 :])
    assert fault.where == f"a{gone + 1}"
    assert "missing" in fault.wrong


@pytest.mark.parametrize("changed", range(4))
def test_an_altered_entry_shows_at_the_one_after_it(changed: int) -> None:
    bodies = chain("a", 5)
    bodies[changed] = bodies[changed].replace('"note"', '"mote"')
    (fault,) = check_chain(bodies)
    assert fault.where == f"a{changed + 1}"


def test_an_entry_of_another_device_is_no_link() -> None:
    first = chain("a", 1)
    (fault,) = check_chain(first + chain("b", 1, prev=entry_hash(first[0])))
    assert (fault.where, fault.wrong) == ("b0", "names an entry of 'a' as the one before it")


def test_two_copies_written_to_and_merged_are_whole() -> None:
    common = chain("a", 2)
    here = chain("a", 1, prev=entry_hash(common[1]))
    there = [body.replace('"a0"', '"x0"') for body in here]
    assert check_chain(common + here + there) == ()
