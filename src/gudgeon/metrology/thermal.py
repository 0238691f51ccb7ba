"""A reading brought to 20 °C, with what the temperatures add to its uncertainty.

Where nobody wrote a temperature down, part and gauge are taken to lie together in the shop, at the
temperature its settings give (20 °C: nothing is corrected). What its unknown temperature can do
then is the difference of two expansions; that a part may not have soaked long enough adds a
degree.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from gudgeon.faults import Fault
from gudgeon.metrology.measured import Measured, linear
from gudgeon.metrology.temperature import MATERIALS, material, to_reference
from gudgeon.numbers import NotANumber, read_decimal, shown, split_unit

#: Standard uncertainty of a temperature that was read, and of one taken from the other [°C].
#: Common practice, no source.
READ_U: Final = 0.5
SOAKED_U: Final = 1.0
#: A part warmer or colder than this did not soak with its gauge [°C].
SOAKED: Final = (10.0, 30.0)
#: Expansion where the sheet does not say what a part is made of: steel to aluminium [1/°C].
ANY_ALPHA: Final = (11.4e-6, 23.1e-6)


class Warmth(NamedTuple):
    """What is known of the temperatures of one reading.

    Attributes:
        feature: its name. of: what the part is made of.
        part, gauge: temperatures as typed, if they were.
        shop, spread: the shop's temperature where none was, and its half-width [°C].
    """

    feature: str
    of: str | None
    part: str | None
    gauge: str | None
    shop: float
    spread: float


class Cold(NamedTuple):
    """A reading at 20 °C, what was done in words, and what had to be assumed."""

    value: Measured
    words: str
    notes: tuple[str, ...]


def brought_to_20(read: Measured, warm: Warmth, where: str, faults: list[Fault]) -> Cold:
    """The reading [mm] at 20 °C. Temperatures that can't be used are told in `faults`.

    An aluminium barrel of 58 mm, 25 °C warm from the wash, reads 0.033 mm large:

    >>> warm = Warmth("bore", "aluminium", "45", "20", 20.0, 5.0)
    >>> cold = brought_to_20(Measured(58.033), warm, "here", [])
    >>> round(cold.value.value, 3)
    58.0
    """
    part_typed = celsius(warm.part, where, faults)
    gauge_typed = celsius(warm.gauge, where, faults)
    part, gauge, notes = _temperatures(warm, part_typed, gauge_typed)
    name = None if warm.of is None else warm.of.replace("-", " ")
    if name not in MATERIALS:
        return _of_no_material(read, part, gauge, warm)
    cold = to_reference(
        read,
        material(name).coefficient(f"{warm.feature}'s {name}"),
        part,
        material("steel").coefficient("the gauge's steel"),
        gauge,
    )
    words = f"to 20 °C ({name} at {part.value:g}, gauge at {gauge.value:g})"
    return Cold(cold, words, notes)


def celsius(typed: str | None, where: str, faults: list[Fault]) -> float | None:
    """A temperature as typed [°C]; none where there is none or it can't be used.

    >>> celsius("68 F", "here", [])
    20.0
    """
    if typed is None or not typed.strip():
        return None
    try:
        number, unit = split_unit(typed)
        value = float(read_decimal(number))
    except NotANumber as problem:
        faults.append(Fault(where, problem.wrong, problem.right))
        return None
    if unit in ("F", "°F"):
        value = (value - 32.0) / 1.8
    elif unit not in ("", "C", "°C"):
        faults.append(Fault(where, f"{shown(unit)} is no unit of temperature", "use C or F"))
        return None
    if not -30.0 <= value <= 150.0:
        faults.append(Fault(where, f"no part is measured at {shown(typed)}", "type it again"))
        return None
    return value


def _temperatures(
    warm: Warmth, part: float | None, gauge: float | None
) -> tuple[Measured, Measured, tuple[str, ...]]:
    of_part, of_gauge = f"temperature:{warm.feature}", "temperature:gauge"
    if part is not None and gauge is not None:
        return Measured.of(part, READ_U, of_part), Measured.of(gauge, READ_U, of_gauge), ()
    if part is None and gauge is None:
        note = (
            "no temperature was written down: part and gauge taken as soaked at"
            f" {warm.shop:g} ± {warm.spread:g} °C"
        )
        shared = {"temperature:shop": warm.spread / math.sqrt(3.0)}
        return (
            Measured(warm.shop, {**shared, of_part: SOAKED_U}),
            Measured(warm.shop, shared),
            (note,),
        )
    known = part if part is not None else gauge or 0.0
    if SOAKED[0] <= known <= SOAKED[1]:
        base = Measured.of(known, READ_U, of_part)
        other = Measured(known, {of_part: READ_U, of_gauge: SOAKED_U})
        words = "the gauge's temperature was not written down: taken as the part's"
        if part is None:
            words = "the part's temperature was not written down: taken as the gauge's"
            return other, base, (words,)
        return base, other, (words,)
    spread = Measured.of(warm.shop, warm.spread / math.sqrt(3.0), "temperature:shop")
    base = Measured.of(known, READ_U, of_part)
    note = f"one temperature was not written down: taken as the shop's {warm.shop:g} °C"
    return (base, spread, (note,)) if part is not None else (spread, base, (note,))


def _of_no_material(read: Measured, part: Measured, gauge: Measured, warm: Warmth) -> Cold:
    """Not corrected, as no expansion is known; what that may do is added."""
    low, high = ANY_ALPHA
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    away = math.hypot(part.value - 20.0, part.u)
    spread = read.value * (half / math.sqrt(3.0) * away + middle * abs(part.value - gauge.value))
    unknown = Measured.of(0.0, abs(spread), f"expansion of {warm.feature}, material not stated")
    note = "the sheet does not say what the part is made of: not corrected to 20 °C"
    return Cold(linear([(1.0, read), (1.0, unknown)]), "", (note,))
