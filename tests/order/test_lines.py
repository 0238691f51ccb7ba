"""Needs come together as lines: nothing lost, nothing counted twice, no shell without a place."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.order.lines import KEEP_POSITIONS, Need, combined, make_order
from gudgeon.order.text import to_csv, to_json, together

needs = st.lists(
    st.builds(
        Need,
        st.sampled_from(["shim", "main-shell, half", "gasket"]),
        st.sampled_from(["1.750", "1.775", "brown"]),
        st.sampled_from(["main/1 upper", "main/2 lower", "valve/1/in/L"]),
        st.none() | st.sampled_from([9.0, 11.5, 0.1]),
        st.sampled_from(["", "picked", "renewed"]),
        st.none() | st.integers(1, 12),
    ),
    max_size=30,
)


@given(needs)
def test_what_is_needed_is_on_order_once(wanted: list[Need]) -> None:
    lines = combined(wanted)
    assert sum(line.count or 0 for line in lines) == sum(need.count or 0 for need in wanted)
    assert len({(i.what, i.size, i.price, i.count is None) for i in lines}) == len(lines)
    for need in wanted:
        (line,) = [
            line
            for line in lines
            if (line.what, line.size, line.price) == (need.what, need.size, need.price)
            and (line.count is None) == (need.count is None)
        ]
        assert need.place in line.places
        assert not need.reason or need.reason in line.reasons


@given(needs)
def test_the_sum_is_that_of_the_priced_lines(wanted: list[Need]) -> None:
    told = make_order("job", "EUR", wanted)
    exact = sum((need.price or 0.0) * (need.count or 0) for need in wanted)
    assert told.total == pytest.approx(exact, abs=0.005 * max(1, len(told.lines)))
    assert told.unpriced == sum(line.price is None for line in told.lines)
    assert any("Price not given" in note for note in told.notes) == (told.unpriced > 0)
    assert told.at_least == any(need.price is None or need.count is None for need in wanted)


def test_a_price_or_a_count_not_stated_is_said_and_left_out_of_the_sum() -> None:
    told = make_order(
        "job",
        "EUR",
        [
            Need("shim", "1.750", "valve/1/in/L", None, "", 1),
            Need("gasket", "", "", 12.0, "", None),
            Need("clip", "", "", 0.5, "", 4),
        ],
    )
    assert told.total == 2.0
    assert together(told) == "at least EUR 2.00"
    assert told.notes == (
        "Price not given: shim 1.750. The sum leaves that out.",
        "How many is not stated: gasket. The sum leaves that out.",
    )
    counts = [row["count"] for row in csv.DictReader(io.StringIO(to_csv(told), newline=""))]
    assert counts == ["1", "?", "4"]
    assert [line["count"] for line in to_json(told)["lines"]] == [1, None, 4]


def test_cents_do_not_drift() -> None:
    told = make_order("job", "", [Need("clip", "", "", 0.1, "", 3)])
    assert told.total == 0.3


def test_a_shell_without_its_position_is_refused() -> None:
    with pytest.raises(ValueError, match="needs the place"):
        Need("main-shell, half", "brown", "", 11.5, "picked", positioned=True)
    with pytest.raises(ValueError, match="no need"):
        Need("gasket", "", "", 1.0, "", 0)


def test_positions_are_asked_for_where_shells_are_bought() -> None:
    shell = Need("main-shell, half", "brown", "main/1 upper", 11.5, "picked", positioned=True)
    assert KEEP_POSITIONS in make_order("job", "EUR", [shell]).notes
    assert make_order("job", "EUR", [Need("gasket", "", "", 1.0, "")]).notes == ()


def test_what_is_worth_having_besides_is_not_in_the_sum() -> None:
    told = make_order(
        "job",
        "EUR",
        [Need("shim", "1.75", "valve/1/in/L", 9.0, "")],
        [Need("shim", "1.775", "valve/1/in/L", 9.0, "bracket")],
    )
    assert told.total == 9.0
    assert len(told.also) == 1
