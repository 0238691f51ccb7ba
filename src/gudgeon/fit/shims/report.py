"""The whole answer about shims, from readings to what to buy, as one value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp
from typing import Any

from gudgeon.faults import Fault
from gudgeon.fit.assign import Shortage
from gudgeon.fit.frontier import frontier
from gudgeon.fit.settings import Money
from gudgeon.fit.shims.advice import (
    Bracket,
    Checking,
    MeasureAgain,
    brackets,
    checking,
    measure_again,
    sum_text,
)
from gudgeon.fit.shims.choose import Choice, ShimPick, choose, to_buy, together
from gudgeon.fit.shims.pieces import Shelf, Shim, shelf
from gudgeon.fit.shims.valves import (
    BEDDING,
    Fitted,
    ShimReadings,
    Valve,
    held_open,
    valves,
)
from gudgeon.fit.turning import Stop, stops
from gudgeon.metrology.conformity import Decision, Rule, decide
from gudgeon.metrology.measured import Measured
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.select import Shims


@dataclass(frozen=True, slots=True)
class FrontierStep:
    """The best that a number of purchases can do.

    Attributes:
        bought: how many are bought. price: what they cost, as far as prices are given; a shim
            without a price counts as the shop reckons.
        chance_all: chance that the whole head lands, shared errors counted.
        cost: expected cost: purchases, loss from settling tight, reopening times its chance.
        chosen: whether this is the plan that was picked.
    """

    bought: int
    price: float
    chance_all: float
    cost: float
    chosen: bool


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """A clearance read after the build, judged, beside its forecast.

    Attributes:
        place: valve. shim: the shim built in. read: clearance [mm]; none where no gap was left.
        window: [mm]. decision: by the decision rule in force.
        forecast: what the readings before the build foretold for that shim [mm], if they could.
    """

    place: str
    shim: Fitted
    read: Measured | None
    window: tuple[float, float]
    decision: Decision | None
    forecast: Measured | None

    @property
    def surprise(self) -> float | None:
        """Reading less forecast in standard uncertainties of the difference."""
        if self.read is None or self.forecast is None:
            return None
        apart = self.read - self.forecast
        return apart.value / apart.u if apart.u else 0.0


@dataclass(frozen=True, slots=True)
class Screw:
    """A rocker's screw to turn: how far, and the clearance that is wanted."""

    place: str
    read: Measured | None
    aim: float
    turns: float | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class ShimReport:
    """Everything about the shims of one engine."""

    valves: tuple[Valve, ...]
    choice: Choice
    shelf: Shelf
    money: Money
    bedding: tuple[float, float]
    held: tuple[Valve, ...]
    checking: tuple[Checking, ...]
    again: tuple[MeasureAgain, ...]
    brackets: tuple[Bracket, ...]
    frontier: tuple[FrontierStep, ...]
    buy: tuple[tuple[Shim, int, tuple[str, ...]], ...]
    stops: tuple[Stop, ...]
    built: tuple[AsBuilt, ...]
    screws: tuple[Screw, ...]
    faults: tuple[Fault, ...]

    @property
    def chance_all(self) -> float | None:
        """Chance that every valve lands in its window; none where a valve could not be served."""
        return self.choice.joint.all if self.choice.picks and not self.choice.left_out else None


def report(
    sheet: Sheet,
    spec: Shims,
    readings: ShimReadings,
    drawer: Sequence[tuple[Fitted, int]],
    money: Money,
    rule: Rule,
) -> ShimReport:
    """The choice of shims with all its advice."""
    found, faults = valves(sheet.layout, spec, readings)
    limits = spec.bedding
    bedding = (
        (float(limits.min), float(limits.max))
        if limits and limits.min is not None and limits.max is not None
        else BEDDING
    )
    screws = _screws(found, spec)
    has_shims = spec.gear != "rocker-screw"
    pool = shelf(spec, found, _sitting(readings), drawer if has_shims else (), money.shim_tolerance)
    choice = choose(found if has_shims else (), pool, money, bedding)
    held = held_open(found) if has_shims else ()
    return ShimReport(
        found,
        choice,
        pool,
        money,
        bedding,
        held,
        checking(held, pool),
        measure_again(choice, pool, money),
        brackets(choice, pool),
        _frontier(choice, money),
        tuple(to_buy(choice.picks)),
        stops(sheet, sheet.layout.of(spec.at)),
        _as_built(sheet, spec, readings, rule),
        screws,
        tuple(faults),
    )


