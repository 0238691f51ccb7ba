"""Wheels that come back to their marks."""

from __future__ import annotations

import math

import pytest

from gudgeon.calc.calculation import run
from gudgeon.calc.registry import BY_NAME
from gudgeon.timing.drive import mark_return, mesh_return


def test_two_worm_wheels_in_one_worm() -> None:
    """Brown, 507 Mechanical Movements (1868), no. 264: 100 and 101 teeth, 10 100 turns."""
    assert mark_return([1, 100, 101]) == 10_100
    typed = {"teeth": ["1", "100", "101"]}
    assert run(BY_NAME["mark-return"], typed).value == 10_100


@pytest.mark.parametrize(("pair", "turns"), [((28, 56), (2, 1)), ((31, 87), (87, 31))])
def test_marked_teeth_meet_again(pair: tuple[int, int], turns: tuple[int, int]) -> None:
    """Derived: after lcm(z1, z2) teeth; 31 and 87 are a hunting pair."""
    assert mesh_return(*pair) == turns
    assert pair[0] * turns[0] == math.lcm(*pair)
    assert mark_return(pair) == turns[0]
