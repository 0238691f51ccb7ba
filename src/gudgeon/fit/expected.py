"""The choice of pieces with the least expected cost, exact, with its proof.

Every place has options: a piece already there (each piece serves one place) or a purchase. An
option costs money, and lands in its place's window with some chance. If any place misses, the
engine is opened again at the cost of a redo, so a plan costs

    money + redo * (1 - product of the chances).

With b = money and L = -sum(log chance) this is concave in (b, L): its least value lies on a vertex
of the lower convex hull of all plans' (b, L), and a vertex is what an ordinary assignment with
costs ``b + rate * L`` finds at some rate. The search narrows the rates that matter, then halves
what is left by the chord of two neighbouring vertices until no point that their supporting lines
allow could be cheaper than the best plan found. That is the proof behind `Plan.lower_bound`.

References:
    1. Y. P. Aneja and K. P. K. Nair, "Bicriteria transportation problem", Management Science
       25 (1979) 73-78 (the search by chords).
    2. R. Horst and H. Tuy, *Global Optimization: Deterministic Approaches*, 3rd ed., Springer
       1996, ch. 1 (a concave function over a polytope is least at a vertex).
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, expm1, fsum, inf, isfinite
from typing import NamedTuple

from gudgeon.fit.assign import OWN, Assignment, Network, Shortage

TOLERANCE = 1e-9
"""`Plan.cost` is proven least to this fraction of (1 + redo + all money in play)."""


@dataclass(frozen=True, slots=True)
class Option:
    """One way to fill a place.

    Attributes:
        piece: number of the piece, or None for a purchase, which no other place can take.
        cost: money, which adds up over places: price and any further expected loss.
        log_p: natural logarithm of the chance that the place lands in its window.
        tie: among plans of equal cost the one with the least sum of `tie` is taken.
    """

    piece: int | None
    cost: float
    log_p: float
    tie: float = 0.0


class Vertex(NamedTuple):
    """A plan no other beats in both money and chance, at some rate of exchange between them."""

    money: float
    log_p: float
    choice: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan of least expected cost.

    Attributes:
        choice: for each place, the position of the option taken.
        cost: expected cost, money and the chance of a redo together.
        money: the sum of the options' costs.
        log_p: logarithm of the chance that every place lands in its window.
        lower_bound: no plan costs less than this; proven.
        vertices: the plans met on the way, by rising money.
        solves: how many assignments were solved.
    """

    choice: tuple[int, ...]
    cost: float
    money: float
    log_p: float
    lower_bound: float
    vertices: tuple[Vertex, ...]
    solves: int

    @property
    def chance(self) -> float:
        """Chance that every place lands in its window."""
        return exp(self.log_p)


def least_expected_cost(
    places: Sequence[Sequence[Option]], redo: float, *, tie_worth: float = 1e-4
) -> Plan | Shortage:
    """Choose an option for every place at the least expected cost over all plans.

    Args:
        places: the options of each place; only those that are legal there.
        redo: what putting a miss right costs, in the money of the options.
        tie_worth: what the whole spread of `Option.tie` may be worth at most. The plan's cost
            exceeds the least cost by no more than this, for the sake of ties.

    Returns:
        The plan; or the shortage when the pieces do not go round. The plan's `lower_bound` lies
        within `TOLERANCE` (relative) + `tie_worth` (only where ties are given) of its cost.

    Raises:
        ValueError: a cost, tie or `redo` is not finite, `redo` or `tie_worth` is below 0, or a
            chance is 0 or above 1.

    Examples:
        >>> from math import log
        >>> shim, new = Option(0, 0.0, log(0.80)), Option(None, 9.0, log(0.95))
        >>> least_expected_cost([[shim, new], [shim, new]], redo=40.0).choice
        (0, 1)
        >>> least_expected_cost([[shim, new], [shim, new]], redo=400.0).choice
        (1, 1)
    """
    _check(places, redo, tie_worth)
    for number, options in enumerate(places):
        if not options:
            return Shortage((number,), ())
    ledger = _read(places, tie_worth)
    search = _Search(ledger, redo)
    shortage = search.run()
    if shortage:
        return Shortage(shortage.places, tuple(ledger.pieces[c] for c in shortage.pieces))
    return _plan(places, search, redo, tie_worth)


