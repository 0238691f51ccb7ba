"""Wear that is suspect where a manual gives no limit. A warning, never a limit.

The maker's manual comes first. Nothing here may be shown as a limit, or stand in a verdict: these
are one government manual's rules for industrial engines, good for "that looks worn, find the
maker's figure".

Source: US Army TM 10-3930-647-14&P (fork-lift engine), general wear limits.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple


class WearRule(NamedTuple):
    """Suspect wear as a share of a size [mm per mm], plus a constant [mm]."""

    what: str
    of: str
    share: float
    constant_mm: float


_INCH: Final = 25.4

WEAR_RULES: Final[dict[str, WearRule]] = {
    "bore wear": WearRule("wear of a bore over its new size", "bore diameter", 0.001, 0.0),
    "bore taper": WearRule("taper of a bore", "piston travel", 0.0005, 0.0),
    "piston wear": WearRule("wear of a piston below its new size", "piston diameter", 0.0005, 0.0),
    "journal clearance": WearRule(
        "oil clearance over the highest new figure", "journal diameter", 0.0005, 0.0
    ),
    "journal out-of-round": WearRule("journal out of round", "journal diameter", 0.0004, 0.0),
    "end play": WearRule("end play over the highest new figure", "", 0.0, 0.005 * _INCH),
    "valve stem wear": WearRule("wear of a stem below its new size", "", 0.0, 0.001 * _INCH),
    "guide wear": WearRule("wear of a guide over its new size", "", 0.0, 0.0015 * _INCH),
    "seat width": WearRule("growth of a seat's width", "original seat width", 0.15, 0.0),
}


def suspect_wear(rule: str, size: float = 0.0) -> float:
    """Wear [mm] from which a part without a limit looks worn: share × size + constant.

    `rule` is a name in `WEAR_RULES`, `size` [mm] what that rule scales with (none for some).
    Use as a warning only, never as a limit.

    Raises ValueError for an unknown rule, or a size missing, negative or not finite.

    Source: US Army TM 10-3930-647-14&P, general wear limits.

    >>> round(suspect_wear("bore wear", 58.0), 3)
    0.058
    """
    if rule not in WEAR_RULES:
        raise ValueError(f"rule {rule!r} is none of {', '.join(WEAR_RULES)}")
    entry = WEAR_RULES[rule]
    if not 0.0 <= size < math.inf or (entry.share and size == 0.0):
        raise ValueError(f"{rule} needs the {entry.of or 'size'} in mm, above 0; got {size:g}")
    return entry.share * size + entry.constant_mm
