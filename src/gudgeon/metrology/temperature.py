"""Lengths at 20 °C: the reading of a warm part with a warm gauge.

A clearance or gap is never corrected here: it is no length of one body. Correct the two parts,
then take the difference; a gap read with a feeler stands as it was read, at the temperature the
sheet asks for.

References
----------
.. [1] ISO 1: 20 °C is the reference temperature for lengths.
.. [2] D. A. Swyt, J. Res. Natl. Inst. Stand. Technol. 99(1) (1994) 31: typical aluminium and
   gauge steel.
.. [3] W. D. Callister, Materials Science and Engineering, Appendix B, Table B.6: cast aluminium
   356.0 and grey irons G1800 to G4000.
.. [4] JCGM 100:2008 (GUM) H.1: 2e-6/°C to either side as what is known of a coefficient.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gudgeon.metrology.measured import Measured, linear

REFERENCE = 20.0
"""The temperature at which lengths are defined [°C], ISO 1."""


@dataclass(frozen=True, slots=True)
class Material:
    """A coefficient of linear expansion with its standard uncertainty [1/°C] and its source."""

    name: str
    alpha: float
    u_alpha: float
    source: str

    def coefficient(self, of: str) -> Measured:
        """The coefficient [1/°C], its error named after the body it belongs to.

        Two bodies of one material share a table row, not an alloy: their errors are independent
        unless `of` is the same.
        """
        return Measured.of(self.alpha, self.u_alpha, f"expansion of {of}")


# What is known of a coefficient without a mill certificate is a range; its half-width over √3 is
# the standard uncertainty. 2e-6 is the GUM's half-width; 1e-6 spans the steels and irons of [3].
_WIDE = 2.0e-6 / math.sqrt(3.0)
_NARROW = 1.0e-6 / math.sqrt(3.0)

MATERIALS: dict[str, Material] = {
    material.name: material
    for material in (
        Material("aluminium", 23.1e-6, _WIDE, "Swyt, J. Res. NIST 99(1), 1994, p. 31"),
        Material("cast aluminium", 21.5e-6, _WIDE, "Callister, Table B.6, alloy 356.0"),
        Material("iron", 11.4e-6, _NARROW, "Callister, Table B.6, grey irons G1800 to G4000"),
        Material("steel", 11.5e-6, _NARROW, "Swyt, J. Res. NIST 99(1), 1994, p. 31; GUM H.1"),
    )
}


def material(name: str) -> Material:
    """The material of that name. Raises ValueError that names those there are.

    >>> material("iron").alpha
    1.14e-05
    """
    try:
        return MATERIALS[name]
    except KeyError:
        known = ", ".join(MATERIALS)
        raise ValueError(f"material {name!r} is not in the table, which holds {known}") from None


def to_reference(
    length: Measured | float,
    part_alpha: Measured | float,
    part_temperature: Measured | float,
    gauge_alpha: Measured | float = 0.0,
    gauge_temperature: Measured | float = REFERENCE,
) -> Measured:
    """The length at 20 °C [mm] of a part read at its temperature with a gauge at its own.

    L20 = L (1 + αg (Tg − 20)) / (1 + αp (Tp − 20)), temperatures [°C], coefficients [1/°C].
    The errors of all five pass to the result, to first order. For a length of one body only:
    a clearance or gap is never corrected.

    Raises ValueError for a temperature or coefficient that no workshop has (outside −60 to
    300 °C, or 0 to 100e-6/°C).

    >>> round(to_reference(75.0200, 23.1e-6, 30.0).value, 6)
    75.002674
    """
    named = (length, part_alpha, part_temperature, gauge_alpha, gauge_temperature)
    size, alpha_p, temp_p, alpha_g, temp_g = (_value(x) for x in named)
    for temperature in (temp_p, temp_g):
        _check_temperature(temperature)
    for alpha in (alpha_p, alpha_g):
        _check_alpha(alpha)
    gauge = 1.0 + alpha_g * (temp_g - REFERENCE)
    part = 1.0 + alpha_p * (temp_p - REFERENCE)
    corrected = size * gauge / part
    slopes = (
        gauge / part,
        -corrected * (temp_p - REFERENCE) / part,
        -corrected * alpha_p / part,
        size * (temp_g - REFERENCE) / part,
        size * alpha_g / part,
    )
    return linear(zip(slopes, named, strict=True), value=corrected)


def growth(size: float, alpha: float, from_temperature: float, to_temperature: float) -> float:
    """How much a part grows [mm] between two temperatures [°C]; negative when it cools.

    ΔL = L (1 + α (T2 − 20)) / (1 + α (T1 − 20)) − L, α [1/°C] referred to 20 °C; the familiar
    L α ΔT where T1 is 20 °C.

    Raises ValueError as `to_reference` does.

    >>> round(growth(75.0, 21.5e-6, 20.0, 100.0), 4)
    0.129
    """
    _check_alpha(alpha)
    _check_temperature(from_temperature)
    _check_temperature(to_temperature)
    change = alpha * (to_temperature - from_temperature)
    return size * change / (1.0 + alpha * (from_temperature - REFERENCE))


def clearance_lost(size: float, inner_alpha: float, outer_alpha: float, warming: float) -> float:
    """How much the clearance of an inner part in an outer one falls [mm] when both warm alike.

    D (αi − αo) ΔT, size [mm], coefficients [1/°C], warming [°C]: the inner grows more than the
    outer where this is positive. Arithmetic of two parts, never a
    correction of a clearance that was read.

    >>> round(clearance_lost(75.0, 21.5e-6, 11.4e-6, 80.0), 4)
    0.0606
    """
    return size * (inner_alpha - outer_alpha) * warming


def _value(item: Measured | float) -> float:
    return item.value if isinstance(item, Measured) else item


def _check_temperature(temperature: float) -> None:
    if not -60.0 <= temperature <= 300.0:
        raise ValueError(f"a temperature must lie between −60 and 300 °C; {temperature:g} does not")


def _check_alpha(alpha: float) -> None:
    if not 0.0 <= alpha <= 100e-6:
        raise ValueError(
            f"an expansion coefficient must lie between 0 and 100e-6/°C; {alpha:g} does not"
        )
