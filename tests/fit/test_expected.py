"""Least expected cost: exact against brute force, and proved on large cases by other means."""

from __future__ import annotations

from itertools import product
from math import exp, expm1, inf, log
from random import Random
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp
from scipy.sparse import csr_array

from gudgeon.fit.assign import Shortage
from gudgeon.fit.expected import TOLERANCE, Option, Plan, least_expected_cost

Places = list[list[Option]]

money = st.sampled_from([0.0, 4.0, 6.5, 9.0, 9.0, 12.0]) | st.floats(-3, 30)
chances = st.sampled_from([0.5, 0.8, 0.9, 0.999]) | st.floats(1e-9, 1.0)
options = st.builds(
    lambda piece, cost, chance, tie: Option(piece, cost, log(chance), tie),
    st.none() | st.integers(0, 4),
    money,
    chances,
    st.sampled_from([0.0, 0.0, 1.0, 2.5]),
)
places_of = st.lists(st.lists(options, max_size=5), max_size=5)
redos = st.sampled_from([0.0, 5.0, 40.0, 600.0]) | st.floats(0, 5000)


def expected(places: Places, choice: tuple[int, ...], redo: float) -> float:
    taken = [row[k] for row, k in zip(places, choice, strict=True)]
    return sum(o.cost for o in taken) - redo * expm1(sum(o.log_p for o in taken))


def every_plan(places: Places) -> list[tuple[int, ...]]:
    plans = []
    for choice in product(*(range(len(row)) for row in places)):
        used = [row[k].piece for row, k in zip(places, choice, strict=True)]
        shared = [piece for piece in used if piece is not None]
        if len(shared) == len(set(shared)):
            plans.append(choice)
    return plans


def ties_of(places: Places, choice: tuple[int, ...]) -> float:
    return sum(row[k].tie for row, k in zip(places, choice, strict=True))


def rounding(places: Places, redo: float) -> float:
    return TOLERANCE * (
        1 + redo + sum(max((abs(o.cost) for o in row), default=0) for row in places)
    )


@settings(max_examples=300, deadline=None)
@given(places_of, redos)
def test_equals_brute_force(places: Places, redo: float) -> None:
    plans = every_plan(places)
    answer = least_expected_cost(places, redo)
    if isinstance(answer, Shortage):
        assert not plans
        assert len(answer.places) == len(answer.pieces) + 1
        rows = [places[place] for place in answer.places]
        assert {option.piece for row in rows for option in row} == set(answer.pieces)
        return
    least = min(expected(places, choice, redo) for choice in plans)
    small = rounding(places, redo)
    assert answer.choice in plans
    assert answer.cost == pytest.approx(expected(places, answer.choice, redo), abs=small)
    assert answer.cost <= least + 1e-4 + small
    assert answer.lower_bound <= least + small
    assert answer.cost - answer.lower_bound <= 1e-4 + small
    best_tie = min(
        ties_of(places, choice)
        for choice in plans
        if expected(places, choice, redo) <= least + 1e-13
    )
    spread = sum(max(o.tie for o in row) - min(o.tie for o in row) for row in places)
    assert ties_of(places, answer.choice) <= best_tie + spread * small / 1e-4


@settings(max_examples=300, deadline=None)
@given(places_of, redos)
def test_without_ties_the_gap_is_rounding_only(places: Places, redo: float) -> None:
    bare = [[Option(o.piece, o.cost, o.log_p) for o in row] for row in places]
    answer = least_expected_cost(bare, redo)
    if isinstance(answer, Plan):
        least = min(expected(bare, choice, redo) for choice in every_plan(bare))
        assert abs(answer.cost - least) <= rounding(bare, redo)
        assert abs(answer.cost - answer.lower_bound) <= rounding(bare, redo)


