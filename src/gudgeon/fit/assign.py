"""Least-cost assignment of pieces to places, exact, with its proof.

Each place lists the few pieces that could serve it. A piece serves one place at most; besides,
a place may have a choice *of its own* (a purchase) that nobody else can take.

The method is the shortest augmenting path with potentials (references 1 and 2): every place
starts on what is cheapest for it, and only places in conflict start a search. The potentials are
the proof: with ``u[i] + v[j] <= cost[i][j]`` everywhere and ``v <= 0``, no assignment can cost
less than ``sum(u) + sum(v)``; the one returned costs exactly that.

References:
    1. H. W. Kuhn, "The Hungarian method for the assignment problem", Naval Research Logistics
       Quarterly 2 (1955) 83-97.
    2. J. Edmonds and R. M. Karp, "Theoretical improvements in algorithmic efficiency for network
       flow problems", Journal of the ACM 19 (1972) 248-264 (potentials keep path lengths >= 0).
    3. P. Hall, "On representatives of subsets", Journal of the London Mathematical Society
       10 (1935) 26-30.
"""

from __future__ import annotations

from collections.abc import Sequence
from heapq import heappop, heappush
from math import fsum, inf, isfinite
from typing import NamedTuple

OWN = -1
"""The choice of a place that takes its own purchase rather than a listed piece."""

_NONE = -2


class Assignment(NamedTuple):
    """A least-cost assignment and the potentials that prove it.

    Attributes:
        choice: for each place, the position in its list, or `OWN`.
        cost: the sum of the chosen costs.
        u: potential of each place.
        v: potential of each piece; never above 0, and 0 for a piece left over.
    """

    choice: tuple[int, ...]
    cost: float
    u: tuple[float, ...]
    v: tuple[float, ...]


class Shortage(NamedTuple):
    """Why no assignment exists: these places have only these pieces between them.

    By Hall's theorem such a set exists whenever there is no assignment: there is one piece
    fewer than there are places, and none of the places has a purchase to fall back on.

    Attributes:
        places: numbers of the places.
        pieces: numbers of all the pieces that could serve any of them.
    """

    places: tuple[int, ...]
    pieces: tuple[int, ...]


class Network:
    """Which pieces could serve which places; the costs come with each `solve`.

    Args:
        pieces: for each place, the numbers of the pieces it could take.
        count: how many pieces there are (numbers run from 0).
    """

    __slots__ = ("_seekers", "count", "pieces")

    def __init__(self, pieces: Sequence[Sequence[int]], count: int) -> None:
        self.pieces = pieces
        self.count = count
        self._seekers: list[list[tuple[int, int]]] | None = None

    def solve(
        self,
        costs: Sequence[Sequence[float]],
        own: Sequence[float],
        start: Assignment | None = None,
    ) -> Assignment | Shortage:
        """Assign at least cost.

        Args:
            costs: for each place, the cost of each piece in its list, in the same order.
            own: for each place, the cost of its own purchase; `inf` where there is none.
            start: an earlier answer on this network, to start from when only costs changed.

        Returns:
            The assignment, or the shortage that rules every assignment out.
        """
        search = _Search(self, costs, own)
        waiting = search.begin(start.v if start else None)
        for place in waiting:
            shortage = search.augment(place)
            if shortage:
                return shortage
        return search.answer()

    def seekers(self) -> list[list[tuple[int, int]]]:
        """For each piece, who could take it: (place, position in the place's list)."""
        if self._seekers is None:
            found: list[list[tuple[int, int]]] = [[] for _ in range(self.count)]
            for place, row in enumerate(self.pieces):
                for position, piece in enumerate(row):
                    found[piece].append((place, position))
            self._seekers = found
        return self._seekers


