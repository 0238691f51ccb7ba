"""Units as people type them, in products, quotients and powers: "lbf*in", "1/degC", "in^3".

A closed list: a unit that is not in it is refused with what would be right, and one of the wrong
kind is named for what it is ("a torque where a length belongs"). The factors are the exact ones
of the international yard and pound agreement (1959) and of the SI Brochure, 9th edition.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final, NamedTuple

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import LENGTH_UNITS, VOLUME_UNITS, shown

Powers = tuple[int, ...]
"""Powers of length, mass, time, temperature and plane angle."""


class Unit(NamedTuple):
    """How many coherent units (mm, g, s, K, rad) one of this is, from which zero, and its kind."""

    factor: Fraction
    powers: Powers
    zero: Fraction = Fraction(0)


class Kind(NamedTuple):
    """A kind of quantity: its name with article, core unit as shown, others to suggest."""

    name: str
    core: str
    suggest: str


KINDS: Final[dict[str, Kind]] = {
    "length": Kind("a length", "mm", "mm, um, in or thou"),
    "angle": Kind("an angle", "deg", "deg or rad"),
    "temperature": Kind("a temperature", "degC", "degC, degF or K"),
    "expansion": Kind("an expansion coefficient", "1/degC", "1/degC or um/m/K, as in 23.1e-6/degC"),
    "volume": Kind("a volume", "cm^3", "cm^3, cc, l or in^3"),
    "torque": Kind("a torque", "N*m", "N*m, lbf*ft, lbf*in or kgf*m"),
    "force": Kind("a force", "N", "N, kN, lbf or kgf"),
    "pressure": Kind("a pressure", "kPa", "kPa, bar or psi"),
    "mass": Kind("a mass", "g", "g, kg, oz or lb"),
    "area": Kind("an area", "mm^2", "mm^2, cm^2 or in^2"),
    "share": Kind("a share", "%", "% or no unit"),
    "number": Kind("a plain number", "", "no unit"),
}

_L: Final[Powers] = (1, 0, 0, 0, 0)
_VOLUME: Final[Powers] = (3, 0, 0, 0, 0)
_FORCE: Final[Powers] = (1, 1, -2, 0, 0)
_PRESSURE: Final[Powers] = (-1, 1, -2, 0, 0)
_NEWTON: Final = Fraction(10**6)  # g*mm/s²
_POUND: Final = Fraction("453.59237")
_GRAVITY: Final = Fraction("9806.65")
_INCH: Final = Fraction("25.4")
_POUND_FORCE: Final = _POUND * _GRAVITY
_RADIANS: Final = Fraction(Decimal("3.14159265358979323846264338327950288")) / 180


def _table() -> dict[str, Unit]:
    one: Powers = (0, 0, 0, 0, 0)
    mass: Powers = (0, 1, 0, 0, 0)
    heat: Powers = (0, 0, 0, 1, 0)
    angle: Powers = (0, 0, 0, 0, 1)
    rows: list[tuple[str, Fraction | int, Powers]] = [
        ("ft foot feet", 12 * _INCH, _L),
        ("g", 1, mass),
        ("kg", 1000, mass),
        ("lb", _POUND, mass),
        ("oz", _POUND / 16, mass),
        ("s", 1, (0, 0, 1, 0, 0)),
        ("min", 60, (0, 0, 1, 0, 0)),
        ("N", _NEWTON, _FORCE),
        ("kN", 1000 * _NEWTON, _FORCE),
        ("lbf", _POUND_FORCE, _FORCE),
        ("kgf", 1000 * _GRAVITY, _FORCE),
        ("Nm", 1000 * _NEWTON, (2, 1, -2, 0, 0)),
        ("lb-ft ft-lb lbf-ft ft-lbf", _POUND_FORCE * 12 * _INCH, (2, 1, -2, 0, 0)),
        ("lb-in in-lb lbf-in in-lbf", _POUND_FORCE * _INCH, (2, 1, -2, 0, 0)),
        ("Pa", 1, _PRESSURE),  # g/(mm s²)
        ("kPa", 1000, _PRESSURE),
        ("MPa", 10**6, _PRESSURE),
        ("bar", 10**5, _PRESSURE),
        ("psi", _POUND_FORCE / _INCH**2, _PRESSURE),
        ("K", 1, heat),
        ("deg ° degree degrees", _RADIANS, angle),
        ("rad", 1, angle),
        ("ppm", Fraction(1, 10**6), one),
        ("%", Fraction(1, 100), one),
        ("1", 1, one),
    ]
    units = {
        name: Unit(Fraction(factor), powers)
        for names, factor, powers in rows
        for name in names.split()
    }
    units |= {name: Unit(Fraction(mm), _L) for name, mm in LENGTH_UNITS.items()}
    units |= {name: Unit(Fraction(cm3) * 1000, _VOLUME) for name, cm3 in VOLUME_UNITS.items()}
    celsius = Unit(Fraction(1), heat, Fraction("273.15"))
    fahrenheit = Unit(Fraction(5, 9), heat, Fraction("459.67") * 5 / 9)
    units |= dict.fromkeys(("degC", "°C", "deg C", "C"), celsius)
    units |= dict.fromkeys(("degF", "°F", "deg F", "F"), fahrenheit)
    return units


UNITS: Final[dict[str, Unit]] = _table()
_TOKEN: Final = re.compile(r"\s*(\*\*|[*·.×/^()]|[²³]|-?\d+|[^\s*·.×/^()²³\d]+)")
_NONE: Final = Unit(Fraction(1), (0, 0, 0, 0, 0))


class NotAUnit(ValueError):
    """Text that is not a unit in the list."""


def read_unit(text: str) -> Unit:
    """The unit in `text`; empty text is the plain number 1.

    Raises NotAUnit.

    >>> read_unit("in").factor, read_unit("lbf*in") == read_unit("in-lb")
    (Fraction(127, 5), True)
    """
    plain = text.strip()
    if not plain:
        return _NONE
    if plain in UNITS:
        return UNITS[plain]
    if len(plain) > 40:
        raise NotAUnit(text)
    tokens = _TOKEN.findall(plain)
    if "".join(tokens) != "".join(plain.split()):
        raise NotAUnit(text)
    try:
        unit, rest = _product(tokens)
    except (IndexError, KeyError):
        raise NotAUnit(text) from None
    if rest:
        raise NotAUnit(text)
    return unit


def _product(tokens: list[str]) -> tuple[Unit, list[str]]:
    """Read factor, operator, factor ... until the tokens or a bracket end."""
    if tokens[0] == "/":
        tokens = ["1", *tokens]
    unit, tokens = _factor(tokens)
    while tokens and tokens[0] != ")":
        sign = -1 if tokens[0] == "/" else 1
        rest = tokens[1:] if tokens[0] in ("*", "·", ".", "×", "/") else tokens
        other, tokens = _factor(rest)
        unit = _times(unit, other, sign)
    return unit, tokens


def _factor(tokens: list[str]) -> tuple[Unit, list[str]]:
    if tokens[0] == "(":
        unit, tokens = _product(tokens[1:])
        if tokens[0] != ")":
            raise KeyError(tokens[0])
        tokens = tokens[1:]
    else:
        unit, tokens = UNITS[tokens[0]], tokens[1:]
    power = 1
    if tokens and tokens[0] in ("²", "³"):
        power, tokens = "_123".index({"²": "2", "³": "3"}[tokens[0]]), tokens[1:]
    elif tokens and tokens[0] in ("^", "**"):
        digits = re.fullmatch(r"-?[1-4]", tokens[1])
        if digits is None:
            raise KeyError(tokens[1])
        power, tokens = int(tokens[1]), tokens[2:]
    elif tokens and tokens[0] in ("2", "3"):
        power, tokens = int(tokens[0]), tokens[1:]
    return _times(_NONE, unit, power), tokens


def _times(left: Unit, right: Unit, power: int) -> Unit:
    """left × right^power; inside a product a degree is a step, not a point on the scale."""
    powers = tuple(a + power * b for a, b in zip(left.powers, right.powers, strict=True))
    return Unit(left.factor * right.factor**power, powers)


def kind_of(unit: Unit) -> str | None:
    """The name of the kind a unit measures, None where it has none in `KINDS`."""
    return _KIND_OF.get(unit.powers)


def to_core(number: Decimal, unit: Unit, kind: str, step: bool = False) -> float:
    """`number` of `unit` in the core unit of its `kind`, rounded once.

    `step` for a difference of two temperatures, which no zero of a scale moves.

    >>> to_core(Decimal("0.05"), read_unit("in"), "length")
    1.27
    """
    core = _CORE[kind]
    zero = Fraction(0) if step else unit.zero - core.zero
    return float((Fraction(number) * unit.factor + zero) / core.factor)


def from_core(value: float, unit: Unit, kind: str, step: bool = False) -> float:
    """A value in the core unit of its `kind`, in `unit`; `step` as for `to_core`."""
    core = _CORE[kind]
    zero = Fraction(0) if step else core.zero - unit.zero
    return float((Fraction(value) * core.factor + zero) / unit.factor)


def unit_of_kind(text: str, kind: str, where: str) -> Unit:
    """The unit in `text`, which must measure `kind`.

    Raises Unusable: not a unit, or one of another kind.
    """
    wanted = KINDS[kind]
    try:
        unit = read_unit(text)
    except NotAUnit:
        wrong = f"{shown(text)} is not a known unit"
        raise Unusable(Fault(where, wrong, f"use {wanted.suggest}")) from None
    if unit.powers != _CORE[kind].powers:
        other = kind_of(unit)
        named = KINDS[other].name if other else "another kind of quantity"
        wrong = f"{shown(text)} measures {named} where {wanted.name} belongs"
        raise Unusable(Fault(where, wrong, f"use {wanted.suggest}"))
    return unit


_CORE: Final[dict[str, Unit]] = {name: read_unit(kind.core) for name, kind in KINDS.items()}
_KIND_OF: Final[dict[Powers, str]] = {unit.powers: name for name, unit in _CORE.items()}