def head(valves: int, spare: int, seed: int, *, bought: bool = True) -> Places:
    """A head's options: spare shims, and new ones at mixed prices; all numbers invented."""
    random = Random(seed)
    normal = NormalDist()
    pieces = [(random.uniform(1.2, 2.2), random.choice([0.002, 0.004])) for _ in range(spare)]
    series = [(1.2 + 0.025 * k, random.choice([6.5, 9.0, 12.0])) for k in range(41)]
    places: Places = []
    for _ in range(valves):
        wanted, u = random.uniform(1.2, 2.2), random.uniform(0.009, 0.015)
        row = []
        stock = [(k, t, v, 0.0) for k, (t, v) in enumerate(pieces)]
        for piece, size, v, price in stock + [(None, t, 0.004, c) for t, c in series if bought]:
            off, spread = wanted - size, (u * u + v * v) ** 0.5
            tight = normal.cdf((-0.03 - off) / spread)
            chance = normal.cdf((0.03 - off) / spread) - tight
            if chance > 1e-6:
                row.append(Option(piece, price + 150 * tight, log(chance)))
        places.append(row)
    return places


def at_rates(places: Places, rates: list[float]) -> list[float]:
    """The least money + rate * L over all assignments, by scipy."""
    count = 1 + max((o.piece for row in places for o in row if o.piece is not None), default=-1)
    levels = []
    for rate in rates:
        full = np.full((len(places), count + len(places)), 1e9)
        for i, row in enumerate(places):
            for option in row:
                j = count + i if option.piece is None else option.piece
                full[i, j] = min(full[i, j], option.cost - rate * option.log_p)
        levels.append(float(full[linear_sum_assignment(full)].sum()))
    return levels


@pytest.mark.parametrize("redo", [30.0, 600.0, 5000.0])
@pytest.mark.parametrize("spare", [0, 10, 40, 300])
def test_large_cases_are_proved_by_scipy(spare: int, redo: float) -> None:
    """No (money, L) that scipy's supporting lines allow is cheaper than the plan found.

    The lines at rates from 0 to redo enclose all plans; along each the cost is concave, so it is
    least where two lines cross (before the first crossing it falls, after the last it rises).
    """
    places = head(16, spare, spare + 7)
    answer = least_expected_cost(places, redo)
    assert isinstance(answer, Plan)
    assert answer.cost - answer.lower_bound <= rounding(places, redo)
    rates = np.linspace(0.0, redo, 401)
    levels = np.array(at_rates(places, rates.tolist()))
    corners = np.diff(levels) / np.diff(rates)  # L where neighbouring lines cross
    possible = float((levels[:-1] - rates[:-1] * corners - redo * np.expm1(-corners)).min())
    assert possible <= answer.cost + 1e-6
    assert answer.cost - possible <= 1e-3 * (1 + answer.cost)
    tangent = redo * exp(answer.log_p)
    assert answer.money - tangent * answer.log_p == pytest.approx(
        at_rates(places, [tangent])[0], abs=1e-6
    )
    for vertex in answer.vertices:
        assert expected(places, vertex.choice, redo) >= answer.cost - 1e-6


@pytest.mark.parametrize("spare", [10, 300])
def test_no_random_change_improves_a_large_plan(spare: int) -> None:
    places, random = head(16, spare, 3), Random(4)
    answer = least_expected_cost(places, 600.0)
    assert isinstance(answer, Plan)
    for _ in range(4000):
        choice = list(answer.choice)
        for place in random.sample(range(16), random.randint(1, 4)):
            choice[place] = random.randrange(len(places[place]))
        used = [row[k].piece for row, k in zip(places, choice, strict=True)]
        shared = [piece for piece in used if piece is not None]
        if len(shared) == len(set(shared)):
            assert expected(places, tuple(choice), 600.0) >= answer.lower_bound - 1e-9