class _Search:
    """The working state of one solve."""

    __slots__ = ("choice", "costs", "network", "own", "owner", "u", "v")

    def __init__(
        self, network: Network, costs: Sequence[Sequence[float]], own: Sequence[float]
    ) -> None:
        self.network = network
        self.costs = costs
        self.own = own
        self.owner = [_NONE] * network.count
        self.choice = [_NONE] * len(costs)
        self.u = [0.0] * len(costs)
        self.v = [0.0] * network.count

    def begin(self, v: Sequence[float] | None) -> list[int]:
        """Put each place on what is cheapest for it; return the places left waiting."""
        pieces, own, owner, choice, u = (
            self.network.pieces,
            self.own,
            self.owner,
            self.choice,
            self.u,
        )
        if v is not None:
            self.v = list(v)
        for place, row in enumerate(self.costs):
            reduced = row
            if v is not None:
                reduced = [cost - v[piece] for cost, piece in zip(row, pieces[place], strict=True)]
            least = min(reduced, default=inf)
            if own[place] <= least:
                u[place] = own[place]
                if own[place] < inf:
                    choice[place] = OWN
                continue
            u[place] = least
            position = reduced.index(least)
            piece = pieces[place][position]
            if owner[piece] == _NONE:
                owner[piece] = place
                choice[place] = position
        if v is not None:
            self._release()
        return [place for place, position in enumerate(choice) if position == _NONE]

    def _release(self) -> None:
        """Bring pieces left over back to potential 0, as the proof demands.

        Raising a potential may make the piece attractive to places settled elsewhere: they
        lower their own potential and move or wait. Each piece is raised once at most.
        """
        owner, choice, u, v, costs = self.owner, self.choice, self.u, self.v, self.costs
        pieces = self.network.pieces
        idle = [piece for piece, value in enumerate(v) if value < 0.0 and owner[piece] == _NONE]
        if not idle:
            return
        seekers = self.network.seekers()
        while idle:
            piece = idle.pop()
            if v[piece] == 0.0 or owner[piece] != _NONE:
                continue
            v[piece] = 0.0
            for place, position in seekers[piece]:
                cost = costs[place][position]
                if cost >= u[place]:
                    continue
                u[place] = cost
                before = choice[place]
                if before >= 0:
                    left = pieces[place][before]
                    owner[left] = _NONE
                    if v[left] < 0.0:
                        idle.append(left)
                choice[place] = _NONE
                if owner[piece] == _NONE:
                    owner[piece] = place
                    choice[place] = position

    def augment(self, first: int) -> Shortage | None:
        """Find a place for `first` along the cheapest chain of changes."""
        pieces, costs, own = self.network.pieces, self.costs, self.own
        owner, choice, u, v = self.owner, self.choice, self.u, self.v
        reach: dict[int, float] = {}
        via: dict[int, tuple[int, int]] = {}
        tree: list[tuple[int, float]] = []
        heap: list[tuple[float, int]] = []
        goal, goal_piece, goal_place = inf, _NONE, _NONE
        place, length = first, 0.0
        while True:
            tree.append((place, length))
            base = length - u[place]
            if base + own[place] < goal:
                goal, goal_piece, goal_place = base + own[place], OWN, place
            position = -1
            for piece, cost in zip(pieces[place], costs[place], strict=True):
                position += 1
                total = base + cost - v[piece]
                if total < goal and total < reach.get(piece, inf):
                    reach[piece] = total
                    via[piece] = (place, position)
                    if owner[piece] == _NONE:
                        goal, goal_piece = total, piece
                    else:
                        heappush(heap, (total, piece))
            while heap:
                length, piece = heappop(heap)
                if length <= reach[piece]:
                    break
            else:
                break
            if length >= goal:
                break
            reach[piece] = -inf  # settled
            place = owner[piece]
        if goal == inf:
            return Shortage(tuple(sorted(p for p, _ in tree)), tuple(sorted(reach)))
        for place, length in tree:
            u[place] += goal - length
            if place != first:
                v[pieces[place][choice[place]]] -= goal - length
        self._swap(first, goal_piece, goal_place, via)
        return None

    def _swap(
        self, first: int, goal_piece: int, goal_place: int, via: dict[int, tuple[int, int]]
    ) -> None:
        """Carry the chain out, from its end back to `first`."""
        pieces, owner, choice = self.network.pieces, self.owner, self.choice
        if goal_piece == OWN:
            place, position = goal_place, OWN
        else:
            place, position = via[goal_piece]
            owner[goal_piece] = place
        while True:
            before, choice[place] = choice[place], position
            if place == first:
                return
            piece = pieces[place][before]
            place, position = via[piece]
            owner[piece] = place

    def answer(self) -> Assignment:
        costs, own = self.costs, self.own
        total = fsum(
            own[place] if position == OWN else costs[place][position]
            for place, position in enumerate(self.choice)
        )
        return Assignment(tuple(self.choice), total, tuple(self.u), tuple(self.v))


Row = Sequence[tuple[int, float]]
"""The pieces that could serve one place, each with its cost."""


def assign(rows: Sequence[Row], own: Sequence[float | None] | None = None) -> Assignment | Shortage:
    """Assign pieces to places at least total cost.

    Args:
        rows: for each place, (number of the piece, cost) for each piece that could serve it.
        own: for each place, the cost of a purchase only this place can use; None where there is
            none. Left out: no purchases.

    Returns:
        The assignment with its proof, or a `Shortage` naming places and the too few pieces.

    Raises:
        ValueError: a cost is not a finite number, a piece number is negative, or `own` has
            another length than `rows`.

    Examples:
        >>> assign([[(0, 1.0), (1, 4.0)], [(0, 2.0), (1, 9.0)]]).choice
        (1, 0)
        >>> assign([[(7, 1.0)], [(7, 2.0)]])
        Shortage(places=(0, 1), pieces=(7,))
        >>> assign([[(7, 1.0)], [(7, 2.0)]], own=[None, 3.5]).choice
        (0, -1)
    """
    purchases = _purchases(rows, own)
    for row in rows:
        for piece, cost in row:
            if piece < 0 or not isfinite(cost):
                raise ValueError(f"piece {piece} at cost {cost}: want a number >= 0, finite cost")
    pieces = [[piece for piece, _ in row] for row in rows]
    count = 1 + max((piece for row in pieces for piece in row), default=-1)
    return Network(pieces, count).solve([[cost for _, cost in row] for row in rows], purchases)


