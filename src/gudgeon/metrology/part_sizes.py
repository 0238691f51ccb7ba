"""The diameter of a part at one place, from all spots of its plan, as a choice of pieces needs it.

What is questioned, what something done since has made stale, and what lies far from the rest does
not count in it, and that is said.
"""

from __future__ import annotations

from collections.abc import Collection
from statistics import median
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.metrology.measured import Measured, mean_of
from gudgeon.metrology.readings import Table

if TYPE_CHECKING:
    from gudgeon.sheet.model import Sheet

#: Readings of one part further from their middle than this [mm] hold a slip, not wear.
#: Common practice, no source.
MOST_APART: Final = 0.1


class PartSize(NamedTuple):
    """The size of one part at one place.

    Attributes:
        value: mean of the spots that count [mm].
        questioned: entries left out because they are under a question.
        unused: why readings do not count besides; empty where all others do.
    """

    value: Measured | None = None
    questioned: tuple[str, ...] = ()
    unused: str = ""


def part_size(
    sheet: Sheet, table: Table, feature: str | None, place: str, questioned: Collection[str]
) -> PartSize:
    """The mean of the spots of a feature at a place, at its latest epoch [mm].

    Args:
        sheet: the engine's sheet. table: its readings. feature: which, if there is one.
        place: address. questioned: ids of entries under a question, which do not count.
    """
    spec = sheet.features.get(feature or "")
    if spec is None or feature is None:
        return PartSize()
    for epoch in reversed(spec.epochs):
        spots = [at for at in table.at(feature, place, epoch).values() if at.value is not None]
        if not spots:
            continue
        stale = table.stale.get((feature, place, epoch))
        if stale is not None:
            return PartSize(unused=f"{feature} at {place} does not count: {stale}")
        asked = [item.entry for at in spots for item in at.taken if item.entry in questioned]
        left = [
            at.value
            for at in spots
            if at.value is not None and not any(item.entry in asked for item in at.taken)
        ]
        value, unused = _mean(left, f"{feature} at {place}") if left else (None, "")
        return PartSize(value, tuple(asked), unused)
    return PartSize()


def _mean(values: list[Measured], what: str) -> tuple[Measured | None, str]:
    """The mean of the spots of one part [mm], and what is not counted in it.

    Where most of them agree and some lie far off, the mean is that of the ones that agree.
    """
    centre = median(value.value for value in values)
    kept = [value for value in values if abs(value.value - centre) <= MOST_APART]
    astray = [value.value for value in values if abs(value.value - centre) > MOST_APART]
    if not astray:
        return mean_of(kept), ""
    told = ", ".join(f"{value:.3f}" for value in astray)
    if len(kept) >= 2 and len(kept) > len(astray):
        return mean_of(kept), (
            f"{told} of {what} lies more than {MOST_APART} from the other {len(kept)} readings:"
            " settle that first; until then it does not count"
        )
    return None, (
        f"the readings of {what} lie more than {MOST_APART} apart, more than any wear: settle that"
        " first; until then they don't count"
    )