def test_the_whole_problem_agrees_with_highs() -> None:
    """HiGHS under a cap on L, swept: the least over caps brackets the plan's cost."""
    places, redo = head(8, 12, 11), 400.0
    answer = least_expected_cost(places, redo)
    assert isinstance(answer, Plan)
    flat = [(i, o) for i, row in enumerate(places) for o in row]
    pieces = sorted({o.piece for _, o in flat if o.piece is not None})
    once = csr_array([[float(i == place) for i, _ in flat] for place in range(8)])
    each = csr_array([[float(o.piece == piece) for _, o in flat] for piece in pieces])
    loss = np.array([-o.log_p for _, o in flat])

    def cheapest(cap: float) -> float:
        found = milp(
            [o.cost for _, o in flat],
            integrality=np.ones(len(flat)),
            bounds=Bounds(0, 1),
            constraints=[
                LinearConstraint(once, 1, 1),
                LinearConstraint(each, 0, 1),
                LinearConstraint(loss[None, :], 0, cap),
            ],
            options={"mip_rel_gap": 0.0},
        )
        return float(found.fun) if found.success else inf

    caps = [0.05 * k for k in range(1, 41)]
    found = [cheapest(cap) for cap in caps]
    at_most = min(b - redo * expm1(-cap) for b, cap in zip(found, caps, strict=True))
    below = [0.0, *caps[:-1]]
    at_least = min(b - redo * expm1(-cap) for b, cap in zip(found, below, strict=True))
    assert at_least - 1e-6 <= answer.cost <= at_most + 1e-6
    assert cheapest(-answer.log_p + 1e-9) == pytest.approx(answer.money, abs=1e-6)


def test_a_purchase_is_taken_only_where_it_pays() -> None:
    shim, new = Option(0, 0.0, log(0.6)), Option(None, 9.0, log(0.9))
    cheap = least_expected_cost([[shim, new]], 20.0)
    dear = least_expected_cost([[shim, new]], 40.0)
    assert isinstance(cheap, Plan)
    assert isinstance(dear, Plan)
    assert (cheap.choice, dear.choice) == ((0,), (1,))
    assert dear.cost == pytest.approx(9.0 + 4.0)
    assert dear.chance == pytest.approx(0.9)


def test_ties_go_to_the_preferred_and_are_never_worth_money() -> None:
    tight, loose = Option(0, 0.0, log(0.9), 1.0), Option(1, 0.0, log(0.9), 0.0)
    answer = least_expected_cost([[tight, loose]], 100.0)
    assert isinstance(answer, Plan)
    assert answer.choice == (1,)
    dearer = Option(1, 0.001, log(0.9), -1e9)
    answer = least_expected_cost([[tight, dearer]], 100.0)
    assert isinstance(answer, Plan)
    assert answer.choice == (0,)


def test_a_place_without_options_is_named() -> None:
    fine = [Option(None, 1.0, 0.0)]
    assert least_expected_cost([fine, [], fine], 10.0) == Shortage((1,), ())


def test_a_shortage_names_pieces_by_the_callers_numbers() -> None:
    only = [Option(41, 0.0, -0.1)]
    fine = [Option(None, 1.0, 0.0), Option(7, 0.0, 0.0)]
    assert least_expected_cost([only, fine, only], 10.0) == Shortage((0, 2), (41,))


def test_no_places_cost_nothing() -> None:
    answer = least_expected_cost([], 10.0)
    assert isinstance(answer, Plan)
    assert (answer.choice, answer.cost, answer.log_p) == ((), 0.0, 0.0)


@pytest.mark.parametrize(
    ("option", "redo", "tie_worth"),
    [
        (Option(0, inf, -1.0), 1.0, 0.0),
        (Option(0, 0.0, -1.0, inf), 1.0, 0.0),
        (Option(0, 0.0, 0.1), 1.0, 0.0),
        (Option(0, 0.0, -inf), 1.0, 0.0),
        (Option(0, 0.0, float("nan")), 1.0, 0.0),
        (Option(0, 0.0, -1.0), -1.0, 0.0),
        (Option(0, 0.0, -1.0), inf, 0.0),
        (Option(0, 0.0, -1.0), 1.0, -1.0),
    ],
)
def test_refuses_what_it_cannot_weigh(option: Option, redo: float, tie_worth: float) -> None:
    with pytest.raises(ValueError, match=r"want|infinite"):
        least_expected_cost([[option]], redo, tie_worth=tie_worth)
