"""Torque, clamp load and adapters: worked examples (invented), forces on a lever, properties."""

from __future__ import annotations

import math
from collections.abc import Callable

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.clamp import torque
from gudgeon.clamp.threads import class_named, proof_load, thread_named
from gudgeon.metrology.measured import Measured

angles = st.floats(0.0, 180.0)
lengths = st.floats(150.0, 800.0)
adapters = st.floats(0.0, 120.0)


@pytest.mark.parametrize(("angle", "setting"), [(0, 22.35), (45, 23.07), (90, 25.0), (180, 28.36)])
def test_adapter_at_several_angles(angle: float, setting: float) -> None:
    """Invented wrench of 380 and adapter of 45."""
    assert torque.adapter_setting(25.0, 380.0, 45.0, angle) == pytest.approx(setting, abs=5e-3)


def test_an_adapter_left_uncorrected_overtightens() -> None:
    """Invented: straight out, 12 % too much."""
    assert torque.torque_through(25.0, 380.0, 45.0) == pytest.approx(27.96, abs=5e-3)


@given(lengths, adapters, angles, st.floats(1.0, 100.0))
def test_the_ratio_is_that_of_moments_of_one_force(
    wrench: float, adapter: float, angle: float, setting: float
) -> None:
    """Cross products in the plane: the wrench along x from its drive, the hand at its end."""
    hand = complex(wrench, 0.0)
    straight_out = -1.0  # away from the hand
    direction = straight_out * complex(math.cos(math.radians(angle)), math.sin(math.radians(angle)))
    fastener = adapter * direction
    force = complex(0.0, setting / wrench)
    arm = hand - fastener
    moment = arm.real * force.imag - arm.imag * force.real
    assert torque.torque_through(setting, wrench, adapter, angle) == pytest.approx(moment)


@given(lengths, adapters, angles, st.floats(1.0, 100.0))
def test_setting_and_torque_undo_each_other(
    wrench: float, adapter: float, angle: float, wanted: float
) -> None:
    setting = torque.adapter_setting(wanted, wrench, adapter, angle)
    assert torque.torque_through(setting, wrench, adapter, angle) == pytest.approx(wanted)
    assert (setting <= wanted * (1 + 1e-12)) == (angle <= 90.0 or setting == wanted)
    assert torque.adapter_setting(wanted, wrench, adapter, 90.0) == pytest.approx(wanted)


@given(st.floats(1.0, 200.0), st.floats(3.0, 24.0), st.floats(0.08, 0.4))
def test_torque_and_load_undo_each_other(moment: float, diameter: float, k: float) -> None:
    load = torque.clamp_load(moment, diameter, k)
    assert torque.torque_for(load, diameter, k) == pytest.approx(moment)
    low, high = torque.load_range(load)
    assert low < load < high


@pytest.mark.parametrize(("k", "load"), [(0.20, 15.6), (0.15, 20.8), (0.11, 28.4)])
def test_one_torque_under_three_lubricants(k: float, load: float) -> None:
    """Invented: M8 at 25 N·m; oil alone raises the load by a third."""
    assert torque.clamp_load(25.0, 8.0, k) / 1000 == pytest.approx(load, abs=0.05)


def test_units_against_pint() -> None:
    unit = pint.UnitRegistry()
    force = unit.Quantity(25.0, "N*m") / (0.2 * unit.Quantity(8.0, "mm"))
    assert torque.clamp_load(25.0, 8.0) == pytest.approx(force.to("N").magnitude)
    thread, grade = thread_named("M8"), class_named("10.9")
    proof = unit.Quantity(830.0, "MPa") * unit.Quantity(thread.stress_area, "mm**2")
    assert proof_load(thread, grade) == pytest.approx(proof.to("N").magnitude)
    share = torque.proof_share(25.0, thread, grade)
    assert share == pytest.approx((force / proof).to("").magnitude)


def test_every_factor_says_where_it_comes_from() -> None:
    assert all(row.source and 0.05 < row.k < 0.4 for row in torque.TORQUE_FACTORS)
    assert torque.TORQUE_FACTORS[0].k == torque.ASSUMED_K


def test_an_angle_stage() -> None:
    assert torque.angle_travel(1.25, 360.0) == 1.25


def test_errors_travel_through() -> None:
    moment = Measured.of(25.0, 1.0, "wrench")
    assert torque.clamp_load(moment, 8.0).u == pytest.approx(625.0)
    share = torque.proof_share(moment, thread_named("M8"), class_named("10.9"))
    assert share.u / share.value == pytest.approx(0.04)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: torque.clamp_load(25.0, 0.0), "above 0"),
        (lambda: torque.clamp_load(25.0, 8.0, 0.0), "above 0"),
        (lambda: torque.arm_ratio(0.0, 45.0), "longer than 0"),
        (lambda: torque.arm_ratio(380.0, -1.0), "not below"),
        (lambda: torque.arm_ratio(100.0, 100.0, 180.0), "under the hand"),
        (lambda: torque.load_range(1.0, "wet"), "none of dry, lubricated"),
    ],
)
def test_the_impossible_is_refused(call: Callable[[], object], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        call()
