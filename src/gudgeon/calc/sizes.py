"""Calculations about sizes: expansion and conformity."""

from __future__ import annotations

from typing import Final

from gudgeon.calc.calculation import Calculation, Extra, Given, Typed
from gudgeon.calc.options import Option
from gudgeon.faults import Fault
from gudgeon.metrology import conformity, temperature


def _expansion_sum(typed: Typed) -> str:
    size, alpha = typed["size"][0], typed["alpha"][0]
    start, end = typed["from-temp"][0], typed["to-temp"][0]
    below = "" if float(start) == temperature.REFERENCE else f" / (1 + {alpha} x ({start} - 20))"
    return f"{size} x {alpha} x ({end} - {start}){below}"


def _expansion_extra(given: Given, value: float) -> Extra:
    size = given["size"] + value
    return Extra({"size_mm": round(size, 9)}, (f"size at the second temperature: {size:.4f} mm",))


def _conformity_sum(typed: Typed) -> str:
    lower = f"{typed['lower'][0]} <= " if "lower" in typed else ""
    upper = f" <= {typed['upper'][0]}" if "upper" in typed else ""
    return f"chance that {lower}true size{upper}, from {typed['value'][0]} with u {typed['u'][0]},"


def _conformity_check(given: Given) -> Fault | None:
    lower, upper = given.get("lower"), given.get("upper")
    if lower is None and upper is None:
        return Fault("--upper", "there is no limit", "give --lower, --upper or both")
    if lower is not None and upper is not None and lower > upper:
        return Fault("--lower", f"{lower:g} lies above the upper limit {upper:g}", "exchange them")
    return None


def _conformity_extra(given: Given, value: float) -> Extra:
    decision = conformity.decide(**given)
    band = f"limits moved by 2 u = {decision.guard_band:.4g}"
    return Extra({"verdict": decision.verdict}, (f"verdict: {decision.verdict} ({band})",))


SIZES: Final[tuple[Calculation, ...]] = (
    Calculation(
        "expansion",
        "How much a part grows between two temperatures.",
        (
            Option("size", "the size at the first temperature", "75", above=0.0),
            Option(
                "alpha",
                "the expansion coefficient of the metal",
                "21.5e-6",
                "expansion",
                lowest=0.0,
                highest=100e-6,
            ),
            Option(
                "from-temp",
                "the first temperature",
                "20",
                "temperature",
                parameters=("from_temperature",),
                lowest=-60.0,
                highest=300.0,
            ),
            Option(
                "to-temp",
                "the second temperature",
                "100",
                "temperature",
                parameters=("to_temperature",),
                lowest=-60.0,
                highest=300.0,
            ),
        ),
        temperature.growth,
        "length",
        4,
        "growth = size x alpha x (to - from) / (1 + alpha x (from - 20 degC))",
        "ISO 1 (lengths are defined at 20 degC); definition of the coefficient",
        _expansion_sum,
        _expansion_extra,
    ),
    Calculation(
        "conformity",
        "The chance that a measured size lies within its limits, and the verdict.",
        (
            Option("value", "the measured size", "13.6", lowest=-10_000.0),
            Option("u", "its standard uncertainty", "1.8", lowest=0.0),
            Option("lower", "the lower limit", "12.5", least=0, lowest=-10_000.0),
            Option("upper", "the upper limit", "16.3", least=0, lowest=-10_000.0),
        ),
        conformity.conformance_probability,
        "number",
        4,
        "probability of a normal distribution between the limits; verdict with limits moved by 2 u",
        "JCGM 106:2012 clause 7; ISO 14253-1",
        _conformity_sum,
        _conformity_extra,
        _conformity_check,
        spreads=False,
    ),
)
