"""What would raise the chance of right first time: a dry build, a bracket shim."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from gudgeon.fit.settings import Money
from gudgeon.fit.shims.choose import Choice, ShimPick
from gudgeon.fit.shims.pieces import Shelf, label
from gudgeon.fit.shims.valves import Valve
from gudgeon.metrology.student import interval_chance

_GRID = 81
_REACH = 4.0
#: A gain in the whole head's chance smaller than this is not worth a line.
_WORTH = 0.002


@dataclass(frozen=True, slots=True)
class MeasureAgain:
    """A valve to read again before ordering.

    Attributes:
        place: its address. what: what to do.
        chance: of this valve now. chance_after: of this valve, expected after it.
        chance_all_after: of the whole head after it.
    """

    place: str
    what: str
    chance: float
    chance_after: float
    chance_all_after: float


@dataclass(frozen=True, slots=True)
class Bracket:
    """A neighbouring size to order as well, in case the forecast is a little off.

    Attributes:
        place: valve. label: size to order besides. price: its price.
        chance: with the pick alone. chance_with: with either of the two at hand.
    """

    place: str
    label: str
    price: float | None
    chance: float
    chance_with: float


@dataclass(frozen=True, slots=True)
class Checking:
    """A checking shim to build dry with, where the old shim would hold the valve open.

    Attributes:
        place: valve. old: the clearance its old shim would leave [mm].
        thickness: of a shim thin enough to leave a gap that can be read [mm].
    """

    place: str
    old: float | None
    thickness: float | None


def measure_again(choice: Choice, shelf: Shelf, money: Money) -> tuple[MeasureAgain, ...]:
    """The valves whose better reading would most raise the whole head's chance, best first.

    The better reading is a clearance read in a dry build with a checking shim, standard
    uncertainty `money.dry_u` [mm]; afterwards the best size that can be bought is fitted. The
    expectation is taken over what that reading may turn out to be.
    """
    told = []
    for pick in choice.picks:
        now, after = pick.taken.chance, chance_after_dry_build(pick, shelf, money)
        whole = min(1.0, choice.joint.all * after / now)
        if whole - choice.joint.all >= _WORTH:
            told.append(MeasureAgain(pick.place, _what(pick.valve), now, after, whole))
    return tuple(sorted(told, key=lambda item: -item.chance_all_after))


def _what(valve: Valve) -> str:
    if valve.base in ("seated", "estimate"):
        return "build dry with a checking shim and read the clearance"
    return "read the clearance again with 0.01 blades"


def chance_after_dry_build(pick: ShimPick, shelf: Shelf, money: Money) -> float:
    """Expected chance of one valve after a dry build, with the best size that can then be had."""
    valve, taken = pick.valve, pick.taken
    low, high = valve.window
    sizes = [shim.thickness for shim in (*shelf.sizes, taken.shim)]
    steps = sorted({size.value for size in sizes})
    new_u = max((size.u for size in sizes), default=0.0) / valve.ratio
    u_then = math.hypot(money.dry_u, new_u)
    spread = math.hypot(_room_u(pick), money.dry_u)
    total = weight = 0.0
    for number in range(_GRID):
        z = _REACH * (2 * number / (_GRID - 1) - 1)
        share = math.exp(-z * z / 2)
        room = valve.room.value + z * spread * valve.ratio
        best = max(
            interval_chance((room - step) / valve.ratio, u_then, low, high)
            for step in _near(steps, room - (low + high) / 2 * valve.ratio)
        )
        total += share * best
        weight += share
    return total / weight


def _room_u(pick: ShimPick) -> float:
    return pick.valve.room.u / pick.valve.ratio


def _near(steps: Sequence[float], wanted: float) -> tuple[float, ...]:
    """The sizes on both sides of a wanted one; one is always there."""
    for thin, thick in pairwise(steps):
        if thin <= wanted <= thick:
            return thin, thick
    return (steps[0],) if wanted < steps[0] else (steps[-1],)


def brackets(choice: Choice, shelf: Shelf) -> tuple[Bracket, ...]:
    """For each doubtful valve, the one neighbouring size that helps most if ordered as well."""
    told = []
    for pick in choice.picks:
        best: Bracket | None = None
        for shim in shelf.sizes:
            gap = abs(shim.thickness.value - pick.taken.shim.thickness.value)
            if not 1e-6 < gap <= 0.0501:
                continue
            either = _either(pick, shim.thickness.value)
            if either - pick.taken.chance < 0.01:
                continue
            if best is None or either > best.chance_with + 1e-12:
                best = Bracket(pick.place, shim.label, shim.price, pick.taken.chance, either)
        if best is not None:
            told.append(best)
    return tuple(sorted(told, key=lambda item: item.chance))


def _either(pick: ShimPick, other: float) -> float:
    """Chance that the pick or a shim of `other` thickness [mm] lands in the window."""
    low, high = pick.valve.window
    mean, u = pick.taken.clearance.value, pick.taken.clearance.u
    shift = (other - pick.taken.shim.thickness.value) / pick.valve.ratio
    ranges = sorted([(low, high), (low + shift, high + shift)])
    if ranges[1][0] <= ranges[0][1]:
        return interval_chance(mean, u, ranges[0][0], ranges[1][1])
    return sum(interval_chance(mean, u, *span) for span in ranges)


def checking(held: Sequence[Valve], shelf: Shelf) -> tuple[Checking, ...]:
    """A checking shim for each valve that its old shim holds open."""
    thinnest = shelf.sizes[0].thickness.value if shelf.sizes else None
    told = []
    for valve in held:
        old = valve.with_old_shim
        thickness = thinnest
        # A tenth of a millimetre more than the widest gap allowed reads well with blades. Where no
        # gap could be read there is none to reckon with, and the shim there bounds the room.
        most = valve.room.value if not valve.needs else _there(valve)
        if most is not None:
            wanted = most - (valve.window[1] + 0.1) * valve.ratio
            fits = [s.thickness.value for s in shelf.sizes if s.thickness.value <= wanted]
            thickness = fits[-1] if fits else thinnest or wanted
        told.append(Checking(valve.place, old.value if old else None, thickness))
    return tuple(told)


def _there(valve: Valve) -> float | None:
    return valve.shim.thickness.value if valve.shim is not None else None


def sum_text(pick: ShimPick) -> tuple[str, str]:
    """The sums as a person would write them: the size wanted, and the clearance it will leave.

    The first as old shim + clearance with it − aim, the second with the shim that was picked.
    """
    valve = pick.valve
    assert valve.read is not None
    assert valve.shim is not None
    old, gap, rise = valve.shim.thickness.value, valve.read.value, valve.rise.value
    new = pick.taken.shim.thickness.value
    clear = _short(pick.taken.clearance.value)
    if valve.ratio != 1.0:
        back = f" − {_short(rise)}" if rise else ""
        lever = f"{valve.ratio:g}"
        return (
            f"{label(old)}{back} + {lever} × ({_short(gap)} − {_short(valve.aim)})"
            f" = {label(pick.wanted)}",
            f"{_short(gap)} + ({label(old)}{back} − {label(new)}) / {lever} = {clear}",
        )
    after = f"({_short(gap)} − {_short(rise)})" if rise else _short(gap)
    return (
        f"{label(old)} + {after} − {_short(valve.aim)} = {label(pick.wanted)}",
        f"{label(old)} + {after} − {label(new)} = {clear}",
    )


def _short(value: float) -> str:
    """Two decimals, or three where the third says something; a true minus sign."""
    text = f"{value:.3f}"
    text = text[:-1] if text.endswith("0") else text
    return text.replace("-", "−")
