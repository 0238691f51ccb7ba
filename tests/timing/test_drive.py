"""Cam drives: invented trains, marks followed turn by turn, geometry by drawing it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.timing import drive

trains = st.lists(st.integers(1, 60), min_size=2, max_size=4)
meshes = st.lists(st.tuples(st.integers(8, 40), st.integers(8, 40)), min_size=1, max_size=3)


def test_a_compound_train() -> None:
    """Invented: crank 20, idler 30 | 24, cam 32."""
    rates = drive.shaft_rates([(20, 30), (24, 32)])
    assert rates == [1, Fraction(2, 3), Fraction(1, 2)]
    assert drive.tooth_error(20, 1) == 18.0
    assert drive.tooth_error(30, rates[1]) == 18.0
    assert drive.tooth_error(24, rates[1]) == 22.5
    assert drive.tooth_error(32, rates[2]) == 22.5
    assert 22.5 - 18.0 == 4.5  # one tooth each way at the two meshes


def test_a_chain_wheel() -> None:
    """Invented: 34 teeth at half the crank's speed."""
    assert drive.tooth_error(34, 0.5) == pytest.approx(720 / 34)
    assert drive.tooth_error(34, 0.5) == pytest.approx(21.2, abs=0.05)


@pytest.mark.parametrize(("idler", "turns"), [(35, 14), (37, 74), (30, 6)])
def test_marks_of_a_simple_train(idler: int, turns: int) -> None:
    assert drive.mark_return([20, idler, 40]) == turns


def test_an_idlers_mark_is_normally_off_after_two_turns() -> None:
    assert drive.teeth_off([20, 35, 40], 2) == [0, 5, 0]


def stepped(rates: list[Fraction]) -> int:
    """Crank turns until every shaft has made whole ones, counted one by one."""
    turns = 1
    while any((turns * rate).denominator != 1 for rate in rates):
        turns += 1
    return turns


@given(meshes)
def test_marks_of_any_train_followed_turn_by_turn(train: list[tuple[int, int]]) -> None:
    rates = drive.shaft_rates(train)
    assert drive.train_return(train) == stepped(rates)


@given(trains)
def test_a_simple_train_is_a_train(teeth: list[int]) -> None:
    pairs = list(itertools.pairwise(teeth))
    turns = drive.mark_return(teeth)
    assert turns == drive.train_return(pairs)
    assert drive.teeth_off(teeth, turns) == [0] * len(teeth)
    assert all(turns * teeth[0] % count == 0 for count in teeth)


@given(trains, st.integers(0, 200))
def test_no_mark_is_off_by_more_than_half_a_turn(teeth: list[int], turns: int) -> None:
    for count, off in zip(teeth, drive.teeth_off(teeth, turns), strict=True):
        assert abs(2 * off) <= count
        assert (turns * teeth[0] - off) % count == 0


@given(st.integers(1, 80), st.integers(1, 80))
def test_a_mesh_returns_after_a_common_number_of_teeth(first: int, second: int) -> None:
    turns = drive.mesh_return(first, second)
    assert turns[0] * first == turns[1] * second == math.lcm(first, second)
    assert math.gcd(*turns) == 1


@given(st.floats(4.0, 10.0), st.integers(9, 60))
def test_pins_of_a_chain_on_its_wheel_stand_a_pitch_apart(pitch: float, teeth: int) -> None:
    radius = drive.pitch_radius(pitch, teeth)
    step = 2.0 * math.pi / teeth
    first, second = complex(radius, 0.0), complex(math.cos(step), math.sin(step)) * radius
    assert abs(first - second) == pytest.approx(pitch)


def test_skim_and_stretch_of_a_chain_drive() -> None:
    """Invented: 34 teeth, pitch 6.35; the chain 0.5 % long over a run of 210."""
    radius = drive.pitch_radius(6.35, 34)
    assert radius == pytest.approx(34.4, abs=0.05)
    assert drive.skim_retard(0.30, radius) == pytest.approx(1.0, abs=0.01)
    assert drive.skim_retard(0.15, radius) == pytest.approx(0.5, abs=0.01)
    assert drive.stretch_retard(210.0, 0.005, radius) == pytest.approx(3.5, abs=0.01)


@given(st.floats(0.0, 0.5), st.floats(-30.0, 30.0), st.floats(150.0, 300.0))
def test_a_skim_against_the_run_drawn(skim: float, tilt: float, run: float) -> None:
    """The head comes down along y; the tight run leans by the tilt; its length is drawn anew."""
    lean = math.radians(tilt)
    top = complex(run * math.sin(lean), run * math.cos(lean))
    shorter = run - abs(top - complex(0.0, skim))
    radius = drive.pitch_radius(6.35, 34)
    drawn = math.degrees(2.0 * shorter / radius)
    assert drive.skim_retard(skim, radius, tilt) == pytest.approx(drawn, abs=5e-3)


def test_backlash_across_a_joint() -> None:
    """Invented: a skim of 0.15, teeth of 20°; square to the joint, and leaning by 20°."""
    assert drive.backlash_change(-0.15) == pytest.approx(-0.109, abs=5e-4)
    leaning = -0.15 * math.cos(math.radians(20.0))
    assert drive.backlash_change(leaning) == pytest.approx(-0.103, abs=5e-4)
    assert drive.gear_shift(0.15, 20.0, 32.0) == pytest.approx(0.2, abs=0.05)


@given(st.floats(14.5, 25.0), st.floats(20.0, 60.0), st.floats(0.0, 0.3))
def test_backlash_against_involutes(phi: float, radius: float, apart: float) -> None:
    """Exact: centres a at rest, a' apart; backlash on the working circle 2 a' (inv φ' − inv φ)."""

    def involute(x: float) -> float:
        return math.tan(x) - x

    centres = 2.0 * radius
    base = centres * math.cos(math.radians(phi))
    working = math.acos(base / (centres + apart))
    exact = 2.0 * (centres + apart) * (involute(working) - involute(math.radians(phi)))
    assert drive.backlash_change(apart, phi) == pytest.approx(exact, rel=0.06, abs=1e-6)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: drive.tooth_error(0, 1), "at least 1 tooth"),
        (lambda: drive.tooth_error(20, 0), "turns with the crank"),
        (lambda: drive.mark_return([20]), "two wheels"),
        (lambda: drive.mark_return([20, 0]), "1 tooth"),
        (lambda: drive.mesh_return(0, 5), "1 tooth"),
        (lambda: drive.shaft_rates([(20, 0)]), "1 tooth"),
        (lambda: drive.pitch_radius(0.0, 20), "pitch above 0"),
        (lambda: drive.backlash_change(0.1, 60.0), "none of a gear"),
    ],
)
def test_the_impossible_is_refused(call: Callable[[], object], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        call()
