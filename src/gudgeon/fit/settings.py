"""The shop's settings that the choice of pieces rests on, with what they are when nobody set them.

A setting in the job's log goes before one in the shop's. All defaults are common practice without
a source, or plainly the shop's own business; the answer says which figures it used.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

from gudgeon.faults import Fault, Unusable
from gudgeon.log.job import Job, Shop
from gudgeon.numbers import NotANumber, read_decimal


class Known(NamedTuple):
    """A setting: its value when not set, and what it means."""

    default: str
    meaning: str


SETTINGS: Final[dict[str, Known]] = {
    "hour-rate": Known("60", "price of an hour of work, in the shop's currency"),
    "reopen-hours": Known("4", "hours to open the top end again and change a shim"),
    "reopen-other": Known("60", "what opening again costs besides: waiting, gaskets, goodwill"),
    "tight-extra": Known(
        "200",
        "further loss where a valve settles half a window too tight (it burns); in proportion",
    ),
    "legal": Known("inside", "inside: the forecast lies in the window; guarded: by U = 2u as well"),
    "shim-tolerance": Known("0.010", "departure of a new shim from its mark [mm], if not stated"),
    "dry-u": Known("0.008", "standard uncertainty of a clearance read in a dry build [mm]"),
}


@dataclass(frozen=True, slots=True)
class Money:
    """What a miss costs, and what counts as legal.

    Attributes:
        reopen: opening the engine again, once. tight: further loss for each valve
            that settles half a window too tight, and in proportion.
        guarded: whether a legal clearance keeps U = 2u off the window's ends.
        shim_tolerance: half-width of a new shim's departure from its mark [mm].
        dry_u: standard uncertainty of a clearance read in a dry build [mm].
    """

    reopen: float
    tight: float
    guarded: bool
    shim_tolerance: float
    dry_u: float


def setting(name: str, job: Job, shop: Shop) -> str:
    """A setting as typed: the job's, else the shop's, else its default."""
    return job.settings.get(name) or shop.settings.get(name) or SETTINGS[name].default


def amount(name: str, job: Job, shop: Shop) -> float:
    """A setting as a number from 0.

    Raises:
        Unusable: what was set is not such a number.
    """
    text = setting(name, job, shop)
    try:
        value = float(read_decimal(text))
    except NotANumber as problem:
        raise problem.at(f"setting {name}") from None
    if value < 0:
        raise Unusable(Fault(f"setting {name}", f"{text} is below 0", "set an amount from 0"))
    return value


def money(job: Job, shop: Shop) -> Money:
    """What a miss costs in this shop, for this job.

    Raises:
        Unusable: a setting is not what it should be.
    """
    legal = setting("legal", job, shop)
    if legal not in ("inside", "guarded"):
        raise Unusable(
            Fault("setting legal", f"'{legal[:20]}' is no rule", "set inside or guarded")
        )
    return Money(
        amount("hour-rate", job, shop) * amount("reopen-hours", job, shop)
        + amount("reopen-other", job, shop),
        amount("tight-extra", job, shop),
        legal == "guarded",
        amount("shim-tolerance", job, shop),
        amount("dry-u", job, shop),
    )