def _sitting(readings: ShimReadings) -> dict[str, Fitted]:
    """The shim at each place now: the one built in, else the one found there.

    Once anything is built, the shims found at the built places lie somewhere in a tray, and which
    of them went where is not known, so they are not offered again.
    """
    now: dict[str, Fitted] = {}
    for (place, epoch), fitted in readings.shims.items():
        if epoch == "built" or (epoch == "found" and (place, "built") not in readings.shims):
            now[place] = fitted
    return now


def _frontier(choice: Choice, money: Money) -> tuple[FrontierStep, ...]:
    """From the fewest purchases to the best chance, and the plan that was picked among them."""
    if choice.plan is None:
        return ()
    steps = frontier(choice.options)
    if isinstance(steps, Shortage):
        return ()
    best = max(range(len(steps)), key=lambda number: (steps[number].log_p, -number))
    mine = sum(pick.taken.shim.bought for pick in choice.picks)
    told = []
    for number, step in enumerate(steps):
        if number > best and step.bought > mine:
            break
        if step.choice == choice.plan.choice:
            told.append(_step(choice.picks, choice.joint.all, money, chosen=True))
            continue
        picks = [
            ShimPick(pick.valve, pool[k], pick.wanted)
            for pick, pool, k in zip(choice.picks, choice.pool, step.choice, strict=True)
        ]
        told.append(_step(picks, together(picks).all, money, chosen=False))
    if not any(step.chosen for step in told):
        told.append(_step(choice.picks, choice.joint.all, money, chosen=True))
    return tuple(sorted(told, key=lambda step: (step.bought, step.chance_all)))


def _step(picks: Sequence[ShimPick], chance: float, money: Money, chosen: bool) -> FrontierStep:
    bought = [pick.taken.shim for pick in picks if pick.taken.shim.bought]
    price = sum(shim.cost(money) for shim in bought)
    tight = sum(money.tight * pick.taken.tight for pick in picks)
    cost = price + tight + money.reopen * (1.0 - chance)
    return FrontierStep(len(bought), price, chance, cost, chosen)


def _as_built(sheet: Sheet, spec: Shims, readings: ShimReadings, rule: Rule) -> tuple[AsBuilt, ...]:
    before = {v.place: v for v in valves(sheet.layout, spec, readings.before_build())[0]}
    told = []
    for (place, epoch), fitted in readings.shims.items():
        if epoch != "built" or (place, "built") not in readings.gaps or place not in before:
            continue
        valve, read = before[place], readings.gaps[place, "built"]
        told.append(
            AsBuilt(
                place,
                fitted,
                read,
                valve.window,
                decide(read.value, read.u, *valve.window, rule) if read else None,
                None if valve.needs else valve.clearance(fitted.thickness),
            )
        )
    order = {place: number for number, place in enumerate(sheet.layout.of(spec.at))}
    return tuple(sorted(told, key=lambda item: order[item.place]))


def _screws(found: Sequence[Valve], spec: Shims) -> tuple[Screw, ...]:
    """How far to turn each rocker's screw, out positive: (aim − read) / pitch."""
    if spec.gear != "rocker-screw":
        return ()
    told = []
    for valve in found:
        if valve.read is None:
            told.append(Screw(valve.place, None, valve.aim, None, "no clearance was read"))
            continue
        pitch = float(spec.screw_pitch) if spec.screw_pitch else None
        turns = (valve.aim - valve.read.value) / pitch if pitch else None
        why = "" if pitch else "the sheet gives no pitch of the screw"
        told.append(Screw(valve.place, valve.read, valve.aim, turns, why))
    return tuple(told)


