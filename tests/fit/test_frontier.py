"""The frontier of purchases: exact against brute force at every count."""

from __future__ import annotations

from itertools import pairwise
from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.fit.test_expected import Places, every_plan, head, places_of

from gudgeon.fit.assign import Shortage
from gudgeon.fit.expected import Option
from gudgeon.fit.frontier import best_within, frontier


def bought(places: Places, choice: tuple[int, ...]) -> int:
    return sum(row[k].piece is None for row, k in zip(places, choice, strict=True))


def log_p(places: Places, choice: tuple[int, ...]) -> float:
    return sum(row[k].log_p for row, k in zip(places, choice, strict=True))


@settings(max_examples=500, deadline=None)
@given(places_of)
def test_equals_brute_force_at_every_count(places: Places) -> None:
    steps = frontier(places)
    best: dict[int, float] = {}
    for choice in every_plan(places):
        count = bought(places, choice)
        best[count] = max(best.get(count, -1e9), log_p(places, choice))
    if isinstance(steps, Shortage):
        assert not best
        assert len(steps.places) == len(steps.pieces) + 1
        return
    assert [step.bought for step in steps] == sorted(best)
    for step in steps:
        assert step.log_p == pytest.approx(best[step.bought], abs=1e-9)
        assert step.log_p == pytest.approx(log_p(places, step.choice), abs=1e-9)
        taken = [row[k] for row, k in zip(places, step.choice, strict=True)]
        assert step.money == pytest.approx(sum(option.cost for option in taken))
        assert bought(places, step.choice) == step.bought
        assert step.choice in every_plan(places)


@settings(max_examples=200, deadline=None)
@given(places_of, st.integers(0, 5))
def test_at_most_so_many(places: Places, most: int) -> None:
    steps = frontier(places)
    allowed = [
        log_p(places, choice) for choice in every_plan(places) if bought(places, choice) <= most
    ]
    step = None if isinstance(steps, Shortage) else best_within(steps, most)
    if not allowed:
        assert step is None
    else:
        assert step is not None
        assert step.bought <= most
        assert step.log_p == pytest.approx(max(allowed), abs=1e-9)


@pytest.mark.parametrize("spare", [0, 10, 40, 300])
def test_a_whole_head_is_convex(spare: int) -> None:
    places = head(16, spare, 21)
    steps = frontier(places)
    assert not isinstance(steps, Shortage)
    counts = [step.bought for step in steps]
    assert counts == list(range(counts[0], 17))
    rises = [b.log_p - a.log_p for a, b in pairwise(steps)]
    assert all(later <= earlier + 1e-9 for earlier, later in pairwise(rises))


def test_buying_nothing_comes_first_where_the_pieces_go_round() -> None:
    shims = [Option(0, 0.0, log(0.5)), Option(1, 0.0, log(0.6)), Option(None, 9.0, log(0.9))]
    steps = frontier([shims, shims])
    assert not isinstance(steps, Shortage)
    assert [(step.bought, step.money) for step in steps] == [(0, 0.0), (1, 9.0), (2, 18.0)]
    assert [step.chance for step in steps] == pytest.approx([0.30, 0.54, 0.81])


def test_a_shortage_is_named() -> None:
    assert frontier([[Option(3, 0.0, -1.0)], [Option(3, 0.0, -1.0)]]) == Shortage((0, 1), (3,))
    assert frontier([[]]) == Shortage((0,), ())
    assert best_within((), 3) is None


def test_a_worked_head_needs_four_new_shims() -> None:
    """Eight valves, their own eight shims, nothing in the drawer: four must be bought.

    An invented example, worked by hand: the inlets' shims serve the exhausts.
    """
    wanted = [1.740, 1.775, 1.745, 1.740, 1.890, 1.820, 1.885, 1.865]
    pulled = [1.850, 1.875, 1.825, 1.900, 1.950, 1.900, 1.975, 1.925]
    places = [
        [
            *(
                Option(number, 0.0, -abs(size - shim))
                for number, shim in enumerate(pulled)
                if abs(size - shim) <= 0.03 + 1e-9
            ),
            Option(None, 9.0, -0.01),
        ]
        for size in wanted
    ]
    steps = frontier(places)
    assert not isinstance(steps, Shortage)
    fewest = steps[0]
    assert (fewest.bought, fewest.money) == (4, 36.0)
    taken = [row[k].piece for row, k in zip(places, fewest.choice, strict=True)]
    assert taken[:4] == [None] * 4
    assert sorted(piece for piece in taken if piece is not None) == [0, 1, 2, 3]
