"""The settings the choice of shells rests on, with what they are when nobody set them.

None has a source: all are common practice, or plainly the shop's own business.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from gudgeon.faults import Fault
from gudgeon.fit.class_likelihood import HOUSING, JOURNAL, Wear
from gudgeon.numbers import NotANumber, read_decimal, shown


class Known(NamedTuple):
    """A setting: its value when not set, what it means, and the bounds of what it may be."""

    default: str
    meaning: str
    least: float
    most: float


SETTINGS: Final[dict[str, Known]] = {
    "journal-wear": Known(
        "0.002", "mean wear of a sound journal, before it is measured [mm]", 0.0, 0.1
    ),
    "housing-wear": Known("0.0005", "mean growth of a sound housing [mm]", 0.0, 0.1),
    "misstamped": Known("0.01", "chance that a mark is not its part's at all", 0.0, 0.5),
    "shell-tight-weight": Known(
        "2", "how much worse too tight is than too loose: it seizes, the other knocks", 1.0, 100.0
    ),
    "strip-spread": Known("0.006", "what a plastic strip itself may be out, ± [mm]", 0.0, 0.05),
}
_LEGAL: Final = "legal"


@dataclass(frozen=True, slots=True)
class ShellSettings:
    """The settings in force.

    Attributes:
        journal, housing: what is thought of their wear and marks before measuring.
        tight_weight: how many times worse a clearance below the window is than one above it.
        guarded: whether a legal clearance keeps U = 2u off the window's ends.
        strip_spread: expanded uncertainty of a plastic strip [mm].
        faults: settings that can't be used; the default stands in their place.
    """

    journal: Wear = JOURNAL
    housing: Wear = HOUSING
    tight_weight: float = 2.0
    guarded: bool = False
    strip_spread: float = 0.006
    faults: tuple[Fault, ...] = field(default=())


def shell_settings(job: Mapping[str, str], shop: Mapping[str, str]) -> ShellSettings:
    """The settings of a job and its shop, as typed; the job's go first.

    >>> shell_settings({"journal-wear": "0,003"}, {}).journal.scale
    0.003
    >>> print(shell_settings({}, {"misstamped": "2"}).faults[0])
    setting misstamped: '2' is not from 0 to 0.5, set a number from 0 to 0.5
    """
    faults: list[Fault] = []
    number = {
        name: _number(name, job.get(name) or shop.get(name) or known.default, faults)
        for name, known in SETTINGS.items()
    }
    legal = job.get(_LEGAL) or shop.get(_LEGAL) or "inside"
    if legal not in ("inside", "guarded"):
        faults.append(Fault("setting legal", f"{shown(legal)} is no rule", "set inside or guarded"))
    return ShellSettings(
        Wear(number["journal-wear"], "smaller", number["misstamped"]),
        Wear(number["housing-wear"], "larger", number["misstamped"]),
        number["shell-tight-weight"],
        legal == "guarded",
        number["strip-spread"],
        tuple(faults),
    )


def _number(name: str, typed: str, faults: list[Fault]) -> float:
    known = SETTINGS[name]
    right = f"set a number from {known.least:g} to {known.most:g}"
    try:
        value = float(read_decimal(typed))
    except NotANumber as problem:
        faults.append(Fault(f"setting {name}", problem.wrong, right))
        return float(known.default)
    if not known.least <= value <= known.most:
        wrong = f"{shown(typed)} is not from {known.least:g} to {known.most:g}"
        faults.append(Fault(f"setting {name}", wrong, right))
        return float(known.default)
    return value