def to_json(told: ShimReport) -> dict[str, Any]:
    """The answer as plain data; lengths in millimetres."""
    return {
        "chance_all": _round(told.chance_all, 6),
        "shims": [_pick(pick) for pick in told.choice.picks],
        "left_out": [{"place": item.place, "why": item.why} for item in told.choice.left_out],
        "buy": [
            {
                "what": "shim",
                "size": shim.label,
                "count": count,
                "price": shim.price,
                "places": list(places),
            }
            for shim, count, places in told.buy
        ],
        "measure_again": [
            {
                "place": item.place,
                "what": item.what,
                "chance_now": _round(item.chance, 6),
                "chance_after": _round(item.chance_after, 6),
                "chance_all_after": _round(item.chance_all_after, 6),
            }
            for item in told.again
        ],
        "brackets": [
            {
                "place": item.place,
                "size": item.label,
                "price": item.price,
                "chance_now": _round(item.chance, 6),
                "chance_with": _round(item.chance_with, 6),
            }
            for item in told.brackets
        ],
        "held_open": [
            {
                "place": item.place,
                "clearance_mm": _round(item.old),
                "checking_shim_mm": item.thickness,
            }
            for item in told.checking
        ],
        "frontier": [
            {
                "bought": step.bought,
                "price": step.price,
                "chance_all": _round(step.chance_all, 6),
                "expected_cost": _round(step.cost, 4),
                "chosen": step.chosen,
            }
            for step in told.frontier
        ],
        "expected_cost": _cost(told),
        "as_built": [_built(item) for item in told.built],
        "screws": [
            {
                "place": item.place,
                "clearance_mm": _round(item.read.value if item.read else None),
                "aim_mm": item.aim,
                "turns_out": _round(item.turns, 3),
                "why": item.why,
            }
            for item in told.screws
        ],
        "barred": [
            {"source": item.source, "size": item.label, "why": item.why}
            for item in told.shelf.barred
        ],
        "notes": [
            {"place": valve.place, "note": valve.shim.note}
            for valve in told.valves
            if valve.shim and valve.shim.note
        ],
        "stops": [
            {
                "crank_degrees": stop.angle,
                "cylinder": stop.cylinder,
                "turn_on_degrees": stop.turn,
                "valves": list(stop.valves),
            }
            for stop in told.stops
        ],
    }


def _pick(pick: ShimPick) -> dict[str, Any]:
    valve, taken = pick.valve, pick.taken
    before = valve.read
    wanted, left = sum_text(pick)
    return {
        "place": pick.place,
        "basis": valve.base,
        "clearance_before_mm": _round(before.value if before else None),
        "shim_before_mm": _round(valve.shim.thickness.value if valve.shim else None),
        "rise_mm": _round(valve.rise.value),
        "wanted_mm": _round(pick.wanted),
        "shim_mm": _round(taken.shim.thickness.value),
        "source": taken.shim.source,
        "price": taken.shim.price,
        "clearance_mm": _round(taken.clearance.value),
        "u_mm": _round(taken.clearance.u, 5),
        "bedded_mm": _round(taken.bedded.value),
        "window_mm": list(valve.window),
        "aim_mm": valve.aim,
        "chance": _round(taken.chance, 6),
        "sum_wanted": wanted,
        "sum": left,
    }


def _built(item: AsBuilt) -> dict[str, Any]:
    return {
        "place": item.place,
        "shim_mm": _round(item.shim.thickness.value),
        "clearance_mm": _round(item.read.value if item.read else None),
        "u_mm": _round(item.read.u if item.read else None, 5),
        "window_mm": list(item.window),
        "verdict": item.decision.verdict if item.decision else "does not conform",
        "probability": _round(item.decision.probability, 6) if item.decision else 0.0,
        "forecast_mm": _round(item.forecast.value if item.forecast else None),
        "forecast_u_mm": _round(item.forecast.u if item.forecast else None, 5),
        "surprise": _round(item.surprise, 2),
    }


def _cost(told: ShimReport) -> Mapping[str, Any] | None:
    plan = told.choice.plan
    if plan is None:
        return None
    return {
        "expected": round(plan.cost, 4),
        "proven_least": round(plan.lower_bound, 4),
        "purchases_and_tight_loss": round(plan.money, 4),
        "reopen": told.money.reopen,
        "tight_extra": told.money.tight,
        "chance_if_errors_were_independent": round(exp(plan.log_p), 6),
        "assignments_solved": plan.solves,
    }


def _round(value: float | None, digits: int = 4) -> float | None:
    return None if value is None else round(value, digits)
