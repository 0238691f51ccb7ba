"""Assignment: exact against brute force and scipy, proved by its potentials, honest when short."""

from __future__ import annotations

import re
from itertools import product
from math import inf
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from gudgeon.fit.assign import (
    OWN,
    Assignment,
    Network,
    Row,
    Shortage,
    assign,
    assign_matrix,
    verify,
)

costs = st.one_of(st.integers(-5, 9).map(float), st.floats(-10, 10))
rows_of = st.lists(
    st.dictionaries(st.integers(0, 5), costs, max_size=5).map(lambda d: list(d.items())),
    min_size=1,
    max_size=5,
)


@st.composite
def instances(draw: st.DrawFn) -> tuple[list[list[tuple[int, float]]], list[float | None]]:
    rows = draw(rows_of)
    own = draw(st.lists(st.none() | costs, min_size=len(rows), max_size=len(rows)))
    return rows, own


def brute(rows: list[list[tuple[int, float]]], own: list[float | None]) -> float:
    """The least cost over every combination; inf when there is none."""
    choices = [
        [*row, *([(-1, price)] if price is not None else [])]
        for row, price in zip(rows, own, strict=True)
    ]
    best = inf
    for picks in product(*choices):
        used = [piece for piece, _ in picks if piece >= 0]
        if len(used) == len(set(used)):
            best = min(best, sum(cost for _, cost in picks))
    return best


@settings(max_examples=400, deadline=None)
@given(instances())
def test_equals_brute_force_or_names_a_shortage(
    instance: tuple[list[list[tuple[int, float]]], list[float | None]],
) -> None:
    rows, own = instance
    answer = assign(rows, own)
    least = brute(rows, own)
    if isinstance(answer, Shortage):
        assert least == inf
        assert len(answer.places) == len(answer.pieces) + 1
        assert all(own[place] is None for place in answer.places)
        served = {piece for place in answer.places for piece, _ in rows[place]}
        assert served == set(answer.pieces)
    else:
        assert answer.cost == pytest.approx(least, abs=1e-9)
        assert verify(rows, own, answer) == ()


def network_of(rows: list[Row]) -> tuple[Network, list[list[float]]]:
    pieces = [[piece for piece, _ in row] for row in rows]
    count = 1 + max((piece for row in pieces for piece in row), default=-1)
    return Network(pieces, count), [[cost for _, cost in row] for row in rows]


@settings(max_examples=300, deadline=None)
@given(instances(), st.integers(0, 2**32))
def test_a_warm_start_changes_nothing_but_the_time(
    instance: tuple[list[list[tuple[int, float]]], list[float | None]], seed: int
) -> None:
    rows, own = instance
    network, first = network_of([*rows])
    prices = [inf if price is None else price for price in own]
    start = network.solve(first, prices)
    if isinstance(start, Shortage):
        return
    shift = Random(seed).uniform
    later = [[cost + shift(-4, 4) for cost in row] for row in first]
    prices = [price + shift(-4, 4) for price in prices]
    warm, cold = network.solve(later, prices, start), network.solve(later, prices)
    assert isinstance(warm, Assignment)
    assert isinstance(cold, Assignment)
    assert warm.cost == pytest.approx(cold.cost, abs=1e-9)
    changed = [
        [(piece, cost) for (piece, _), cost in zip(row, new, strict=True)]
        for row, new in zip(rows, later, strict=True)
    ]
    assert verify(changed, [None if p == inf else p for p in prices], warm) == ()


@pytest.mark.parametrize("shape", [(1, 1), (8, 8), (20, 35), (40, 25), (60, 60)])
@pytest.mark.parametrize("maximise", [False, True])
def test_full_matrices_agree_with_scipy(shape: tuple[int, int], maximise: bool) -> None:
    matrix = np.random.default_rng(sum(shape)).integers(0, 50, shape).astype(float)
    answer = assign_matrix(matrix.tolist(), maximise=maximise)
    picked = linear_sum_assignment(matrix, maximize=maximise)
    assert answer.total == pytest.approx(matrix[picked].sum())
    assert sum(matrix[i, j] for i, j in answer.pairs) == pytest.approx(answer.total)
    assert len({i for i, _ in answer.pairs}) == len({j for _, j in answer.pairs}) == min(shape)
    slack = matrix - np.add.outer(answer.u, answer.v)
    assert (slack <= 1e-9).all() if maximise else (slack >= -1e-9).all()
    assert sum(answer.u) + sum(answer.v) == pytest.approx(answer.total)


def test_a_large_sparse_instance_agrees_with_scipy() -> None:
    random = np.random.default_rng(5)
    full = np.full((60, 240), 1e6)
    rows: list[list[tuple[int, float]]] = []
    for place in range(60):
        picked = random.choice(80, 12, replace=False)
        rows.append([(int(piece), float(random.uniform(0, 9))) for piece in picked])
        for piece, cost in rows[-1]:
            full[place, piece] = cost
        full[place, 180 + place] = 8.0
    answer = assign(rows, [8.0] * 60)
    assert isinstance(answer, Assignment)
    assert answer.cost == pytest.approx(full[linear_sum_assignment(full)].sum())
    assert OWN not in answer.choice or answer.choice.count(OWN) < 60
    assert verify(rows, [8.0] * 60, answer) == ()


TWO: list[list[tuple[int, float]]] = [[(0, 1.0), (1, 4.0)], [(0, 2.0), (1, 9.0)]]


PROVED = Assignment((1, 0), 6.0, (4.0, 5.0), (-3.0, 0.0))


@pytest.mark.parametrize(
    ("claim", "words"),
    [
        (PROVED._replace(choice=(0, 0)), "used twice"),
        (PROVED._replace(choice=(0, 1)), "not on its cheapest"),
        (PROVED._replace(cost=5.0), "do not add up"),
        (PROVED._replace(u=(5.0, 3.0)), "below its potential"),
        (PROVED._replace(v=(1.0, 0.0)), "above 0"),
        (PROVED._replace(v=(-3.0, -1.0)), "below its potential|not on its cheapest|add up"),
    ],
)
def test_verify_refuses_a_false_proof(claim: Assignment, words: str) -> None:
    assert verify(TWO, None, PROVED) == ()
    assert any(re.search(words, fault) for fault in verify(TWO, None, claim))


def test_no_places_cost_nothing() -> None:
    assert assign([]) == Assignment((), 0.0, (), ())


@pytest.mark.parametrize(
    ("rows", "own"),
    [
        ([[(0, inf)]], None),
        ([[(-1, 1.0)]], None),
        ([[(0, 1.0)]], []),
        ([[(0, 1.0)]], [float("nan")]),
    ],
)
def test_refuses_costs_it_cannot_add(
    rows: list[list[tuple[int, float]]], own: list[float | None] | None
) -> None:
    with pytest.raises(ValueError, match=r"want|must"):
        assign(rows, own)


def test_refuses_a_ragged_matrix() -> None:
    with pytest.raises(ValueError, match="rectangle"):
        assign_matrix([[1.0], [1.0, 2.0]])
