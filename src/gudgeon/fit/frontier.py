"""What each further purchase buys: the best chance for every number of pieces bought.

With k purchases the best plan has the least L = -sum(log chance). Buying is a flow of k units from
the shop through the places, so the least L is convex in k, and the best plan for k + 1 (or k - 1)
purchases is the best for k changed along the cheapest chain (reference 1): one place more buys,
its piece passes from place to place, and one piece is left over; or the reverse. The run starts
from the best plan of all and goes both ways to the ends.

References:
    1. R. G. Busacker and P. J. Gowen, "A procedure for determining a family of minimum-cost
       network flow patterns", ORO technical paper 15 (1961).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, fsum, inf
from typing import NamedTuple

from gudgeon.fit.assign import OWN, Network, Shortage
from gudgeon.fit.expected import Option

_ROUNDING = 1e-12


class Step(NamedTuple):
    """The plan of greatest chance with exactly `bought` purchases.

    Attributes:
        bought: how many places take a purchase.
        choice: for each place, the position of the option taken.
        money: the sum of the options' costs.
        log_p: logarithm of the chance that every place lands in its window.
    """

    bought: int
    choice: tuple[int, ...]
    money: float
    log_p: float

    @property
    def chance(self) -> float:
        """Chance that every place lands in its window."""
        return exp(self.log_p)


def frontier(places: Sequence[Sequence[Option]]) -> tuple[Step, ...] | Shortage:
    """The plan of greatest chance for every number of purchases that is possible.

    Of the purchases open to a place the one of greatest chance counts; between equals, the
    cheapest. The first step is the fewest purchases that do (0: nothing need be bought).

    Args:
        places: the options of each place; only those that are legal there.

    Returns:
        The steps by rising number of purchases; or the shortage when the pieces do not go round.

    Examples:
        >>> from math import log
        >>> shim, new = Option(0, 0.0, log(0.80)), Option(None, 9.0, log(0.95))
        >>> [(s.bought, s.money, round(s.chance, 4)) for s in frontier([[shim, new]] * 2)]
        [(1, 9.0, 0.76), (2, 18.0, 0.9025)]
    """
    for number, options in enumerate(places):
        if not options:
            return Shortage((number,), ())
    table = _Table(places)
    shortage = table.begin()
    if shortage:
        return shortage
    best = table.step()
    fewer, more = [], []
    while table.buy_less():
        fewer.append(table.step())
    table.restore(best)
    while table.buy_more():
        more.append(table.step())
    return (*reversed(fewer), best, *more)


def best_within(steps: Sequence[Step], most: int) -> Step | None:
    """The step of greatest chance with at most `most` purchases; None if that is too few.

    Between equal chances the one with fewer purchases is taken.
    """
    allowed = [step for step in steps if step.bought <= most]
    return max(allowed, key=lambda step: (step.log_p, -step.bought), default=None)


class _Table:
    """The places' options by piece, and the plan as it stands."""

    def __init__(self, places: Sequence[Sequence[Option]]) -> None:
        self.places = places
        self.pieces: list[dict[int, tuple[float, float, int]]] = []
        self.own: list[tuple[float, float, int]] = []
        for options in places:
            best: dict[int, tuple[float, float, int]] = {}
            own = (inf, inf, OWN)
            for position, option in enumerate(options):
                entry = (-option.log_p, option.cost, position)
                if option.piece is None:
                    own = min(own, entry)
                else:
                    best[option.piece] = min(best.get(option.piece, entry), entry)
            self.pieces.append(best)
            self.own.append(own)
        self.held: list[int | None] = []

    def begin(self) -> Shortage | None:
        """Take the plan of greatest chance whatever is bought."""
        numbers = sorted({piece for row in self.pieces for piece in row})
        column = {piece: at for at, piece in enumerate(numbers)}
        network = Network([[column[p] for p in row] for row in self.pieces], len(numbers))
        costs = [[loss for loss, _, _ in row.values()] for row in self.pieces]
        answer = network.solve(costs, [own[0] for own in self.own])
        if isinstance(answer, Shortage):
            return Shortage(answer.places, tuple(numbers[at] for at in answer.pieces))
        self.held = [
            None if position == OWN else list(row)[position]
            for row, position in zip(self.pieces, answer.choice, strict=True)
        ]
        return None

    def step(self) -> Step:
        taken = [
            own if piece is None else row[piece]
            for row, own, piece in zip(self.pieces, self.own, self.held, strict=True)
        ]
        choice = tuple(position for _, _, position in taken)
        money = fsum(cost for _, cost, _ in taken)
        bought = sum(piece is None for piece in self.held)
        return Step(bought, choice, money, -fsum(loss for loss, _, _ in taken))

    def restore(self, step: Step) -> None:
        self.held = [
            options[position].piece
            for options, position in zip(self.places, step.choice, strict=True)
        ]

    def holders(self) -> dict[int, int]:
        return {piece: place for place, piece in enumerate(self.held) if piece is not None}

    def buy_more(self) -> bool:
        """Change to the best plan with one purchase more, if there is one.

        Some place buys and frees its piece; another may take that and free its own, and so on.
        """
        cost: dict[int, float] = {}
        via: dict[int, tuple[int, int | None]] = {}
        holders = self.holders()
        for piece, place in holders.items():
            rise = self.own[place][0] - self.pieces[place][piece][0]
            if rise < inf:
                cost[piece], via[piece] = rise, (place, None)
        changed = True
        while changed:
            changed = False
            for piece, place in holders.items():
                row = self.pieces[place]
                for freed, so_far in list(cost.items()):
                    if freed == piece or freed not in row:
                        continue
                    total = so_far + row[freed][0] - row[piece][0]
                    if total < cost.get(piece, inf) - _ROUNDING:
                        cost[piece], via[piece] = total, (place, freed)
                        changed = True
        if not cost:
            return False
        left: int | None = min(cost, key=lambda piece: cost[piece])
        while left is not None:
            place, left = via[left]
            self.held[place] = left
        return True

    def buy_less(self) -> bool:
        """Change to the best plan with one purchase fewer, if there is one.

        Some buying place takes a piece; its holder takes another, and so on to a piece left over.
        """
        cost: dict[int, float] = {}
        via: dict[int, tuple[int, int | None]] = {}
        holders = self.holders()
        for place, row in enumerate(self.pieces):
            if self.held[place] is not None:
                continue
            for piece, (loss, _, _) in row.items():
                if loss - self.own[place][0] < cost.get(piece, inf):
                    cost[piece], via[piece] = loss - self.own[place][0], (place, None)
        changed = True
        while changed:
            changed = False
            for piece, place in holders.items():
                if piece not in cost:
                    continue
                row = self.pieces[place]
                for wanted, (loss, _, _) in row.items():
                    total = cost[piece] + loss - row[piece][0]
                    if wanted != piece and total < cost.get(wanted, inf) - _ROUNDING:
                        cost[wanted], via[wanted] = total, (place, piece)
                        changed = True
        ends = [piece for piece in cost if piece not in holders]
        if not ends:
            return False
        taken: int | None = min(ends, key=lambda piece: cost[piece])
        while taken is not None:
            place, before = via[taken]
            self.held[place] = taken
            taken = before
        return True
