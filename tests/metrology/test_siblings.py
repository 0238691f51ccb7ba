"""One size among its siblings."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.metrology.engine import SHEET

from gudgeon.metrology.measured import Measured
from gudgeon.metrology.siblings import among_siblings, robust_z
from gudgeon.metrology.sizes import Size


def test_without_uncertainty_it_is_the_robust_z() -> None:
    """0.6745 (x − median) / MAD: median 0.11, MAD 0.005 give 0.6745 · 0.04 / 0.005."""
    others = [0.10, 0.105, 0.11, 0.115, 0.12]
    assert robust_z(0.15, 0.0, others).z == pytest.approx(0.6745 * 0.04 / 0.005)


@given(st.lists(st.floats(1, 2), min_size=3, max_size=20), st.floats(1, 2), st.floats(0.001, 1))
def test_a_shift_of_all_changes_nothing(others: list[float], value: float, u: float) -> None:
    here = robust_z(value, u, others)
    there = robust_z(value + 5, u, [other + 5 for other in others])
    assert there.z == pytest.approx(here.z, abs=1e-6)


@pytest.mark.parametrize("count", [3, 5, 11])
@pytest.mark.parametrize("u", [0.2, 1.0])
def test_sound_siblings_seldom_stand_out(count: int, u: float) -> None:
    chance = random.Random(7)
    called = 0
    for _ in range(1000):
        values = [chance.gauss(0, 1) + chance.gauss(0, u) for _ in range(count + 1)]
        called += robust_z(values[0], u, values[1:]).stands_out
    assert called <= 45


def test_nothing_to_compare_with() -> None:
    with pytest.raises(ValueError, match="nothing to compare"):
        robust_z(1.0, 0.1, [])


def gap(place: str, value: float | None) -> Size:
    measured = None if value is None else Measured.of(value, 0.006, place)
    return Size(
        place, "gap", "feature", "gap", ("gap",), "head", "found", measured, "mm", (), "", 2, 1, 1
    )


def test_inlet_is_held_against_inlet_and_what_is_missing_is_left_out() -> None:
    places = SHEET.layout.of("valve")
    sizes = [gap(place, 0.22 if "/ex/" in place else 0.14) for place in places]
    sizes[0] = gap(places[0], None)
    beside = among_siblings(sizes, SHEET.layout)
    assert 0 not in beside
    assert all(not item.stands_out for item in beside.values())
    assert beside[1].others == 6
    assert beside[2].middle == 0.22
    assert among_siblings(sizes[:3], SHEET.layout) == {}
