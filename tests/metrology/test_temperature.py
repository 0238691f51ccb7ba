"""Temperature: what is exact, what carries over, what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.metrology.measured import Measured, propagate
from gudgeon.metrology.temperature import (
    MATERIALS,
    clearance_lost,
    growth,
    material,
    to_reference,
)


@given(st.floats(1.0, 300.0), st.sampled_from(sorted(MATERIALS)), st.floats(0.0, 40.0))
def test_a_gauge_of_the_same_metal_at_the_same_heat_needs_no_correction(
    size: float, name: str, temperature: float
) -> None:
    alpha = material(name).alpha
    found = to_reference(size, alpha, temperature, alpha, temperature)
    assert found.value == pytest.approx(size, rel=1e-15)


@given(st.floats(1.0, 300.0), st.floats(0.0, 30e-6), st.floats(-10.0, 60.0))
def test_growing_a_corrected_size_gives_the_reading_back(
    size: float, alpha: float, temperature: float
) -> None:
    at_20 = to_reference(size, alpha, temperature).value
    assert at_20 + growth(at_20, alpha, 20.0, temperature) == pytest.approx(size, rel=1e-14)


def test_every_error_passes_through_with_its_sensitivity() -> None:
    inputs = [
        Measured.of(58.05, 0.004, "bore gauge"),
        material("aluminium").coefficient("the barrel"),
        Measured.of(31.0, 1.0, "part thermometer"),
        material("steel").coefficient("the gauge"),
        Measured.of(24.0, 0.5, "gauge thermometer"),
    ]
    ours = to_reference(*inputs)
    check = propagate(
        lambda size, ap, tp, ag, tg: size * (1 + ag * (tg - 20)) / (1 + ap * (tp - 20)), inputs
    )
    assert ours.value == pytest.approx(check.value, rel=1e-15)
    assert set(ours.parts) == set(check.parts)
    for source, part in check.parts.items():
        assert ours.parts[source] == pytest.approx(part, rel=1e-6)


def test_one_thermometer_for_part_and_gauge_partly_cancels() -> None:
    shared = Measured.of(28.0, 1.0, "thermometer")
    together = to_reference(58.0, 23.1e-6, shared, 11.5e-6, shared)
    apart = to_reference(58.0, 23.1e-6, shared, 11.5e-6, Measured.of(28.0, 1.0, "other"))
    assert together.u == pytest.approx(58.0 * (23.1e-6 - 11.5e-6), rel=1e-3)
    assert apart.u == pytest.approx(58.0 * math.hypot(23.1e-6, 11.5e-6), rel=1e-3)


def test_every_material_states_its_source_and_doubt() -> None:
    for entry in MATERIALS.values():
        assert entry.source
        assert 0.0 < entry.u_alpha < 0.2 * entry.alpha


def test_warming_a_piston_of_its_bores_metal_keeps_the_share() -> None:
    assert clearance_lost(75.0, 20e-6, 20e-6, 80.0) == 0.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: material("cheese"), "holds aluminium"),
        (lambda: to_reference(10.0, 23.1e-6, 1000.0), "temperature"),
        (lambda: to_reference(10.0, 23.1e-6, math.nan), "temperature"),
        (lambda: to_reference(10.0, 23.1, 30.0), "coefficient"),
        (lambda: growth(10.0, 23.1, 20.0, 30.0), "coefficient"),
        (lambda: growth(10.0, 23.1e-6, 20.0, math.inf), "temperature"),
    ],
)
def test_nonsense_is_refused(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()