def _purchases(rows: Sequence[Row], own: Sequence[float | None] | None) -> list[float]:
    if own is None:
        return [inf] * len(rows)
    if len(own) != len(rows):
        raise ValueError(f"{len(own)} purchases for {len(rows)} places: want one each")
    if any(cost is not None and not isfinite(cost) for cost in own):
        raise ValueError("the cost of a purchase must be finite; None where there is none")
    return [inf if cost is None else cost for cost in own]


def verify(
    rows: Sequence[Row],
    own: Sequence[float | None] | None,
    answer: Assignment,
    tolerance: float = 1e-9,
) -> tuple[str, ...]:
    """Check an assignment against its potentials, trusting nothing about how it was found.

    Args:
        rows, own: as given to `assign`.
        answer: what is to be checked.
        tolerance: allowed rounding, relative to the largest cost (or 1).

    Returns:
        What is wrong, in words; empty when the proof holds.

    Examples:
        >>> rows = [[(0, 1.0), (1, 4.0)], [(0, 2.0), (1, 9.0)]]
        >>> answer = assign(rows)
        >>> verify(rows, None, answer)
        ()
        >>> verify(rows, None, answer._replace(choice=(0, 1)))[0]
        'place 1 is not on its cheapest reduced cost'
    """
    purchases = _purchases(rows, own)
    largest = max((abs(cost) for row in rows for _, cost in row), default=0.0)
    slack = tolerance * max(1.0, largest, *(abs(c) for c in purchases if c < inf))
    faults: list[str] = []
    used: list[int] = []
    for place, (row, position) in enumerate(zip(rows, answer.choice, strict=True)):
        u = answer.u[place]
        if any(cost - u - answer.v[piece] < -slack for piece, cost in row):
            faults.append(f"place {place} has a piece below its potential")
        if purchases[place] - u < -slack:
            faults.append(f"place {place} has a purchase below its potential")
        if position == OWN:
            spare = purchases[place] - u
        else:
            piece, cost = row[position]
            used.append(piece)
            spare = cost - u - answer.v[piece]
        if spare > slack:
            faults.append(f"place {place} is not on its cheapest reduced cost")
    if len(set(used)) < len(used):
        faults.append("a piece is used twice")
    if any(value > slack for value in answer.v):
        faults.append("a piece has a potential above 0")
    if any(abs(value) > slack for piece, value in enumerate(answer.v) if piece not in set(used)):
        faults.append("a piece left over has a potential")
    if abs(fsum(answer.u) + fsum(answer.v) - answer.cost) > slack * max(1, len(rows)):
        faults.append("the potentials do not add up to the cost")
    return tuple(faults)


class MatrixAssignment(NamedTuple):
    """An assignment on a full matrix.

    Attributes:
        pairs: (row, column), as many as the shorter side has lines, in order of rows.
        total: sum of the chosen entries.
        u, v: potentials of rows and columns: ``u[i] + v[j]`` never exceeds entry i, j (never
            falls short of it when maximising) and the potentials add up to `total`.
    """

    pairs: tuple[tuple[int, int], ...]
    total: float
    u: tuple[float, ...]
    v: tuple[float, ...]


def assign_matrix(matrix: Sequence[Sequence[float]], *, maximise: bool = False) -> MatrixAssignment:
    """Assign on a full matrix, which need not be square: the longer side has lines left over.

    Raises:
        ValueError: rows of different lengths, or an entry that is not finite.

    Examples:
        >>> assign_matrix([[4, 1, 3], [2, 0, 5]]).total
        3.0
        >>> assign_matrix([[4, 1, 3], [2, 0, 5]], maximise=True).pairs
        ((0, 0), (1, 2))
    """
    if len({len(row) for row in matrix}) > 1:
        raise ValueError("rows of different lengths: want a rectangle")
    sign = -1.0 if maximise else 1.0
    lines = [[sign * value for value in row] for row in matrix]
    turned = bool(lines) and len(lines) > len(lines[0])
    if turned:
        lines = [list(column) for column in zip(*lines, strict=True)]
    answer = assign([list(enumerate(row)) for row in lines])
    assert isinstance(answer, Assignment)  # no line of the shorter side can lack a partner
    pairs = list(enumerate(answer.choice))
    u, v = (tuple(sign * value for value in side) for side in (answer.u, answer.v))
    if turned:
        pairs = sorted((row, column) for column, row in pairs)
        u, v = v, u
    return MatrixAssignment(tuple(pairs), sign * answer.cost, u, v)
