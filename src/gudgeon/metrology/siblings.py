"""One size held against the same size at the other places.

A robust z tells which one stands out: 0.6745 times the distance from the median of the others,
over their median distance from it. The uncertainty is added to the spread, and few siblings must be
left further behind, so that three readings that happen to agree do not make an outlier of a fourth.

References
----------
.. [1] B. Iglewicz and D. C. Hoaglin, How to Detect and Handle Outliers (ASQC, 1993): the modified
   z-score and the bound of 3.5. From memory.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from statistics import median
from typing import Final, NamedTuple

from gudgeon.metrology.sizes import Size
from gudgeon.sheet.places import Places

#: From here on a size stands out among many siblings; among n others at (1 + 4 / n) times this.
STANDS_OUT: Final = 3.5
FEW: Final = 4.0
#: Fewer others than this say nothing.
LEAST_OTHERS: Final = 3


class Sibling(NamedTuple):
    """A size among its siblings.

    Attributes:
        z: robust distance from the others, signed. middle: their median [unit of the size].
        others: how many. stands_out: whether it does.
    """

    z: float
    middle: float
    others: int
    stands_out: bool


def among_siblings(sizes: Iterable[Size], places: Places) -> Mapping[int, Sibling]:
    """How each size lies among the same size elsewhere: number in `sizes` -> comparison.

    Inlet is compared with inlet, exhaust with exhaust. Sizes with fewer than three others, or
    without value, are left out.
    """
    groups: dict[tuple[str, str, str], list[tuple[int, float, float]]] = defaultdict(list)
    for number, size in enumerate(sizes):
        if size.value is not None:
            key = (size.name, size.epoch, places.side(size.place) or "")
            groups[key].append((number, size.value.value, size.value.u))
    found: dict[int, Sibling] = {}
    for group in groups.values():
        if len(group) <= LEAST_OTHERS:
            continue
        for number, value, u in group:
            found[number] = robust_z(value, u, [v for n, v, _ in group if n != number])
    return found


def robust_z(value: float, u: float, others: list[float]) -> Sibling:
    """A value with its standard uncertainty against others, all in one unit.

    Raises ValueError where there are no others.

    >>> robust_z(0.31, 0.004, [0.10, 0.11, 0.12, 0.11]).stands_out
    True
    >>> robust_z(0.115, 0.004, [0.11, 0.11, 0.11, 0.11]).stands_out
    False
    """
    if not others:
        raise ValueError("there is nothing to compare with")
    middle = median(others)
    spread = median(abs(other - middle) for other in others)
    scale = math.hypot(spread, 0.6745 * u) or 1e-9
    z = 0.6745 * (value - middle) / scale
    bound = STANDS_OUT * (1.0 + FEW / len(others))
    return Sibling(z, middle, len(others), abs(z) > bound)
