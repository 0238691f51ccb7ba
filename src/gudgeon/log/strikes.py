"""Which entries count: a strike-out takes one out, and striking that strike-out brings it back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import NamedTuple


class Strike(NamedTuple):
    """One strike-out: its own id, the entry it takes out, and why."""

    id: str
    target: str
    reason: str = ""


def struck_by(strikes: Iterable[Strike]) -> tuple[dict[str, str], frozenset[str]]:
    """What is struck out.

    A strike-out counts if no strike-out that counts takes it out. Strike-outs that take each
    other out in a circle can't be told apart; none of them counts.

    Args:
        strikes: the strike-outs in the order of the log. The order only decides whose reason is
            given where two take out the same entry.

    Returns:
        Id of each struck entry -> the reason; and the ids of strike-outs in a circle.

    >>> struck_by([Strike("s1", "r1", "slip"), Strike("s2", "s1", "was right")])
    ({'s1': 'was right'}, frozenset())
    """
    given = list(strikes)
    own = {strike.id: strike.target for strike in given}
    waiting: dict[str, int] = defaultdict(int)  # strike-outs of it that are not settled yet
    for target in own.values():
        waiting[target] += 1
    ready = [key for key in own if not waiting[key]]
    struck: set[str] = set()
    settled: set[str] = set()
    while ready:
        key = ready.pop()
        if key in settled:
            continue
        settled.add(key)
        target = own[key]
        waiting[target] -= 1
        if key not in struck:
            struck.add(target)
        if target in own and (target in struck or not waiting[target]):
            ready.append(target)
    reasons: dict[str, str] = {}
    for strike in given:
        if strike.id in settled and strike.id not in struck:
            reasons.setdefault(strike.target, strike.reason)
    return reasons, frozenset(own) - settled
