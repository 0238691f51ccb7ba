"""The settings that verdicts rest on, with what they are when nobody set them.

A setting in the job's log goes before one in the shop's. One that can't be used is told as a
fault, and the default stands in its place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from gudgeon.faults import Fault
from gudgeon.metrology.conformity import KINDS, Rule
from gudgeon.numbers import NotANumber, read_decimal, shown


class Known(NamedTuple):
    """A setting: its value when not set, what it means, and what it may be."""

    default: str
    meaning: str
    right: str


SETTINGS: Final[dict[str, Known]] = {
    "decision-rule": Known(
        "expanded",
        "how a verdict is reached: expanded moves each limit by U = k u, probability asks for a"
        " chance, simple takes the value as it stands",
        "set expanded, probability or simple",
    ),
    "coverage": Known("2", "the factor k of the expanded rule", "set a number from 1 to 4"),
    "conformity-chance": Known(
        "0.95", "the chance the probability rule asks for", "set a number from 0.51 to 0.9999"
    ),
    "shop-temperature": Known(
        "20", "temperature of the shop where none was written down [°C]", "set −20 to 50"
    ),
    "shop-temperature-spread": Known(
        "5", "how far the shop may be from that, either way [°C]", "set 0 to 30"
    ),
}
_BOUNDS: Final[dict[str, tuple[float, float]]] = {
    "coverage": (1.0, 4.0),
    "conformity-chance": (0.51, 0.9999),
    "shop-temperature": (-20.0, 50.0),
    "shop-temperature-spread": (0.0, 30.0),
}


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings in force.

    Attributes:
        rule: how a verdict is reached.
        shop_temperature: temperature where none was written down [°C].
        temperature_spread: half-width of what it may be [°C].
        faults: settings that can't be used.
    """

    rule: Rule = field(default_factory=Rule)
    shop_temperature: float = 20.0
    temperature_spread: float = 5.0
    faults: tuple[Fault, ...] = ()


def settings(job: Mapping[str, str], shop: Mapping[str, str]) -> Settings:
    """The settings of a job and its shop, as typed, made into what verdicts use.

    >>> settings({"coverage": "3"}, {"coverage": "2.5"}).rule.k
    3.0
    >>> print(settings({"coverage": "-1"}, {}).faults[0])
    setting coverage: '-1' is not from 1 to 4, set a number from 1 to 4
    """
    faults: list[Fault] = []
    kind = _typed("decision-rule", job, shop)
    chosen = next((known for known in KINDS if known == kind.strip().lower()), None)
    if chosen is None:
        wrong = f"{shown(kind)} is no decision rule"
        faults.append(Fault("setting decision-rule", wrong, SETTINGS["decision-rule"].right))
    numbers = {name: _number(name, _typed(name, job, shop), faults) for name in _BOUNDS}
    return Settings(
        Rule(chosen or "expanded", numbers["coverage"], numbers["conformity-chance"]),
        numbers["shop-temperature"],
        numbers["shop-temperature-spread"],
        tuple(faults),
    )


def _typed(name: str, job: Mapping[str, str], shop: Mapping[str, str]) -> str:
    return job.get(name) or shop.get(name) or SETTINGS[name].default


def _number(name: str, typed: str, faults: list[Fault]) -> float:
    least, most = _BOUNDS[name]
    known = SETTINGS[name]
    try:
        value = float(read_decimal(typed))
    except NotANumber as problem:
        faults.append(Fault(f"setting {name}", problem.wrong, known.right))
        return float(known.default)
    if not least <= value <= most:
        wrong = f"{shown(typed)} is not from {least:g} to {most:g}"
        faults.append(Fault(f"setting {name}", wrong, known.right))
        return float(known.default)
    return value
