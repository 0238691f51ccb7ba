"""Which shim goes where, at the least expected cost, and what each valve would then read."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from gudgeon.fit.assign import Shortage
from gudgeon.fit.expected import Option, Plan, least_expected_cost
from gudgeon.fit.joint import Forecast, JointChance, joint_chance
from gudgeon.fit.settings import Money
from gudgeon.fit.shims.pieces import Shelf, Shim, label
from gudgeon.fit.shims.valves import Valve
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.student import interval_chance, normal_cdf

#: A chance below this counts as none: the forecast lies far outside the window.
_LEAST_CHANCE = 1e-12
#: The whole-head chance is told to a tenth of a per cent, so it is computed to half of that.
_TOLD_TO: Final = 5e-4


@dataclass(frozen=True, slots=True)
class Candidate:
    """One shim at one valve.

    Attributes:
        shim: what would go in. clearance: forecast as built [mm].
        bedded: forecast after the first hours [mm].
        chance: that the clearance as built lies in the window.
        tight: how far below the window it settles, in half-widths of the window, squared and
            averaged.
    """

    shim: Shim
    clearance: Measured
    bedded: Measured
    chance: float
    tight: float


@dataclass(frozen=True, slots=True)
class ShimPick:
    """The shim chosen for one valve."""

    valve: Valve
    taken: Candidate
    wanted: float

    @property
    def place(self) -> str:
        """Address of the valve."""
        return self.valve.place


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A valve no shim could be chosen for, and what would have to give."""

    place: str
    why: str


@dataclass(frozen=True, slots=True)
class Choice:
    """The whole choice.

    Attributes:
        picks: one for each valve that could be served, in order.
        left_out: the others.
        joint: the chance that all picks land in their windows, shared errors counted.
        plan: the solver's plan with its proof; none where nothing could be picked.
        pool: for every picked valve, all that was legal there.
        options: the same as the solver saw it.
    """

    picks: tuple[ShimPick, ...]
    left_out: tuple[LeftOut, ...]
    joint: JointChance
    plan: Plan | None
    pool: tuple[tuple[Candidate, ...], ...]
    options: tuple[tuple[Option, ...], ...]


def choose(
    found: Sequence[Valve], shelf: Shelf, money: Money, bedding: tuple[float, float]
) -> Choice:
    """Choose a shim for every valve that can be served.

    `bedding` is the range [mm] by which fresh seats change the clearance in the first hours.
    """
    left: list[LeftOut] = [LeftOut(valve.place, valve.needs) for valve in found if valve.needs]
    served: list[Valve] = []
    pools: list[tuple[Candidate, ...]] = []
    for valve in found:
        if valve.needs:
            continue
        pool = _kept(valve, candidates(valve, shelf, money, bedding))
        if pool:
            served.append(valve)
            pools.append(pool)
        else:
            left.append(LeftOut(valve.place, _why_nothing_fits(valve, shelf)))
    options, plan, short = _solve(served, pools, shelf, money)
    left.extend(short)
    if plan is None:
        return Choice((), tuple(left), JointChance(1.0, (), 0.0), None, (), ())
    picks = tuple(
        ShimPick(valve, pool[k], valve.room.value - valve.aim * valve.ratio)
        for valve, pool, k in zip(served, pools, plan.choice, strict=True)
    )
    return Choice(picks, tuple(left), together(picks), plan, tuple(pools), tuple(options))


def together(picks: Sequence[ShimPick]) -> JointChance:
    """The chance that all picks land in their windows, with the errors they share."""
    return joint_chance(
        [
            Forecast(pick.taken.clearance.value, *pick.valve.window, pick.taken.clearance.parts)
            for pick in picks
        ],
        tolerance=_TOLD_TO,
    )


def candidates(
    valve: Valve, shelf: Shelf, money: Money, bedding: tuple[float, float]
) -> tuple[Candidate, ...]:
    """Every shim that leaves a legal clearance at a valve."""
    low, high = valve.window
    room, ratio = valve.room.value, valve.ratio
    middle, half = sum(bedding) / 2, abs(bedding[1] - bedding[0]) / 2
    settling = Measured(middle, {"bedding": half / math.sqrt(3)}) if valve.beds else Measured(0.0)
    found = []
    for shim in (*shelf.pieces, *shelf.sizes):
        expected = (room - shim.thickness.value) / ratio
        if not low - 1e-9 <= expected <= high + 1e-9:
            continue
        clearance = valve.clearance(shim.thickness)
        if money.guarded and not _within(clearance, low, high):
            continue
        bedded = clearance + settling
        chance = interval_chance(clearance.value, clearance.u, low, high)
        if clearance.u == 0.0 or chance < _LEAST_CHANCE:
            chance = max(chance, _LEAST_CHANCE)
        tight = square_short_of(bedded, low) / ((high - low) / 2) ** 2 if high > low else 0.0
        found.append(Candidate(shim, clearance, bedded, chance, tight))
    return tuple(found)


