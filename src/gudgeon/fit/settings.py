"""The settings that the choice of pieces rests on, with what they are when nobody set them.

All defaults are common practice without a source, or plainly the shop's own business; the answer
says which figures it used.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from gudgeon.faults import Fault
from gudgeon.log.settings import Known, in_force
from gudgeon.metrology.settings import SETTINGS as OF_SIZES
from gudgeon.numbers import LARGEST

#: Largest amount of money: the largest number that can be typed at all.
_MOST: Final = float(LARGEST)
#: What both sorts of piece ask for.
_BOTH: Final[dict[str, Known]] = {
    "legal": Known(
        "inside",
        "inside: the forecast lies in the window; guarded: by U = 2u as well",
        choices=("inside", "guarded"),
    ),
}
_SHIMS: Final[dict[str, Known]] = {
    "hour-rate": Known("60", "price of an hour of work, in the shop's currency", 0.0, _MOST),
    "reopen-hours": Known("4", "hours to open the top end again and change a shim", 0.0, 1000.0),
    "reopen-other": Known(
        "60", "what opening again costs besides: waiting, gaskets, goodwill", 0.0, _MOST
    ),
    "tight-extra": Known(
        "200",
        "further loss where a valve settles half a window too tight: it burns; a quarter of it at"
        " half that depth",
        0.0,
        _MOST,
    ),
    "shim-price": Known(
        "10", "price to reckon with for a shim whose price the sheet does not give", 0.0, _MOST
    ),
    "shim-tolerance": Known(
        "0.010", "departure of a new shim from its mark [mm], if not stated", 0.0, 0.1
    ),
    "dry-u": Known(
        "0.008", "standard uncertainty of a clearance read in a dry build [mm]", 0.0, 0.1
    ),
}
_SHELLS: Final[dict[str, Known]] = {
    "shell-tight-weight": Known(
        "2", "how much worse too tight is than too loose: it seizes, the other knocks", 1.0, 100.0
    ),
    "strip-spread": Known("0.006", "what a plastic strip itself may be out, ± [mm]", 0.0, 0.05),
}
SETTINGS: Final[dict[str, Known]] = _BOTH | _SHIMS | _SHELLS
#: Every setting that anything makes use of: name -> what it is.
EVERY: Final[dict[str, Known]] = OF_SIZES | SETTINGS


@dataclass(frozen=True, slots=True)
class Money:
    """What a miss costs, and what counts as legal.

    Attributes:
        reopen: opening the engine again, once. tight: further loss for each valve
            that settles half a window too tight; it grows with the square of the depth.
        shim: price to reckon with for a shim whose price is not given.
        guarded: whether a legal clearance keeps U = 2u off the window's ends.
        shim_tolerance: half-width of a new shim's departure from its mark [mm].
        dry_u: standard uncertainty of a clearance read in a dry build [mm].
        faults: settings that can't be used; the default stands in their place.
    """

    reopen: float
    tight: float
    guarded: bool
    shim_tolerance: float
    dry_u: float
    faults: tuple[Fault, ...] = ()
    shim: float = 10.0


def money(job: Mapping[str, str], shop: Mapping[str, str]) -> Money:
    """What a miss costs in this shop, for this job, by their settings as typed.

    >>> money({"hour-rate": "75"}, {}).reopen
    360.0
    """
    held = in_force(_BOTH | _SHIMS, job, shop)
    number = held.numbers
    return Money(
        number["hour-rate"] * number["reopen-hours"] + number["reopen-other"],
        number["tight-extra"],
        held.words["legal"] == "guarded",
        number["shim-tolerance"],
        number["dry-u"],
        held.faults,
        number["shim-price"],
    )


@dataclass(frozen=True, slots=True)
class ShellSettings:
    """The settings of shells in force.

    Attributes:
        tight_weight: how many times worse a clearance below the window is than one above it.
        guarded: whether a legal clearance keeps U = 2u off the window's ends.
        strip_spread: expanded uncertainty of a plastic strip [mm].
        faults: settings that can't be used; the default stands in their place.
    """

    tight_weight: float = 2.0
    guarded: bool = False
    strip_spread: float = 0.006
    faults: tuple[Fault, ...] = ()


def shell_settings(job: Mapping[str, str], shop: Mapping[str, str]) -> ShellSettings:
    """The settings of shells of a job and its shop, as typed.

    >>> shell_settings({"strip-spread": "0,008"}, {}).strip_spread
    0.008
    """
    held = in_force(_BOTH | _SHELLS, job, shop)
    return ShellSettings(
        held.numbers["shell-tight-weight"],
        held.words["legal"] == "guarded",
        held.numbers["strip-spread"],
        held.faults,
    )
