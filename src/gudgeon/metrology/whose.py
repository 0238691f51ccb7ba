"""Whose readings these are: whether several in a row fit another open engine far better.

A label scanned from the wrong tray, or a page left open from this morning, puts the readings of one
engine into another's log. Each is a plausible number; together they tell. The readings just taken
are held against what each engine is known to be: its own earlier readings at the place, else its
earlier readings elsewhere, else the range of a new part. Each reading then counts as known for the
next one, because readings of one engine go together: worn alike, they are one surprise, not many.
The figures below are judgements: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Final, NamedTuple

from gudgeon.metrology.ranges import Expected

#: Fewest readings in a row that tell anything, and most that are looked at.
FEWEST: Final = 3
MOST: Final = 8
#: How often somebody is at the wrong engine, before anything is read.
PRIOR: Final = 1 / 60
#: From this chance on it is asked.
ASK: Final = 0.9
#: Readings of one place differ by this much at the least [mm], those of one feature by more.
_AT_PLACE: Final = 0.008
_ELSEWHERE: Final = 0.02
_ONE_ALONE: Final = 0.03
#: Share of readings that fit no engine (slips, damage), and of whole sittings that don't (another
#: oversize, a gauge set wrong), spread over this share of the size, or this much [mm].
_STRAY: Final = 0.05
_STRAY_SITTING: Final = 0.005
_STRAY_OVER: Final = 0.1
_STRAY_LEAST: Final = 1.0


class Read(NamedTuple):
    """One reading. value: [mm]."""

    place: str
    value: float


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of one feature of one engine.

    Attributes:
        earlier: its readings, without those in question. new: range of a new part, if stated.
    """

    earlier: Sequence[Read] = ()
    new: Expected | None = None

    def centre(self, place: str) -> tuple[float, float] | None:
        """Where a reading at a place is expected, and its spread [mm]; none where that is open."""
        here = [item.value for item in self.earlier if item.place == place]
        if len(here) >= FEWEST:
            return _centre(here, _AT_PLACE)
        every = here or [item.value for item in self.earlier]
        if every:
            return _centre(every, _ELSEWHERE if here or len(every) >= FEWEST else _ONE_ALONE)
        if self.new is not None:
            half = (self.new.high - self.new.low) / 2
            return (self.new.low + self.new.high) / 2, half + self.new.wear
        return None


def _centre(values: Sequence[float], least: float) -> tuple[float, float]:
    """Mean, and standard deviation or the least that counts. Asked for thousands of times while
    somebody waits; `statistics.pstdev` takes ten times as long for exact fractions."""
    mean = fmean(values)
    spread = math.sqrt(math.fsum((value - mean) ** 2 for value in values) / len(values))
    return mean, max(spread, least)


class Elsewhere(NamedTuple):
    """Another engine that the readings fit. posterior: chance that they are its own."""

    job: str
    posterior: float


def whose(taken: Sequence[Read], mine: Known, others: Mapping[str, Known]) -> Elsewhere | None:
    """The other engine that the readings taken last are likely to be of; none where that is not so.

    Args:
        taken: readings of one feature, the latest last. mine: this engine, without them.
        others: the other open engines that have this feature.

    >>> mine = Known([Read("cylinder/1", 78.004), Read("cylinder/1", 78.006)])
    >>> other = Known([Read("cylinder/2", 66.012), Read("cylinder/3", 66.010)] * 2)
    >>> whose([Read("cylinder/2", 66.011)] * 3, mine, {"twin": other}).job
    'twin'
    >>> whose([Read("cylinder/2", 78.011)] * 3, mine, {"twin": other}) is None
    True
    """
    last = taken[-MOST:]
    if len(last) < FEWEST or mine.centre(last[-1].place) is None:
        return None
    own = _log_likelihood(last, mine)
    best: Elsewhere | None = None
    for job, known in others.items():
        if all(known.centre(item.place) is None for item in last):
            continue
        gain = _log_likelihood(last, known) - own + math.log(PRIOR / max(1, len(others)))
        posterior = 1 / (1 + math.exp(-max(-50.0, min(50.0, gain))))
        if posterior >= ASK and (best is None or posterior > best.posterior):
            best = Elsewhere(job, posterior)
    return best


def _log_likelihood(taken: Sequence[Read], known: Known) -> float:
    """Of all readings, each with those before it known."""
    total = 0.0
    for at, item in enumerate(taken):
        so_far = Known((*known.earlier, *taken[:at]), known.new) if at else known
        total += math.log(_density(item, so_far, _STRAY if at else _STRAY_SITTING))
    return total


def _density(item: Read, known: Known, share: float) -> float:
    """Density of a reading [1/mm]; a stray one is possible on any engine."""
    stray = share / max(_STRAY_LEAST, _STRAY_OVER * abs(item.value))
    centre = known.centre(item.place)
    if centre is None:
        return stray
    mean, spread = centre
    z = (item.value - mean) / spread
    return stray + (1 - share) * math.exp(-0.5 * z * z) / (spread * math.sqrt(2 * math.pi))
