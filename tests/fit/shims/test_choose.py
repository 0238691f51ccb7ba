"""Choosing shims. Sizes are invented: these test arithmetic and legality, never truth."""

from __future__ import annotations

from typing import Final

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gudgeon.fit.settings import Money
from gudgeon.fit.shims.advice import checking, measure_again, sum_text
from gudgeon.fit.shims.choose import Choice, choose, to_buy
from gudgeon.fit.shims.pieces import shelf
from gudgeon.fit.shims.valves import (
    BEDDING,
    Fitted,
    ShimReadings,
    Valve,
    held_open,
    valves,
)
from gudgeon.metrology.measured import Measured
from gudgeon.sheet.layout import build_places
from gudgeon.sheet.select import Shims

PLACES: Final = build_places(
    {"cylinder": "2", "valve": {"each": "cylinder", "in": ["L", "R"], "ex": ["L", "R"]}}
)
#: place -> old shim, clearance before, rise: the eight valves of the trade's worked swap.
SWAP: Final = {
    "valve/1/in/L": (1.850, 0.14, 0.11),
    "valve/1/in/R": (1.875, 0.12, 0.08),
    "valve/2/in/L": (1.825, 0.15, 0.09),
    "valve/2/in/R": (1.900, 0.10, 0.12),
    "valve/1/ex/L": (1.950, 0.22, 0.06),
    "valve/1/ex/R": (1.900, 0.19, 0.05),
    "valve/2/ex/L": (1.975, 0.23, 0.10),
    "valve/2/ex/R": (1.925, 0.20, 0.04),
}
MONEY: Final = Money(reopen=300.0, tight=0.0, guarded=False, shim_tolerance=0.0, dry_u=0.008)


def spec(**more: object) -> Shims:
    return Shims.model_validate(
        {
            "window": {"in": ["0.11", "0.17"], "ex": ["0.19", "0.25"]},
            "aim": {"in": "0.14", "ex": "0.22"},
            "series": [{"from": "1.200", "to": "2.200", "step": "0.025", "price": "9"}],
            **more,
        }
    )


def readings(u: float = 0.001, swap: dict[str, tuple[float, float, float]] = SWAP) -> ShimReadings:
    return ShimReadings(
        gaps={(p, "found"): Measured(c, {f"gap {p}": u}) for p, (_, c, _) in swap.items()},
        shims={
            (p, "found"): Fitted(f"e-{p}", Measured(s, {f"shim {p}": u, "zero": u}))
            for p, (s, _, _) in swap.items()
        },
        rises={p: Measured(r, {f"rise {p}": u}) for p, (_, _, r) in swap.items()},
        estimates={},
        recut={},
    )


def run(u: float = 0.001, money: Money = MONEY, bedding: tuple[float, float] = (0, 0)) -> Choice:
    found, faults = valves(PLACES, spec(), readings(u))
    assert not faults
    pulled = {place: fitted for (place, _), fitted in readings(u).shims.items()}
    return choose(found, shelf(spec(), found, pulled, (), 0.0), money, bedding)


def test_the_worked_swap_buys_four_and_moves_the_inlet_shims_to_the_exhausts() -> None:
    choice = run()
    bought = {p.place for p in choice.picks if p.taken.shim.bought}
    assert bought == {p for p in SWAP if "/in/" in p}
    assert [(s.label, n) for s, n, _ in to_buy(choice.picks)] == [("1.750", 3), ("1.775", 1)]
    moved = {p.place: p.taken.shim for p in choice.picks if not p.taken.shim.bought}
    assert {place: shim.label for place, shim in moved.items()} == {
        "valve/1/ex/L": "1.900",
        "valve/1/ex/R": "1.825",
        "valve/2/ex/L": "1.875",
        "valve/2/ex/R": "1.850",
    }
    assert all(shim.source != place for place, shim in moved.items())


def test_the_valve_held_open_by_its_old_shim_is_called_out() -> None:
    found, _ = valves(PLACES, spec(), readings())
    held = held_open(found)
    assert [valve.place for valve in held] == ["valve/2/in/R"]
    pool = shelf(spec(), found, {}, (), 0.0)
    (advice,) = checking(held, pool)
    assert advice.old == pytest.approx(-0.02)
    assert advice.thickness is not None
    assert held[0].clearance(Measured(advice.thickness)).value >= 0.17 + 0.1 - 1e-9


def test_the_sum_is_written_as_a_person_would() -> None:
    pick = next(p for p in run().picks if p.place == "valve/1/in/L")
    assert sum_text(pick) == (
        "1.850 + (0.14 − 0.11) − 0.14 = 1.740",
        "1.850 + (0.14 − 0.11) − 1.750 = 0.13",
    )


def test_a_valve_that_sits_further_up_gets_a_thinner_shim() -> None:
    for pick in run().picks:
        assert pick.valve.shim is not None
        assert pick.taken.shim.thickness.value < pick.valve.shim.thickness.value + 1e-9