def _check(places: Sequence[Sequence[Option]], redo: float, tie_worth: float) -> None:
    if not (isfinite(redo) and redo >= 0.0):
        raise ValueError(f"redo cost {redo}: want a finite amount, 0 or more")
    if not (isfinite(tie_worth) and tie_worth >= 0.0):
        raise ValueError(f"tie_worth {tie_worth}: want a finite amount, 0 or more")
    for number, options in enumerate(places):
        for option in options:
            if not isfinite(option.cost + option.tie):
                raise ValueError(f"place {number}: cost {option.cost}, tie {option.tie}: infinite")
            if not -inf < option.log_p <= 0.0:
                raise ValueError(f"place {number}: chance exp({option.log_p}): want above 0, to 1")


def _plan(
    places: Sequence[Sequence[Option]], search: _Search, redo: float, tie_worth: float
) -> Plan:
    met = {point.choice for point in search.met}
    vertices = []
    for choice in met:
        taken = [options[k] for options, k in zip(places, choice, strict=True)]
        money = fsum(option.cost for option in taken)
        vertices.append(Vertex(money, fsum(option.log_p for option in taken), choice))
    vertices.sort()
    best = next(vertex for vertex in vertices if vertex.choice == search.best.choice)
    tied = tie_worth if search.ledger.tied else 0.0
    return Plan(
        choice=best.choice,
        cost=best.money - redo * expm1(best.log_p),
        money=best.money,
        log_p=best.log_p,
        lower_bound=search.bound - search.slack - tied,
        vertices=tuple(vertices),
        solves=search.solves,
    )


class _Ledger(NamedTuple):
    """The options in columns: cost (ties folded in), L = -log chance, piece, position.

    `own` holds the purchases, the other lists the pieces, renumbered from 0 as in `pieces`.
    """

    cost: list[list[float]]
    loss: list[list[float]]
    piece: list[list[int]]
    position: list[list[int]]
    own: list[list[tuple[float, float, int]]]
    pieces: list[int]
    tied: bool
    least_money: float
    money_in_play: float


def _read(places: Sequence[Sequence[Option]], tie_worth: float) -> _Ledger:
    """Fold ties into costs, at a weight so small that all of them together weigh `tie_worth`."""
    lowest = [min([option.tie for option in options]) for options in places]
    spread = sum(max([o.tie for o in options]) for options in places) - sum(lowest)
    weight = tie_worth / spread if spread > 0.0 else 0.0
    numbers: dict[int, int] = {}
    ledger = _Ledger([], [], [], [], [], [], weight > 0.0, 0.0, 0.0)
    least, most = 0.0, 0.0
    for options, low in zip(places, lowest, strict=True):
        costs = [option.cost + weight * (option.tie - low) for option in options]
        shared = [k for k, option in enumerate(options) if option.piece is not None]
        ledger.cost.append([costs[k] for k in shared])
        ledger.loss.append([-options[k].log_p for k in shared])
        row = [options[k].piece for k in shared]
        ledger.piece.append([numbers.setdefault(p, len(numbers)) for p in row if p is not None])
        ledger.position.append(shared)
        ledger.own.append(
            [(costs[k], -o.log_p, k) for k, o in enumerate(options) if o.piece is None]
        )
        least += min(costs)
        most += max(max(costs), -min(costs))
    ledger.pieces.extend(numbers)
    return ledger._replace(least_money=least, money_in_play=most)


