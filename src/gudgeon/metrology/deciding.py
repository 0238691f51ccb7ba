"""What one would have to do where a limit lies inside the uncertainty."""

from __future__ import annotations

import math
from typing import Final

from gudgeon.metrology.conformity import Rule
from gudgeon.metrology.measured import Measured
from gudgeon.sheet.base import Limits

#: More readings of one spot than this are not worth taking.
MOST_READINGS: Final = 6
#: No instrument of the workshop reaches a standard uncertainty below this [mm].
LEAST_U: Final = 0.0005
_OWN: Final = ("reading:", "repeats:")


def what_would_decide(value: Measured, limit: Limits | None, rule: Rule, decimals: int = 3) -> str:
    """The next step for a value [mm] whose limit is inside its uncertainty, in words.

    More readings help by what is each reading's own; what they share stays. Were the value to stay
    where it is, the uncertainty would have to be as small as its distance from the limit.

    >>> from gudgeon.sheet.base import Limits
    >>> value = Measured(58.094, {"instrument:bore-gauge/master": 0.002, "reading:1": 0.003})
    >>> what_would_decide(value, Limits.model_validate({"max": "58.100"}), Rule())
    '2 readings of each spot that decides would bring U to 0.006, if their mean stays'
    """
    ends = (
        [] if limit is None else [float(end) for end in (limit.min, limit.max) if end is not None]
    )
    if not ends:
        return ""
    distance = min(abs(value.value - end) for end in ends)
    factor = rule.guard_band(1.0)
    if factor <= 0.0:
        return ""
    wanted = distance / factor
    own = math.hypot(*(part for source, part in value.parts.items() if source.startswith(_OWN)))
    shared = math.sqrt(max(0.0, value.u**2 - own**2))
    if wanted > shared:
        count = math.ceil(own**2 / (wanted**2 - shared**2) - 1e-9)
        if 2 <= count <= MOST_READINGS:
            reached = factor * math.hypot(shared, own / math.sqrt(count))
            return (
                f"{count} readings of each spot that decides would bring U to"
                f" {reached:.{decimals}f}, if their mean stays"
            )
    if wanted < LEAST_U:
        return "it lies on the limit: no instrument of the workshop decides it"
    return (
        f"measure with a better instrument or a setting check: standard uncertainty {wanted:.4f}"
        f" or less would decide it, {value.u:.4f} does not"
    )
