"""The least expected cost when errors have common sources, with a proven bracket.

As in `gudgeon.fit.expected`, a plan costs money + redo * (1 - P); but P, the chance that all places
land, is now a mean over the shared sources, P = sum over k of w_k * product of p_i(z_k), a rule
of points z_k and weights w_k.

*A good plan.* With q_k the share of point k in P at a plan, Jensen's inequality gives

    log P(other plan) >= log P(plan) + sum over k of q_k * (log ratio of the products at z_k),

a sum over places: an ordinary expected-cost problem, whose answer is no worse (reference 1). Its
answers are improved by single changes and exchanges.

*A bound.* For any g_i(z_k) > 0 with product G_k, Hoelder's inequality over n places gives

    P <= product over i of (sum over k of w_k * G_k * (p_i(z_k) / g_i(z_k))^n)^(1/n),

again a product over places, so the least cost under it is found exactly and lies below every plan.
The g are raised along the bound's slope (it is concave in log g); then places are fixed one by
one, each fixed one entering exactly, until the bracket closes or the effort allowed is spent.

References:
    1. D. R. Hunter and K. Lange, "A tutorial on MM algorithms", The American Statistician
       58 (2004) 30-37.
    2. G. H. Hardy, J. E. Littlewood and G. Polya, *Inequalities*, 2nd ed., Cambridge 1952,
       theorem 11 (Hoelder's inequality for several factors).
    3. B. T. Polyak, "Minimization of unsmooth functionals", USSR Computational Mathematics and
       Mathematical Physics 9 (1969) 14-29 (the length of a step).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from math import exp, fsum, inf, log
from typing import TYPE_CHECKING, NamedTuple

from gudgeon.fit.assign import Shortage
from gudgeon.fit.expected import Option, Plan, least_expected_cost
from gudgeon.fit.frontier import frontier
from gudgeon.fit.joint import (
    Forecast,
    chance_alone,
    hermite_rule,
    joint_chance,
    lattice,
    normal_cdf,
    shared_loadings,
)

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

    Array = NDArray[float64]

_FAINT = 1e-9  # points of less weight are left out, and counted as error
_LEAST = 1e-30  # chances at a point are raised to this in bounds: P can only rise
_ORDERS = {1: (32, 128), 2: (16, 40), 3: (10, 16)}  # of Hermite's rule, by rank
_STEEP = 2.0  # common over own error; beyond it the finer order is taken
_STEPS = 6  # up the bound's slope before branching; measured: more do not pay
_STEEPEST = 50.0  # a bound on log P above this says nothing


@dataclass(frozen=True, slots=True)
class SharedOption:
    """One way to fill a place, with its errors by source.

    Attributes:
        piece: number of the piece, or None for a purchase, which no other place can take.
        cost: money, which adds up over places: price and any further expected loss.
        forecast: the size or clearance this would give, its window and its error's parts.
        tie: among plans of equal cost the one with the least sum of `tie` is taken.
    """

    piece: int | None
    cost: float
    forecast: Forecast
    tie: float = 0.0


@dataclass(frozen=True, slots=True)
class SharedPlan:
    """The best plan found, and how much better any other could be.

    Attributes:
        choice: for each place, the position of the option taken.
        cost: expected cost, money and the chance of a redo together.
        money: the sum of the options' costs.
        chance: chance that every place lands in its window.
        per_place: chance of each place alone.
        lower_bound: no plan costs less, if the rule of points is as good for all plans as it is
            for this one.
        error: estimate of the numerical error of `chance`, allowed for in `lower_bound`.
        solves: how many expected-cost problems were solved.
    """

    choice: tuple[int, ...]
    cost: float
    money: float
    chance: float
    per_place: tuple[float, ...]
    lower_bound: float
    error: float
    solves: int

    @property
    def gap(self) -> float:
        """What another plan could save at most."""
        return max(0.0, self.cost - self.lower_bound)


def best_under_sharing(
    places: Sequence[Sequence[SharedOption]],
    redo: float,
    *,
    tie_worth: float = 1e-4,
    close_to: float = 0.05,
    effort: int = 100,
) -> SharedPlan | Shortage:
    """Choose an option for every place at least expected cost, errors shared between places.

    Args:
        places: the options of each place; only those that are legal there.
        redo: what putting a miss right costs, in the money of the options.
        tie_worth: what the whole spread of `SharedOption.tie` may be worth at most.
        close_to: stop when no plan can save more than this.
        effort: stop after this many bounds (about 1 ms each for 16 places), whatever the gap.

    Returns:
        The plan with its gap, or the shortage when the pieces do not go round.

    Raises:
        ValueError: as `least_expected_cost` and `chance_alone`.

    Examples:
        >>> good = Forecast(0.14, 0.11, 0.17, {"feel": 0.012, "own": 0.004})
        >>> poor = Forecast(0.16, 0.11, 0.17, {"feel": 0.012, "own": 0.004})
        >>> shim, new = SharedOption(0, 0.0, poor), SharedOption(None, 9.0, good)
        >>> best_under_sharing([[shim, new], [shim, new]], redo=60.0).choice
        (1, 1)
    """
    alone = [
        [Option(o.piece, o.cost, _log(chance_alone(o.forecast)), o.tie) for o in options]
        for options in places
    ]
    apart = least_expected_cost(alone, redo, tie_worth=tie_worth)
    if isinstance(apart, Shortage):
        return apart
    if not places:
        return SharedPlan((), 0.0, 0.0, 1.0, (), 0.0, 0.0, apart.solves)
    options, tied = _fold_ties(alone, tie_worth)
    rule = _rule(places)
    search = _Search(options, rule, redo)
    search.climb(apart.choice)
    steps = frontier(alone)
    if not isinstance(steps, Shortage):
        search.climb(min((step.choice for step in steps), key=search.cost))
    search.improve()
    bound = search.close(close_to, effort)
    taken = [options[k].forecast for options, k in zip(places, search.best, strict=True)]
    money = fsum(options[k].cost for options, k in zip(places, search.best, strict=True))
    joint = joint_chance(taken)
    error = joint.error + rule.faint + abs(joint.all - search.chance(search.best))
    return SharedPlan(
        choice=search.best,
        cost=money + redo * (1.0 - joint.all),
        money=money,
        chance=joint.all,
        per_place=joint.per_place,
        lower_bound=bound - redo * error - tied,
        error=error,
        solves=search.solves,
    )


def _log(chance: float) -> float:
    return min(0.0, log(chance)) if chance > 0.0 else -inf


def _fold_ties(
    places: Sequence[Sequence[Option]], tie_worth: float
) -> tuple[list[list[Option]], float]:
    """Put ties into costs, all of them together worth `tie_worth`; return what they are worth."""
    lowest = [min(option.tie for option in options) for options in places]
    spread = fsum(max(option.tie for option in options) for options in places) - fsum(lowest)
    weight = tie_worth / spread if spread > 0.0 else 0.0
    folded = [
        [Option(o.piece, o.cost + weight * (o.tie - low), o.log_p) for o in options]
        for options, low in zip(places, lowest, strict=True)
    ]
    return folded, tie_worth if spread > 0.0 else 0.0


class _Rule(NamedTuple):
    """Weights of the points, and for each place the chance of each option at each point."""

    weights: Array
    chances: list[Array]
    faint: float


def _rule(places: Sequence[Sequence[SharedOption]]) -> _Rule:
    import numpy as np

    flat = [(place, o.forecast) for place, options in enumerate(places) for o in options]
    loadings, private = shared_loadings([f.parts for _, f in flat], [place for place, _ in flat])
    rank = loadings.shape[1]
    faint = 0.0
    if rank == 0:
        points, weights = np.zeros((1, 0)), np.ones(1)
    elif rank in _ORDERS:
        steep = (abs(loadings).max(axis=1) > _STEEP * np.array(private)).any()
        points, weights = hermite_rule(rank, _ORDERS[rank][int(steep)])
        seen = weights > _FAINT
        points, weights, faint = points[seen], weights[seen], float(weights[~seen].sum())
    else:
        points = lattice(rank, 509, 46)[0]
        weights = np.full(len(points), 1.0 / len(points))
    low = np.array([f.lo - f.mean for _, f in flat]) - points @ loadings.T
    high = np.array([f.hi - f.mean for _, f in flat]) - points @ loadings.T
    spread = np.maximum(private, 1e-12)  # mm: nothing is known so well
    with np.errstate(over="ignore"):
        chances = (normal_cdf(high / spread) - normal_cdf(low / spread)).T
    ends = np.cumsum([len(options) for options in places])
    return _Rule(weights, np.split(chances, ends[:-1]), faint)


class _Branch(NamedTuple):
    """Plans that share the options fixed so far: (place, position) each."""

    bound: float
    number: int
    fixed: tuple[tuple[int, int], ...]
    guide: Array
    next_place: int


class _Search:
    """The search for a plan and for its bound, on one rule of points."""

    def __init__(self, places: Sequence[Sequence[Option]], rule: _Rule, redo: float) -> None:
        import numpy as np

        self.places = places
        self.weights = rule.weights
        self.chances = rule.chances
        self.logs = [np.log(np.clip(chances, _LEAST, 1.0)) for chances in rule.chances]
        self.redo = redo
        self.best: tuple[int, ...] = ()
        self.least = inf
        self.solves = 0

    # The plan

    def at(self, choice: Sequence[int], without: Sequence[int] = ()) -> Array:
        """Weight times the chance of all places (but those left out), at each point."""
        product = self.weights.copy()
        for place, k in enumerate(choice):
            if place not in without:
                product *= self.chances[place][k]
        return product

    def chance(self, choice: Sequence[int]) -> float:
        return float(self.at(choice).sum())

    def money(self, choice: Sequence[int]) -> float:
        return fsum(options[k].cost for options, k in zip(self.places, choice, strict=True))

    def cost(self, choice: Sequence[int]) -> float:
        return self.money(choice) + self.redo * (1.0 - self.chance(choice))

    def offer(self, choice: tuple[int, ...]) -> bool:
        """Take the plan if it is the best so far."""
        cost = self.cost(choice)
        if cost < self.least - 1e-12 * (1.0 + self.redo):
            self.least, self.best = cost, choice
            return True
        return False

    def climb(self, choice: tuple[int, ...]) -> None:
        """From a plan to better ones by Jensen's bound, while that helps."""
        while self.offer(choice):
            share = self.at(choice)
            chance = float(share.sum())
            if chance <= 0.0:
                return
            means = [logs @ (share / chance) for logs in self.logs]
            level = fsum(float(mean[k]) for mean, k in zip(means, choice, strict=True))
            plan = self.solve(
                means, self.redo * chance * exp(min(600.0, -level)), range(len(choice)), set()
            )
            if plan is None:
                return
            choice = plan.choice

    def solve(
        self, logs: Sequence[Array], redo: float, places: Sequence[int], gone: set[int | None]
    ) -> Plan | None:
        """Least expected cost over some places, with other chances; None if pieces run short."""
        self.solves += 1
        options = [
            [
                Option(option.piece, option.cost, value)
                if option.piece is None or option.piece not in gone
                else None
                for option, value in zip(self.places[place], values.tolist(), strict=True)
            ]
            for place, values in zip(places, logs, strict=True)
        ]
        kept = [[k for k, option in enumerate(row) if option] for row in options]
        plan = least_expected_cost([[o for o in row if o] for row in options], redo)
        if isinstance(plan, Shortage):
            return None
        choice = tuple(row[k] for row, k in zip(kept, plan.choice, strict=True))
        return replace(plan, choice=choice)

    def improve(self) -> None:
        """Change one place, or let one take another's piece, as long as that helps."""
        while any(self._improve_at(place) for place in range(len(self.places))):
            pass

    def _improve_at(self, place: int) -> bool:
        best = self.best
        held = {
            self.places[other][k].piece: other
            for other, k in enumerate(best)
            if other != place and self.places[other][k].piece is not None
        }
        rest = self.at(best, (place,))
        values = self.chances[place] @ rest
        improved = False
        for k, option in enumerate(self.places[place]):
            other = held.get(option.piece)
            choice = list(best)
            choice[place] = k
            if other is None:
                money = self.money(choice)
                if money + self.redo * (1.0 - float(values[k])) < self.least:
                    improved |= self.offer(tuple(choice))
                continue
            both = self.at(choice, (other,))
            for j, chance in enumerate((self.chances[other] @ both).tolist()):
                piece = self.places[other][j].piece
                if piece is not None and (piece == option.piece or piece in held):
                    continue
                choice[other] = j
                if self.money(choice) + self.redo * (1.0 - chance) < self.least:
                    improved |= self.offer(tuple(choice))
        return improved

    # The bound

    def close(self, close_to: float, effort: int) -> float:
        """Raise the lower bound by branching until it is close to the best plan; return it."""
        import numpy as np

        allowed = self.solves + effort
        root = self.bound((), np.zeros((len(self.places), len(self.weights))), _STEPS)
        heap = [root] if root else []
        while heap and heap[0].bound < self.least - close_to and self.solves < allowed:
            branch = heappop(heap)
            place = branch.next_place
            taken = {self.places[p][k].piece for p, k in branch.fixed} - {None}
            for k, option in enumerate(self.places[place]):
                if option.piece in taken:
                    continue
                child = self.bound((*branch.fixed, (place, k)), branch.guide, 1)
                if child:
                    # What holds for the branch holds for each part of it.
                    heappush(heap, child._replace(bound=max(child.bound, branch.bound)))
        return min(self.least, heap[0].bound if heap else inf)

    def bound(self, fixed: tuple[tuple[int, int], ...], guide: Array, steps: int) -> _Branch | None:
        """Bound the plans of a branch from below; None if it holds none but those tried."""
        free = [place for place in range(len(self.places)) if place not in dict(fixed)]
        if not free:
            self.offer(tuple(k for _, k in sorted(fixed)))
            return None
        best, kept, place, length = -inf, guide, free[0], 1.0
        for _ in range(steps):
            found = self._hoelder(fixed, free, guide)
            if found is None:
                return None
            value, slope = found
            if value > best:
                best, kept = value, guide
                uneven = abs(slope).sum(axis=1)
                most = max(
                    range(len(free)), key=lambda i: (len(self.places[free[i]]) > 1, uneven[i])
                )
                place = free[most]
            else:
                length *= 0.7
            steep = float((slope * slope).sum())
            if best >= self.least or steep == 0.0 or value == -inf:
                break
            guide = guide.copy()
            guide[free] += length * (self.least - value) / steep * slope
        return _Branch(best, self.solves, fixed, kept, place)

    def _hoelder(
        self, fixed: tuple[tuple[int, int], ...], free: Sequence[int], guide: Array
    ) -> tuple[float, Array] | None:
        """The bound with g = exp(guide), and its slope in the guide; None if pieces run short."""
        import numpy as np

        count = len(free)
        level = np.log(self.weights) + guide[free].sum(axis=0)
        for place, k in fixed:
            level = level + self.logs[place][k]
        terms = [level + count * (self.logs[place] - guide[place]) for place in free]
        sizes = [_log_sum(term) for term in terms]
        tops = [float(size.max()) / count for size in sizes]
        if fsum(tops) > _STEEPEST:
            return -inf, np.zeros((count, len(level)))
        redo = self.redo * exp(fsum(tops))
        plan = self.solve(
            [np.minimum(0.0, size / count - top) for size, top in zip(sizes, tops, strict=True)],
            redo,
            free,
            {self.places[place][k].piece for place, k in fixed} - {None},
        )
        if plan is None:
            return None
        full = dict(fixed) | dict(zip(free, plan.choice, strict=True))
        self.offer(tuple(full[place] for place in range(len(self.places))))
        money = fsum(self.places[place][k].cost for place, k in fixed)
        shares = np.array(
            [
                np.exp(term[k] - size[k])
                for term, size, k in zip(terms, sizes, plan.choice, strict=True)
            ]
        )
        slope = redo * plan.chance * (shares - shares.mean(axis=0))
        return money + self.redo - redo + plan.lower_bound, slope


def _log_sum(terms: Array) -> Array:
    """Logarithm of the sum of exponentials, along the last axis."""
    import numpy as np

    top = terms.max(axis=-1, keepdims=True)
    result: Array = (top + np.log(np.exp(terms - top).sum(axis=-1, keepdims=True)))[..., 0]
    return result
