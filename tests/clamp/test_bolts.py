"""Bolts in their holes: an invented cover, the wrong bolt found, and shear areas."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.clamp import bolts
from gudgeon.clamp.threads import Thread, thread_named

M6 = thread_named("M6")


def test_bolts_of_one_cover_stand_nearly_equally_proud() -> None:
    """Invented M6 cover: 25, 30 and 45 long through bosses of 14, 18 and 34."""
    proud = [
        bolts.projection(*pair, 1.6, 0.5) for pair in ((25.0, 14.0), (30.0, 18.0), (45.0, 34.0))
    ]
    assert proud == pytest.approx([8.9, 9.9, 8.9])


def test_two_bolts_exchanged_strip_and_bottom() -> None:
    """Invented: the same cover, 25 and 30 exchanged, in holes 12 deep."""
    short = bolts.fit(bolts.projection(25.0, 18.0, 1.6, 0.5), 6.0, 12.0)
    long = bolts.fit(bolts.projection(30.0, 14.0, 1.6, 0.5), 6.0, 12.0)
    assert short.engaged == pytest.approx(4.9)
    assert (short.wanted, short.short, short.bottoms) == (9.0, True, False)
    assert long.room == pytest.approx(-1.9)
    assert long.bottoms
    assert not long.short


@given(st.floats(0.0, 60.0), st.floats(1.0, 50.0), st.floats(0.0, 1.0))
def test_no_more_thread_holds_than_there_is(proud: float, hole: float, share: float) -> None:
    mouth = share * hole
    found = bolts.fit(proud, 6.0, hole, counterbore=mouth)
    assert 0.0 <= found.engaged <= hole - mouth + 1e-9
    assert found.bottoms == (proud > hole)
    assert found.close >= found.bottoms


def test_steel_needs_less_than_aluminium() -> None:
    wanted = [bolts.fit(9.0, 6.0, 15.0, metal).wanted for metal in bolts.LEAST_ENGAGEMENT]
    assert wanted == [9.0, 7.5, 6.0]


def integrated_shear(thread: Thread, engaged: float) -> float:
    """Width of the nut's metal on the cylinder of diameter d, by sampling the 60° profile."""
    samples = 100_000
    inside = 0
    for n in range(samples):
        along = (n + 0.5) / samples * thread.pitch
        # Nut groove centred at 0: at the pitch line half the pitch is groove, narrowing outward.
        aside = min(along, thread.pitch - along)
        reach = (thread.diameter - thread.pitch_diameter) / 2.0
        half_groove = thread.pitch / 4.0 - reach * math.tan(math.radians(30.0))
        inside += aside > half_groove
    return math.pi * thread.diameter * engaged * inside / samples


def test_the_shear_area_against_a_sampled_profile() -> None:
    assert bolts.shear_area(M6, 9.0) == pytest.approx(integrated_shear(M6, 9.0), rel=1e-3)


def test_strip_load_grows_with_what_holds() -> None:
    assert bolts.strip_load(M6, 10.0, 150.0) == pytest.approx(2 * bolts.strip_load(M6, 5.0, 150.0))


@pytest.mark.parametrize(
    "call", [lambda: bolts.fit(9.0, 0.0, 12.0), lambda: bolts.fit(9.0, 6.0, 12.0, counterbore=13.0)]
)
def test_the_impossible_is_refused(call: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match="diameter must be above 0"):
        call()