def test_a_shim_that_stays_carries_none_of_its_own_error() -> None:
    one = {"valve/1/in/L": (1.850, 0.14, 0.0)}
    found, _ = valves(PLACES, spec(), readings(0.005, one))
    valve = next(v for v in found if v.place == "valve/1/in/L")
    assert valve.shim is not None
    assert valve.clearance(valve.shim.thickness).u == pytest.approx(0.005 * 2**0.5)


def test_too_tight_costing_more_moves_the_choice_to_the_loose_side() -> None:
    plain = run(0.006, bedding=BEDDING)
    wary = run(0.006, Money(300.0, 5000.0, False, 0.0, 0.008), BEDDING)

    def spare(choice: Choice) -> float:
        return sum(p.taken.bedded.value - p.valve.window[0] for p in choice.picks)

    assert spare(wary) > spare(plain)


def test_guarded_means_inside_by_the_uncertainty() -> None:
    choice = run(0.004, Money(300.0, 0.0, True, 0.0, 0.008))
    assert choice.picks
    for pick in choice.picks:
        low, high = pick.valve.window
        value, guard = pick.taken.clearance.value, 2 * pick.taken.clearance.u
        assert low + guard - 1e-9 <= value <= high - guard + 1e-9


def test_where_nothing_is_legal_the_constraint_is_named() -> None:
    thin = {"valve/1/in/L": (1.250, 0.02, 0.10)}
    found, _ = valves(PLACES, spec(), readings(0.001, thin))
    valve = next(v for v in found if v.place == "valve/1/in/L")
    choice = choose([valve], shelf(spec(), [valve], {}, (), 0.0), MONEY, (0, 0))
    assert not choice.picks
    assert "thinner than the series goes (1.200)" in choice.left_out[0].why


def test_without_a_series_the_valves_that_share_too_few_shims_are_named() -> None:
    pair = {"valve/1/in/L": (1.750, 0.14, 0.0), "valve/1/in/R": (1.900, -0.01, 0.0)}
    without = spec(series=[])
    found, _ = valves(PLACES, without, readings(0.001, pair))
    two = [v for v in found if v.place in pair]
    drawer = [(Fitted("d", Measured(1.750, {"x": 0.001})), 1)]
    choice = choose(two, shelf(without, two, {}, drawer, 0.0), MONEY, (0, 0))
    assert len(choice.picks) == 1
    assert "share too few legal shims" in choice.left_out[0].why


def test_a_dished_shim_is_barred() -> None:
    found, _ = valves(PLACES, spec(), readings())
    bad = Fitted("d", Measured(1.750), condition="dished")
    pool = shelf(spec(), found, {}, [(bad, 1)], 0.0)
    assert not pool.pieces
    assert [(b.label, b.source) for b in pool.barred] == [("1.750", "drawer")]


def test_measuring_again_is_worth_most_where_the_forecast_is_poorest() -> None:
    found, _ = valves(PLACES, spec(), readings(0.004))
    poor = readings(0.004)
    rises = {**poor.rises, "valve/2/ex/L": Measured(0.10, {"guess": 0.02})}
    found, _ = valves(PLACES, spec(), ShimReadings(poor.gaps, poor.shims, rises, {}, {}))
    pool = shelf(spec(), found, {}, (), 0.0)
    choice = choose(found, pool, MONEY, (0, 0))
    advice = measure_again(choice, pool, MONEY)
    assert advice[0].place == "valve/2/ex/L"
    assert advice[0].chance_all_after > choice.joint.all


@st.composite
def engines(draw: st.DrawFn) -> dict[str, tuple[float, float, float]]:
    """Eight invented valves."""
    return {
        place: (
            draw(st.integers(60, 76)) * 0.025,
            draw(st.integers(5, 30)) / 100,
            draw(st.integers(0, 25)) / 100,
        )
        for place in SWAP
    }


@given(engines(), st.sampled_from([0.002, 0.008]))
@settings(max_examples=60, deadline=None)
def test_every_pick_is_legal_and_no_piece_is_spent_twice(
    swap: dict[str, tuple[float, float, float]], u: float
) -> None:
    found, _ = valves(PLACES, spec(), readings(u, swap))
    pulled = {place: fitted for (place, _), fitted in readings(u, swap).shims.items()}
    choice = choose(found, shelf(spec(), found, pulled, (), 0.005), MONEY, BEDDING)
    assert len(choice.picks) + len(choice.left_out) == len(SWAP)
    spent = [p.taken.shim.ident for p in choice.picks if not p.taken.shim.bought]
    assert len(spent) == len(set(spent))
    for pick in choice.picks:
        low, high = pick.valve.window
        assert low - 1e-9 <= pick.taken.clearance.value <= high + 1e-9
        assert isinstance(pick.valve, Valve)
