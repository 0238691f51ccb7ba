"""Units: every factor against pint, an independent library, and what is no unit."""

from __future__ import annotations

import warnings
from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.calc.units import (
    KINDS,
    UNITS,
    NotAUnit,
    from_core,
    kind_of,
    read_unit,
    to_core,
    unit_of_kind,
)
from gudgeon.faults import Unusable

REGISTRY: pint.UnitRegistry = pint.UnitRegistry()
OUR_SPELLING = {
    '"': "inch", "cu in": "inch**3", "in3": "inch**3", "Nm": "N*m", "°": "degree", "%": "percent",
    "C": "delta_degC", "F": "delta_degF", "deg C": "delta_degC", "deg F": "delta_degF",
    "degC": "delta_degC", "degF": "delta_degF", "°C": "delta_degC", "°F": "delta_degF",
    "1": "dimensionless", "cm3": "cm**3", "oz": "ounce", "lb": "pound",
}  # fmt: skip
for pair in ("lb-ft", "ft-lb", "lbf-ft", "ft-lbf"):
    OUR_SPELLING[pair] = "lbf*foot"
for pair in ("lb-in", "in-lb", "lbf-in", "in-lbf"):
    OUR_SPELLING[pair] = "lbf*inch"


@pytest.mark.parametrize("name", sorted(UNITS))
def test_every_factor_agrees_with_pint(name: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = REGISTRY.Quantity(1.0, OUR_SPELLING.get(name, name))
        base = theirs.to("dimensionless") if theirs.dimensionless else theirs.to_base_units()
    length, mass, *_ = UNITS[name].powers
    coherent = float(UNITS[name].factor) * 1e-3**length * 1e-3**mass
    assert coherent == pytest.approx(base.magnitude, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "core"),
    [
        ("lbf*in", "torque", 0.1129848290276167),
        ("in-lb", "torque", 0.1129848290276167),
        ("lbf.ft", "torque", 1.3558179483314004),
        ("kgf·m", "torque", 9.80665),
        ("kgf cm", "torque", 0.0980665),
        ("N m", "torque", 1.0),
        ("in^3", "volume", 16.387064),
        ("in**3", "volume", 16.387064),
        ("cm³", "volume", 1.0),
        ("cu in", "volume", 16.387064),
        ("um/m/K", "expansion", 1e-6),
        ("um/(m*K)", "expansion", 1e-6),
        ("ppm/K", "expansion", 1e-6),
        ("/degC", "expansion", 1.0),
        ("1/degF", "expansion", 1.8),
        ("rad", "angle", 57.29577951308232),
        ("psi", "pressure", 6.894757293168361),
        ("%", "number", 0.01),
        ("", "number", 1.0),
    ],
)
def test_products_quotients_and_powers(text: str, kind: str, core: float) -> None:
    unit = unit_of_kind(text, kind, "--x")
    assert to_core(Decimal(1), unit, kind) == pytest.approx(core, rel=1e-14)


@pytest.mark.parametrize(
    "text",
    ["smoot", "mm^9", "mm^", "mm*", "*mm", "(mm", "mm)", "()", "^2", "12", "-1", "mm mm)", "µ" * 60,
     "mm\n\x00", "mm^-", "2mm", "m**m"],
)  # fmt: skip
def test_what_is_not_a_unit_is_refused(text: str) -> None:
    with pytest.raises(NotAUnit):
        read_unit(text)
    with pytest.raises(Unusable, match="is not a known unit"):
        unit_of_kind(text, "length", "--x")


@given(st.text(alphabet="mincdegCKNlbf*/^()23·² -", max_size=20))
def test_any_text_is_a_unit_or_is_refused(text: str) -> None:
    try:
        unit = read_unit(text)
    except NotAUnit:
        return
    assert unit.factor > 0


def test_temperatures_have_their_zero() -> None:
    fahrenheit, kelvin = (unit_of_kind(t, "temperature", "--x") for t in ("degF", "K"))
    assert to_core(Decimal("68"), fahrenheit, "temperature") == 20.0
    assert to_core(Decimal("293.15"), kelvin, "temperature") == 20.0
    assert from_core(20.0, fahrenheit, "temperature") == 68.0
    assert to_core(Decimal("9"), fahrenheit, "temperature", step=True) == 5.0


@given(st.decimals(-1000, 1000, places=4), st.sampled_from(["mm", "in", "thou", "um", "ft"]))
def test_there_and_back(number: Decimal, name: str) -> None:
    unit = read_unit(name)
    core = to_core(number, unit, "length")
    assert from_core(core, unit, "length") == pytest.approx(float(number), rel=1e-14, abs=1e-12)


def test_every_kind_has_its_core_unit_and_name() -> None:
    for name, kind in KINDS.items():
        plain = "number" if name == "share" else name  # a percentage is a plain number too
        assert kind_of(read_unit(kind.core)) == plain


def test_the_wrong_kind_is_named() -> None:
    with pytest.raises(Unusable, match="measures a torque where a length belongs"):
        unit_of_kind("N*m", "length", "--old")
    with pytest.raises(Unusable, match="measures another kind of quantity where a length belongs"):
        unit_of_kind("mm/s", "length", "--old")
