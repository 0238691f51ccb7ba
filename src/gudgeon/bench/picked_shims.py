"""The shims of an engine as its page shows them: each with its sum, its landing and what to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gudgeon.bench.addresses import place_of
from gudgeon.bench.drawing.small import Landing, Step, dial, landing, stairs
from gudgeon.bench.page import drawn
from gudgeon.bench.words import Words, words_of
from gudgeon.fit.shims.advice import sum_text
from gudgeon.order.text import amount
from gudgeon.record.figures import percent
from gudgeon.record.said import every, listed, mm, money, span, spoken, with_u

if TYPE_CHECKING:
    from gudgeon.fit.shims.choose import ShimPick
    from gudgeon.fit.shims.report import AsBuilt, ShimReport
    from gudgeon.log.job import Job


@dataclass(frozen=True, slots=True)
class ShimLine:
    """One valve's shim.

    Attributes:
        place, spoken, to: where. shim: to fit, its size. source: where it comes from, in words.
        sum, leaves: the shim wanted and what the one picked leaves, as sums. clearance: forecast.
        window, aim: [mm]. chance: of landing in it. notes: what to do first. figure: drawn.
    """

    place: str
    spoken: str
    to: str
    shim: str
    source: str
    sum: str
    leaves: str
    clearance: str
    window: str
    chance: str
    notes: tuple[str, ...]
    figure: str = drawn()


@dataclass(frozen=True, slots=True)
class Built:
    """A clearance read after the build, beside its forecast. surprise: in words, if it is one."""

    place: str
    spoken: str
    shim: str
    read: str
    window: str
    verdict: str
    forecast: str
    surprise: str
    figure: str = drawn()


@dataclass(frozen=True, slots=True)
class Frontier:
    """What a number of purchases would do."""

    bought: int
    price: str
    chance: str
    cost: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the crank must stand to read which valves. turn: how far from the one before."""

    angle: str
    turn: str
    cylinder: str
    valves: str
    figure: str = drawn()


@dataclass(frozen=True, slots=True)
class ShimPart:
    """The shims of the engine.

    Attributes:
        chance_all: that every clearance lands; empty where a valve has no shim.
        costs: what the choice costs and proves, in words. lines: valve by valve.
        left_out: valves without a pick, and why. again: what to measure again, and what it buys.
        brackets: what to order besides. held: valves that the old shim would hold open.
        barred: shims not to be used. screws: for engines with screws. bedding: in words.
    """

    chance_all: str
    costs: str
    lines: tuple[ShimLine, ...]
    left_out: tuple[tuple[str, str], ...]
    buy: tuple[str, ...]
    frontier: tuple[Frontier, ...]
    again: tuple[tuple[str, str, str], ...]
    brackets: tuple[str, ...]
    held: tuple[str, ...]
    barred: tuple[str, ...]
    screws: tuple[tuple[str, str], ...]
    stops: tuple[Standing, ...]
    built: tuple[Built, ...]
    bedding: str
    page: str
    figure: str = drawn()


def shim_part(job: Job, told: ShimReport) -> ShimPart:
    """The shims of a job, ready to be shown."""
    return _Shims(job, told).part()