def _trim(ledger: _Ledger, low: float, high: float) -> _Ledger:
    """Drop options that no optimal assignment at a rate between `low` and `high` needs.

    Costs are linear in the rate, so an option that is no dearer at both ends is no dearer in
    between. A piece may go if (a) a purchase for the same place is no dearer, or (b) options with
    as many different pieces as there are places are no dearer: the other places hold one piece
    fewer than that, so one of these is free or already here, and taking it instead costs
    nothing. Identical pieces are the plainest case: of those a place keeps as many as there are
    places. Options of equal cost count as no dearer only in their order in the list, so that two
    never drop each other; dropped options need not be counted, for what is no dearer than they
    are is no dearer than what they bar.
    """
    count = len(ledger.own)
    out = _Ledger([], [], [], [], [], ledger.pieces, *ledger[6:])
    for costs, losses, pieces, positions, owned in zip(*ledger[:5], strict=True):
        own = _undominated(owned, low, high)
        ends = [(cost + low * loss, cost + high * loss) for cost, loss, _ in own]
        keys = [
            (cost + low * loss, cost + high * loss, k)
            for k, (cost, loss) in enumerate(zip(costs, losses, strict=True))
        ]
        for at_low, at_high in ends:
            keys = [key for key in keys if key[0] < at_low or key[1] < at_high]
        if len(keys) > count and len({pieces[key[2]] for key in keys}) == len(keys):
            # (A piece listed twice for a place would count twice: then nothing is dropped.)
            keys = _cheapest(keys, count)
        kept = [key[2] for key in keys]
        out.cost.append([costs[k] for k in kept])
        out.loss.append([losses[k] for k in kept])
        out.piece.append([pieces[k] for k in kept])
        out.position.append([positions[k] for k in kept])
        out.own.append(own)
    return out


def _undominated(
    owned: list[tuple[float, float, int]], low: float, high: float
) -> list[tuple[float, float, int]]:
    """The purchases that are cheapest for their place at some rate between the two."""
    if len(owned) < 2:
        return owned
    kept, least = [], inf
    for cost, loss, k in sorted(owned, key=lambda o: (o[0] + low * o[1], o[0] + high * o[1])):
        if cost + high * loss < least:
            least = cost + high * loss
            kept.append((cost, loss, k))
    return kept


def _cheapest(keys: list[tuple[float, float, int]], limit: int) -> list[tuple[float, float, int]]:
    """The options that fewer than `limit` others are no dearer than, at both ends."""
    keys.sort()
    kept: list[tuple[float, float, int]] = []
    seen: list[float] = []
    for key in keys:
        if bisect_right(seen, key[1]) < limit:
            insort(seen, key[1])
            kept.append(key)
    return kept


class _Point(NamedTuple):
    """A plan as a point (money with ties, L), and the plan."""

    money: float
    loss: float
    choice: tuple[int, ...]


