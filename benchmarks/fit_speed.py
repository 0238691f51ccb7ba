"""Selective fit against general solvers, on the same instances: `python benchmarks/fit_speed.py`.

Sixteen valves, 0 to 300 spare shims, new ones at mixed prices. Ours finds the least *expected*
cost, 1 - product of the chances and all, and proves it. The others solve the additive
approximation, price + redo * sum of (1 - chance): the most an assignment, an integer programme or
a constraint solver takes in one go; their times include laying out the problem. All numbers are
invented, from a fixed seed.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from math import expm1, inf, log
from random import Random
from statistics import NormalDist, median
from time import perf_counter
from typing import Any

import numpy as np
from ortools.sat.python import cp_model
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp
from scipy.sparse import csr_array

from gudgeon.fit.assign import Shortage
from gudgeon.fit.expected import Option, least_expected_cost

VALVES = 16
WINDOW = 0.03  # either side of the wanted size [mm]
STEP = 0.025  # of the series [mm]
REDO = 600.0
TOO_TIGHT = 150.0  # what a tight valve costs beyond the redo
PRICES = (6.5, 9.0, 12.0)
SPARES = (0, 10, 40, 300)

Places = list[list[Option]]


def head(spare: int, seed: int) -> Places:
    """The legal options of one invented head."""
    random, normal = Random(seed), NormalDist()
    stock = [
        (number, random.uniform(1.2, 2.2), random.choice((0.002, 0.004)), 0.0)
        for number in range(spare)
    ]
    series = [(None, 1.2 + STEP * k, 0.004, random.choice(PRICES)) for k in range(41)]
    places: Places = []
    for _ in range(VALVES):
        wanted, u = random.uniform(1.2, 2.2), random.uniform(0.009, 0.015)
        row = []
        for piece, size, own, price in [*stock, *series]:
            off, spread = wanted - size, (u * u + own * own) ** 0.5
            if abs(off) < WINDOW:
                tight = normal.cdf((-WINDOW - off) / spread)
                chance = normal.cdf((WINDOW - off) / spread) - tight
                row.append(Option(piece, price + TOO_TIGHT * tight, log(chance), abs(off)))
        places.append(row)
    return places


def additive(option: Option) -> float:
    """The option's cost when chances of a miss are simply added."""
    return option.cost - REDO * expm1(option.log_p)


def ours(places: Places) -> float:
    plan = least_expected_cost(places, REDO)
    if isinstance(plan, Shortage):
        raise ValueError(f"no plan: {plan}")
    return plan.cost


def by_scipy(places: Places) -> float:
    count = 1 + max((o.piece for row in places for o in row if o.piece is not None), default=-1)
    full = np.full((VALVES, count + VALVES), inf)
    for place, row in enumerate(places):
        for option in row:
            column = count + place if option.piece is None else option.piece
            full[place, column] = min(full[place, column], additive(option))
    return float(full[linear_sum_assignment(full)].sum())


def by_highs(places: Places) -> float:
    flat = [(place, option) for place, row in enumerate(places) for option in row]
    pieces = sorted({o.piece for _, o in flat if o.piece is not None})
    line = {piece: VALVES + k for k, piece in enumerate(pieces)}
    entries = [(place, column) for column, (place, _) in enumerate(flat)]
    entries += [(line[o.piece], column) for column, (_, o) in enumerate(flat) if o.piece in line]
    rows, columns = zip(*entries, strict=True)
    matrix = csr_array((np.ones(len(entries)), (rows, columns)))
    lowest = np.r_[np.ones(VALVES), np.zeros(len(pieces))]
    found = milp(
        [additive(option) for _, option in flat],
        integrality=np.ones(len(flat)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(matrix, lowest, np.ones(len(lowest))),
    )
    return float(found.fun)


def by_cp_sat(places: Places) -> float:
    model: Any = cp_model.CpModel()
    terms: list[Any] = []
    users: dict[int, list[Any]] = {}
    for row in places:
        taken = [model.new_bool_var("") for _ in row]
        model.add_exactly_one(taken)
        for var, option in zip(taken, row, strict=True):
            terms.append(round(additive(option) * 1e6) * var)
            if option.piece is not None:
                users.setdefault(option.piece, []).append(var)
    for rivals in users.values():
        model.add_at_most_one(rivals)
    model.minimize(sum(terms))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    if solver.solve(model) != cp_model.OPTIMAL:
        raise ValueError("CP-SAT found no optimum")
    return float(solver.objective_value / 1e6)


def timed(solve: Callable[[Places], float], heads: list[Places]) -> tuple[float, list[float]]:
    """Median time [ms], and the answers."""
    solve(heads[0])
    times, answers = [], []
    for places in heads:
        start = perf_counter()
        answers.append(solve(places))
        times.append(1e3 * (perf_counter() - start))
    return median(times), answers


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--heads", type=int, default=25, help="instances for each size")
    heads_each = parser.parse_args().heads
    print(f"{VALVES} valves, {heads_each} heads each; medians [ms]; in brackets: times ours")
    print(f"{'spare':>5} {'options':>8} {'ours':>7} {'scipy':>15} {'HiGHS':>15} {'CP-SAT':>15}")
    for spare in SPARES:
        heads = [head(spare, 1000 * spare + number) for number in range(heads_each)]
        options = median(sum(map(len, places)) for places in heads)
        base, _ = timed(ours, heads)
        cells, checks = [], []
        for solve in (by_scipy, by_highs, by_cp_sat):
            time, answers = timed(solve, heads)
            cells.append(f"{time:7.2f} ({time / base:4.1f})")
            checks.append(answers)
        for a, b, c in zip(*checks, strict=True):
            if max(a, b, c) - min(a, b, c) > 1e-3 * a:
                raise ValueError(f"the other solvers disagree: {a}, {b}, {c}")
        print(f"{spare:5d} {options:8.0f} {base:7.2f} " + " ".join(f"{c:>15}" for c in cells))
    print("ours: least expected cost with proof; the others: the additive approximation")


if __name__ == "__main__":
    main()