class _Shims:
    """The part about shims."""

    def __init__(self, job: Job, told: ShimReport) -> None:
        self.job, self.told = job, told
        self.words: Words = words_of("picks")
        self.currency = job.sheet.currency

    def part(self) -> ShimPart:
        """The whole part."""
        told, layout, spec = self.told, self.job.sheet.layout, self.job.sheet.select.shims
        chance = told.chance_all
        left: dict[str, list[str]] = {}
        for item in told.choice.left_out:
            left.setdefault(item.why, []).append(item.place)
        steps = [Step(step.bought, step.chance_all, step.chosen) for step in told.frontier]
        low, high = told.bedding
        return ShimPart(
            "" if chance is None else percent(chance),
            self._costs(),
            tuple(self._line(pick) for pick in told.choice.picks),
            tuple((every(places, layout), why) for why, places in left.items()),
            tuple(
                self.words(
                    "buy-unpriced" if shim.price is None else "buy",
                    n=count,
                    size=shim.label,
                    price=money(shim.price, self.currency),
                    places=listed(spoken(place) for place in places),
                )
                for shim, count, places in told.buy
            ),
            tuple(
                Frontier(
                    step.bought,
                    amount(step.price),
                    percent(step.chance_all),
                    amount(step.cost),
                    step.chosen,
                )
                for step in told.frontier
            ),
            tuple(
                (spoken(item.place), item.what, percent(item.chance_all_after))
                for item in told.again
            ),
            tuple(
                self.words(
                    "bracket",
                    place=spoken(item.place),
                    size=item.label,
                    price=money(item.price, self.currency) or self.words("price-not-given"),
                    now=percent(item.chance),
                    after=percent(item.chance_with),
                )
                for item in told.brackets
            ),
            tuple(self._held()),
            tuple(
                self.words("barred", size=item.label, source=spoken(item.source), why=item.why)
                for item in told.shelf.barred
            ),
            tuple(self._screws()),
            tuple(self._stops()),
            tuple(self._built(item) for item in told.built),
            self.words("bedding", low=mm(low, 2), high=mm(high, 2)),
            (spec.source or "") if spec is not None else "",
            stairs(steps, self.words("frontier")) if len(steps) > 1 else "",
        )

    def _costs(self) -> str:
        plan = self.told.choice.plan
        if plan is None:
            return ""
        return self.words(
            "costs",
            cost=money(plan.cost, self.currency),
            least=money(plan.lower_bound, self.currency),
            reopen=money(self.told.money.reopen, self.currency),
        )

    def _line(self, pick: ShimPick) -> ShimLine:
        taken, valve = pick.taken, pick.valve
        wanted, leaves = sum_text(pick)
        source = taken.shim.source
        if source == pick.place:
            where = self.words("stays")
        elif source in ("buy", "drawer"):
            where = self.words(f"from-{source}")
        else:
            where = self.words("from-place", place=spoken(source))
        base = f"base-{valve.base}"
        notes = [self.words(base)] if base in self.words.texts else []
        if any(item.place == pick.place for item in self.told.held):
            notes.append(self.words("held-open"))
        if valve.shim is not None and valve.shim.note:
            notes.append(self.words("shim-note", note=valve.shim.note))
        built = next((item for item in self.told.built if item.place == pick.place), None)
        read = built.read.value if built is not None and built.read is not None else None
        figure = Landing(*valve.window, valve.aim, taken.clearance.value, taken.clearance.u, read)
        chance = percent(taken.chance)
        words = self.words("landing", place=spoken(pick.place), chance=chance)
        return ShimLine(
            pick.place,
            spoken(pick.place),
            place_of(self.job.name, pick.place),
            taken.shim.label,
            where,
            wanted,
            leaves,
            with_u(taken.clearance.value, taken.clearance.u),
            span(*valve.window, decimals=2),
            chance,
            tuple(notes),
            landing(figure, words),
        )

    def _held(self) -> Iterator[str]:
        for item in self.told.checking:
            place = spoken(item.place)
            if item.old is None:
                said = self.words("held-no-gap", place=place)
            elif item.old <= 0:
                said = self.words("held-by", place=place, gap=mm(item.old))
            else:
                said = self.words("held-too-little", place=place, gap=mm(item.old))
            thin = ""
            if item.thickness is not None:
                thin = " " + self.words("checking", size=mm(item.thickness))
            yield said + thin

    def _screws(self) -> Iterator[tuple[str, str]]:
        for screw in self.told.screws:
            if screw.turns is None:
                yield spoken(screw.place), screw.why
            else:
                way = "screw-out" if screw.turns >= 0 else "screw-in"
                yield spoken(screw.place), self.words(way, turns=f"{abs(screw.turns):.2f}")

    def _stops(self) -> Iterator[Standing]:
        for stop in self.told.stops:
            words = self.words("crank-at", angle=f"{stop.angle:g}", cylinder=stop.cylinder)
            names = listed(spoken(place).removeprefix("valve ") for place in stop.valves)
            turn = self.words("turn-on", turn=f"{stop.turn:g}") if stop.turn else ""
            yield Standing(f"{stop.angle:g}°", turn, stop.cylinder, names, dial(stop.angle, words))

    def _built(self, item: AsBuilt) -> Built:
        low, high = item.window
        verdict = item.decision.verdict if item.decision else "does not conform"
        far = item.surprise
        forecast, u = (item.forecast.value, item.forecast.u) if item.forecast else (None, 0.0)
        read = item.read.value if item.read else None
        figure = Landing(low, high, None, forecast, u, read)
        words = self.words("landing-built", place=spoken(item.place), verdict=verdict)
        return Built(
            item.place,
            spoken(item.place),
            mm(item.shim.thickness.value),
            with_u(item.read.value, item.read.u) if item.read else self.words("no-gap"),
            span(low, high, decimals=2),
            verdict,
            with_u(item.forecast.value, item.forecast.u) if item.forecast else "",
            self.words("surprise") if far is not None and abs(far) > 3 else "",
            landing(figure, words),
        )
