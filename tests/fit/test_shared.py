"""Least expected cost under shared errors: brackets the brute-force optimum, and closes."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, log
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.fit.test_expected import every_plan

from gudgeon.fit.assign import Shortage
from gudgeon.fit.expected import Option, least_expected_cost
from gudgeon.fit.joint import Forecast, chance_alone, joint_chance
from gudgeon.fit.shared import SharedOption, SharedPlan, best_under_sharing

Places = list[list[SharedOption]]


def head(valves: int, spare: int, seed: int, feel: float, sources: int = 1) -> Places:
    """A head's options with one hand's feel in every gap; all numbers invented."""
    random = Random(seed)
    pieces = [random.uniform(1.2, 2.2) for _ in range(spare)]
    series = [(1.2 + 0.025 * k, random.choice([6.5, 9.0, 12.0])) for k in range(41)]
    places: Places = []
    for valve in range(valves):
        wanted = random.uniform(1.2, 2.2)
        common = {f"feel {k}": random.uniform(0.5, 1.0) * feel for k in range(sources)}
        row = []
        stock = [(k, size, 0.0) for k, size in enumerate(pieces)]
        for piece, size, price in stock + [(None, size, price) for size, price in series]:
            if abs(wanted - size) < 0.03:
                parts = common | {f"own {valve}": hypot(0.010, 0.006, 0.004)}
                if piece is not None:
                    parts["micrometer"] = 0.002
                row.append(SharedOption(piece, price, Forecast(wanted - size, -0.03, 0.03, parts)))
        places.append(row)
    return places


def expected(places: Places, choice: tuple[int, ...], redo: float) -> float:
    taken = [row[k] for row, k in zip(places, choice, strict=True)]
    return sum(o.cost for o in taken) + redo * (1 - joint_chance([o.forecast for o in taken]).all)


def log_chance(forecast: Forecast) -> float:
    return log(chance_alone(forecast))


def plans_of(places: Places) -> list[tuple[int, ...]]:
    return every_plan([[Option(o.piece, o.cost, -1.0) for o in row] for row in places])


def check(places: Places, redo: float) -> None:
    """The bracket holds the least cost over all plans, and the plan is at its upper end."""
    plans = plans_of(places)
    answer = best_under_sharing(places, redo, effort=400)
    if not plans:
        assert isinstance(answer, Shortage)
        return
    assert isinstance(answer, SharedPlan)
    assert answer.choice in plans
    rounding = 2 * redo * (answer.error + 2e-6) + 1e-6  # of the plan, and of what it is held to
    assert answer.cost == pytest.approx(expected(places, answer.choice, redo), abs=1e-9)
    least = min(expected(places, choice, redo) for choice in plans)
    assert answer.lower_bound <= least + rounding
    assert answer.cost <= least + 0.05 + rounding
    assert answer.gap <= 0.05 + rounding


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("feel", [0.003, 0.006, 0.015])
def test_brackets_brute_force_on_a_small_head(feel: float, seed: int) -> None:
    check(head(4, 25, seed, feel), 600.0)


options = st.builds(
    lambda piece, cost, off, feel, mic, own: SharedOption(
        piece,
        cost,
        Forecast(off, -0.03, 0.03, {"feel": feel, "mic": mic, "own": own}),
    ),
    st.none() | st.integers(0, 3),
    st.sampled_from([0.0, 4.0, 9.0, 12.0]),
    st.floats(-0.035, 0.035),
    st.floats(-0.012, 0.012),
    st.sampled_from([0.0, 0.0, 0.003, -0.003]),
    st.floats(0.004, 0.02),
)


def own(place: int, option: SharedOption) -> SharedOption:
    """The option with the rest of its error belonging to its place alone."""
    parts = dict(option.forecast.parts)
    parts[f"own {place}"] = parts.pop("own")
    return replace(option, forecast=replace(option.forecast, parts=parts))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.lists(options, min_size=1, max_size=3), min_size=1, max_size=4))
def test_brackets_brute_force(places: Places) -> None:
    check([[own(place, o) for o in row] for place, row in enumerate(places)], 400.0)


def test_without_common_errors_it_is_the_plain_problem() -> None:
    places = [
        [
            SharedOption(o.piece, o.cost, replace(o.forecast, parts={f"own {place}": 0.013}))
            for o in row
        ]
        for place, row in enumerate(head(16, 40, 2, 0.006))
    ]
    plain = least_expected_cost(
        [[Option(o.piece, o.cost, log_chance(o.forecast)) for o in row] for row in places], 600.0
    )
    answer = best_under_sharing(places, 600.0)
    assert isinstance(answer, SharedPlan)
    assert not isinstance(plain, Shortage)
    assert answer.cost == pytest.approx(plain.cost, abs=1e-6)
    assert answer.gap < 1e-3


@pytest.mark.parametrize("sources", [1, 2, 4])
@pytest.mark.parametrize("spare", [0, 40])
def test_sixteen_valves_have_an_honest_gap(spare: int, sources: int) -> None:
    """Nothing tried at random is cheaper than the bound says is possible."""
    places, random = head(16, spare, 5, 0.006 / sources, sources), Random(1)
    answer = best_under_sharing(places, 600.0)
    assert isinstance(answer, SharedPlan)
    assert answer.lower_bound <= answer.cost
    assert answer.gap <= 0.02 * answer.cost
    for _ in range(60 if sources < 3 else 5):
        choice = list(answer.choice)
        for place in random.sample(range(16), random.randint(1, 3)):
            choice[place] = random.randrange(len(places[place]))
        used = [row[k].piece for row, k in zip(places, choice, strict=True)]
        shared = [piece for piece in used if piece is not None]
        if len(shared) == len(set(shared)):
            assert expected(places, tuple(choice), 600.0) >= answer.lower_bound - 600 * 1e-4


def test_sharing_can_change_the_choice() -> None:
    """Two places that miss to the same side together are better than two that miss apart."""
    parts = {"feel": 0.02, "own": 0.0}
    low, high = Forecast(-0.01, -0.03, 0.03, parts), Forecast(0.011, -0.03, 0.03, parts)
    places = [
        [SharedOption(None, 1.0, low)],
        [SharedOption(None, 1.0, low), SharedOption(None, 0.0, high)],
    ]
    answer = best_under_sharing(places, 100.0)
    assert isinstance(answer, SharedPlan)
    assert answer.choice == (0, 0)
    apart = least_expected_cost(
        [[Option(None, o.cost, log_chance(o.forecast)) for o in row] for row in places], 100.0
    )
    assert not isinstance(apart, Shortage)
    assert apart.choice == (0, 1)


def test_a_shortage_is_named_and_nothing_costs_nothing() -> None:
    only = head(1, 0, 1, 0.006)[0][0]
    shim = SharedOption(7, 0.0, only.forecast)
    assert best_under_sharing([[shim], [shim]], 10.0) == Shortage((0, 1), (7,))
    empty = best_under_sharing([], 10.0)
    assert isinstance(empty, SharedPlan)
    assert (empty.choice, empty.cost, empty.chance) == ((), 0.0, 1.0)


def test_ties_go_to_the_preferred() -> None:
    forecast = Forecast(0.0, -0.03, 0.03, {"feel": 0.01, "own": 0.01})
    row = [SharedOption(0, 0.0, forecast, 1.0), SharedOption(1, 0.0, forecast, 0.0)]
    answer = best_under_sharing([row, [SharedOption(None, 0.0, forecast)]], 100.0)
    assert isinstance(answer, SharedPlan)
    assert answer.choice == (1, 0)


def test_a_chance_of_nothing_is_refused() -> None:
    never = SharedOption(None, 0.0, Forecast(9.0, -0.03, 0.03, {"own": 0.01}))
    with pytest.raises(ValueError, match="want above 0"):
        best_under_sharing([[never]], 10.0)
