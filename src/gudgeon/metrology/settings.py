"""The settings that sizes and verdicts rest on, with what they are when nobody set them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from gudgeon.faults import Fault
from gudgeon.log.settings import Known, in_force
from gudgeon.metrology.class_likelihood import HOUSING, JOURNAL, Wear
from gudgeon.metrology.conformity import KINDS, Rule

SETTINGS: Final[dict[str, Known]] = {
    "decision-rule": Known(
        "expanded",
        "how a verdict is reached: expanded moves each limit by U = k u, probability asks for a"
        " chance, simple takes the value as it stands",
        choices=KINDS,
    ),
    "coverage": Known("2", "the factor k of the expanded rule", 1.0, 4.0),
    "conformity-chance": Known("0.95", "the chance the probability rule asks for", 0.51, 0.9999),
    "shop-temperature": Known(
        "20", "temperature of the shop where none was written down [°C]", -20.0, 50.0
    ),
    "shop-temperature-spread": Known(
        "5", "how far the shop may be from that, either way [°C]", 0.0, 30.0
    ),
    "journal-wear": Known(
        "0.002", "mean wear of a sound journal, before it is measured [mm]", 0.0, 0.1
    ),
    "housing-wear": Known("0.0005", "mean growth of a sound housing [mm]", 0.0, 0.1),
    "misstamped": Known("0.01", "chance that a mark is not its part's at all", 0.0, 0.5),
}


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings in force.

    Attributes:
        rule: how a verdict is reached.
        shop_temperature: temperature where none was written down [°C].
        temperature_spread: half-width of what it may be [°C].
        faults: settings that can't be used.
        journal, housing: what is thought of their wear and marks before measuring.
    """

    rule: Rule = field(default_factory=Rule)
    shop_temperature: float = 20.0
    temperature_spread: float = 5.0
    faults: tuple[Fault, ...] = ()
    journal: Wear = JOURNAL
    housing: Wear = HOUSING


def settings(job: Mapping[str, str], shop: Mapping[str, str]) -> Settings:
    """The settings of a job and its shop, as typed, made into what verdicts use.

    >>> settings({"coverage": "3"}, {"coverage": "2.5"}).rule.k
    3.0
    >>> print(settings({"coverage": "-1"}, {}).faults[0])
    setting coverage: '-1' is not from 1 to 4, set a number from 1 to 4
    """
    held = in_force(SETTINGS, job, shop)
    number = held.numbers
    kind = next(kind for kind in KINDS if kind == held.words["decision-rule"])
    return Settings(
        Rule(kind, number["coverage"], number["conformity-chance"]),
        number["shop-temperature"],
        number["shop-temperature-spread"],
        held.faults,
        Wear(number["journal-wear"], "smaller", number["misstamped"]),
        Wear(number["housing-wear"], "larger", number["misstamped"]),
    )