class _Search:
    """The search over rates; `best`, `bound` and `met` are its result."""

    def __init__(self, ledger: _Ledger, redo: float) -> None:
        self.ledger = ledger
        self.redo = redo
        self.slack = 0.001 * TOLERANCE * (1.0 + redo + ledger.money_in_play)
        self.met: list[_Point] = []
        self.best = _Point(inf, inf, ())
        self.bound = inf
        self.solves = 0
        self._use(ledger)

    def _use(self, ledger: _Ledger) -> None:
        self.active = ledger
        self.network = Network(ledger.piece, len(ledger.pieces))
        self.start: Assignment | None = None

    def worth(self, money: float, loss: float) -> float:
        """Expected cost of a plan with this money and L."""
        return money - self.redo * expm1(-loss)

    def least(self) -> float:
        return self.worth(self.best.money, self.best.loss)

    def at(self, rate: float) -> _Point | Shortage:
        """The cheapest plan when L is paid for at `rate`."""
        active = self.active
        self.solves += 1
        costs = [
            [cost + rate * loss for cost, loss in zip(row, losses, strict=True)]
            for row, losses in zip(active.cost, active.loss, strict=True)
        ]
        owned = [
            min([(c + rate * loss, c, loss, k) for c, loss, k in own], default=(inf, inf, inf, -1))
            for own in active.own
        ]
        answer = self.network.solve(costs, [own[0] for own in owned], self.start)
        if isinstance(answer, Shortage):
            return answer
        self.start = answer
        money, losses, choice = [], [], []
        for place, k in enumerate(answer.choice):
            if k == OWN:
                _, cost, loss, position = owned[place]
            else:
                cost, loss = active.cost[place][k], active.loss[place][k]
                position = active.position[place][k]
            money.append(cost)
            losses.append(loss)
            choice.append(position)
        point = _Point(fsum(money), fsum(losses), tuple(choice))
        self.met.append(point)
        if self.worth(point.money, point.loss) < self.least():
            self.best = point
        return point

    def plan_at(self, rate: float) -> _Point:
        point = self.at(rate)
        assert isinstance(point, _Point)  # what exists at one rate exists at all
        return point

    def run(self) -> Shortage | None:
        """Find the cheapest plan and prove it.

        A plan x that is cheapest is also cheapest at its own rate, redo * exp(-L(x)): the cost
        is concave, so its tangent at x lies above it and no plan lies below the tangent's
        level. Rates above redo therefore never matter, and below `low` neither: a plan with
        such a rate would cost at least the least money + redo - low, which is the best known.
        """
        self._use(_trim(self.ledger, self.redo, self.redo))
        first = self.at(self.redo)
        if isinstance(first, Shortage):
            return first
        low = max(0.0, self.redo - (self.least() - self.ledger.least_money) - self.slack)
        high = self.redo * exp(-first.loss)
        if low >= high:
            self.bound = self.least()
            return None
        self._use(_trim(self.ledger, low, high))
        right, high = self._inwards(first, self.redo, falling=True)
        low = max(low, self.redo - (self.least() - self.ledger.least_money) - self.slack)
        if low < high:
            left, low = self._inwards(self.plan_at(low), low, falling=False)
            self._between(left, low, right, high)
        self.bound = min(self.bound, self.least())
        return None

    def _inwards(self, point: _Point, rate: float, *, falling: bool) -> tuple[_Point, float]:
        """Follow each plan to its own rate until it stays the cheapest there.

        With the plan at one rate known, all plans between its L and the next one's lie on or
        above the next one's supporting line, along which the expected cost is no less than at
        that next plan (its slope in L keeps one sign up to there). So everything outside the
        last point is settled.
        """
        while True:
            own_rate = self.redo * exp(-point.loss)
            if (own_rate >= rate) if falling else (own_rate <= rate):
                return point, rate
            rate = own_rate
            following = self.plan_at(rate)
            same = abs(following.loss - point.loss) <= 1e-12 * (1.0 + point.loss)
            if same:
                return point, rate
            point = following

    def _between(self, left: _Point, low: float, right: _Point, high: float) -> None:
        """Settle all plans between two vertices, each known to be cheapest at its rate.

        None lies below the two supporting lines, so none beats the lesser of the vertices and
        the lines' crossing (a concave function is least in a corner of the triangle).
        """
        todo = [(left, low, right, high)]
        while todo:
            left, low, right, high = todo.pop()
            if low >= high or left.loss <= right.loss:
                continue
            at_low, at_high = left.money + low * left.loss, right.money + high * right.loss
            loss = (at_high - at_low) / (high - low)
            crossing = self.worth(at_low - low * loss, loss)
            if crossing >= self.least() - self.slack:
                self.bound = min(self.bound, crossing)
                continue
            rate = (right.money - left.money) / (left.loss - right.loss)
            rate = min(max(rate, low), high)
            middle = self.plan_at(rate)
            on_chord = left.money + rate * left.loss
            gain = on_chord - (middle.money + rate * middle.loss)
            if gain <= self.slack or middle.choice in (left.choice, right.choice):
                continue  # the chord is an edge of the hull: nothing lies below it
            todo += [(left, low, middle, rate), (middle, rate, right, high)]
