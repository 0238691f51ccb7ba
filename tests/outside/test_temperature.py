"""Expansion coefficients and corrections to 20 °C against published figures."""

from __future__ import annotations

import pytest

from gudgeon.metrology.temperature import MATERIALS, REFERENCE, clearance_lost, growth, to_reference


def test_reference_temperature() -> None:
    """ISO 1, as D. A. Swyt, J. Res. NIST 99(1), 1994, p. 31 states it: 20 °C."""
    assert REFERENCE == 20.0


@pytest.mark.parametrize(
    ("name", "alpha"),
    [("aluminium", 23.1e-6), ("steel", 11.5e-6), ("cast aluminium", 21.5e-6), ("iron", 11.4e-6)],
)
def test_expansion_coefficients(name: str, alpha: float) -> None:
    """Swyt, J. Res. NIST 99(1), 1994, p. 31 (aluminium, gauge steel; steel also GUM H.1);
    Callister, Materials Science and Engineering, Table B.6 (356.0 casting; irons G1800-G4000)."""
    assert MATERIALS[name].alpha == alpha


def test_the_doubt_covers_other_steels() -> None:
    """Callister, Table B.6 (1040, 1020, 4140, 4340) and NIST EM Toolbox, Temperature Tutorial,
    slide 12 (AISI 1050 near room temperature): 11.2 to 12.3 e-6/°C."""
    steel = MATERIALS["steel"]
    for alpha in (11.2e-6, 11.3e-6, 11.5e-6, 11.7e-6, 12.3e-6):
        assert abs(alpha - steel.alpha) < 2.0 * steel.u_alpha


def test_piston_in_bore() -> None:
    """Derived from Callister, Table B.6: 75 mm, 80 °C warmer, aluminium piston in iron."""
    piston, iron = MATERIALS["cast aluminium"].alpha, MATERIALS["iron"].alpha
    assert growth(75.0, piston, 20.0, 100.0) == pytest.approx(0.1290, abs=1e-4)
    assert growth(75.0, iron, 20.0, 100.0) == pytest.approx(0.0684, abs=1e-4)
    assert clearance_lost(75.0, piston, iron, 80.0) == pytest.approx(0.0606, abs=1e-4)


def test_reading_of_a_warm_part() -> None:
    """Derived (ISO 1; Swyt 1994): 75.0200 at 30 °C, aluminium, the scale at 20 °C."""
    found = to_reference(75.0200, 23.1e-6, 30.0).value
    assert found == pytest.approx(75.002674, abs=5e-7)
    assert found == pytest.approx(75.0200 * (1.0 - 23.1e-6 * 10.0), abs=5e-6)