def _kept(valve: Valve, pool: tuple[Candidate, ...]) -> tuple[Candidate, ...]:
    """A valve that is built and lies in its window keeps its shim: changing it means opening."""
    stays = tuple(c for c in pool if valve.base == "built" and c.shim.source == valve.place)
    return stays or pool


def _within(clearance: Measured, low: float, high: float) -> bool:
    guard = 2 * clearance.u
    return low + guard - 1e-9 <= clearance.value <= high - guard + 1e-9


def square_short_of(value: Measured, limit: float) -> float:
    """The mean square by which a value falls short of a limit, E[max(0, limit − value)²] [mm²].

    For a normal error: u² ((1 + z²) Φ(z) + z φ(z)) with z = (limit − value) / u. Source: the
    second partial moment of the normal distribution; a loss that grows with the square of the
    departure is Taguchi's quality loss (Taguchi, Introduction to Quality Engineering, 1986; from
    memory).

    >>> round(square_short_of(Measured(0.11, {"u": 0.01}), 0.11), 6)
    5e-05
    >>> round(square_short_of(Measured(0.10), 0.11), 6)
    0.0001
    """
    u, short = value.u, limit - value.value
    if u == 0.0:
        return max(0.0, short) ** 2
    z = short / u
    density = math.exp(-z * z / 2) / math.sqrt(2 * math.pi)
    return max(0.0, u * u * ((1 + z * z) * normal_cdf(z) + z * density))


def _solve(
    served: list[Valve], pools: list[tuple[Candidate, ...]], shelf: Shelf, money: Money
) -> tuple[list[tuple[Option, ...]], Plan | None, list[LeftOut]]:
    """Solve; where the pieces do not go round, leave out one valve after another and say so."""
    numbers = {shim.ident: number for number, shim in enumerate(shelf.pieces)}
    left: list[LeftOut] = []
    while served:
        options = [
            tuple(_option(valve, candidate, numbers, money) for candidate in pool)
            for valve, pool in zip(served, pools, strict=True)
        ]
        plan = least_expected_cost(options, money.reopen)
        if not isinstance(plan, Shortage):
            return options, plan, left
        last = max(plan.places)
        names = ", ".join(served[place].place for place in plan.places)
        have = ", ".join(shelf.pieces[piece].label for piece in plan.pieces) or "none"
        left.append(
            LeftOut(
                served[last].place,
                f"{names} share too few legal shims ({have}) and none can be bought: widen the"
                " series or put shims in the drawer",
            )
        )
        del served[last], pools[last]
    return [], None, left


def _option(valve: Valve, candidate: Candidate, numbers: dict[str, int], money: Money) -> Option:
    shim = candidate.shim
    stays = shim.source == valve.place
    off = candidate.bedded.value - valve.aim
    # Equal plans: nearest the aim, the loose side rather than the tight, a shim left where it is.
    tie = abs(off) + (0.002 if off < 0 else 0.0) - (0.004 if stays else 0.0)
    return Option(
        None if shim.bought else numbers[shim.ident],
        shim.cost(money) + money.tight * candidate.tight,
        math.log(candidate.chance),
        tie,
    )


def _why_nothing_fits(valve: Valve, shelf: Shelf) -> str:
    """What would have to give where no shim is legal."""
    low, high = valve.window
    thin = valve.room.value - high * valve.ratio
    thick = valve.room.value - low * valve.ratio
    wants = f"it wants a shim from {label(thin)} to {label(thick)}"
    if not shelf.sizes:
        return f"{wants}: none is in the drawer and the sheet gives no series to buy from"
    first, last = shelf.sizes[0].thickness.value, shelf.sizes[-1].thickness.value
    if thick < first:
        return (
            f"{wants}, thinner than the series goes ({label(first)}): measure again; then a new"
            " valve, the tip ground within the maker's limit, or a new seat insert"
        )
    if thin > last:
        return (
            f"{wants}, thicker than the series goes ({label(last)}): measure again; the valve"
            " hangs low or a reading is wrong"
        )
    return f"{wants}, between two sizes of the series: its step is too coarse for the window"


def to_buy(picks: Sequence[ShimPick]) -> list[tuple[Shim, int, tuple[str, ...]]]:
    """Each size to buy, how many, and for which valves."""
    bought = [pick for pick in picks if pick.taken.shim.bought]
    counts = Counter(pick.taken.shim.ident for pick in bought)
    told = []
    for ident in sorted(counts):
        mine = [pick for pick in bought if pick.taken.shim.ident == ident]
        told.append((mine[0].taken.shim, counts[ident], tuple(pick.place for pick in mine)))
    return told
