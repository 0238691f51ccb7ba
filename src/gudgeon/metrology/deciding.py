"""What one would have to do where a limit lies inside the uncertainty."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import product
from typing import TYPE_CHECKING, Final

from gudgeon.metrology.conformity import Rule
from gudgeon.metrology.kinds import KINDS, Kind, kind_named
from gudgeon.metrology.measured import Measured
from gudgeon.sheet.base import Limits

if TYPE_CHECKING:
    from gudgeon.sheet.features import Feature

#: More readings of one spot than this are not worth taking.
MOST_READINGS: Final = 6
#: No instrument of the workshop reaches a standard uncertainty below this [mm].
LEAST_U: Final = 0.0005
#: The finest step between blades that sets are sold with [mm]: common practice, no source.
FINE_STEP: Final = 0.01
#: Up to this bore [mm] a small-hole gauge goes in and a bore gauge does not: common practice.
SMALL_HOLE: Final = 13.0
_OWN: Final = ("reading:", "repeats:")
_BLADES: Final = "blades:"
_HOLE: Final = ("telescopic", "bore-gauge")
_SHAFT: Final = ("caliper", "micrometer-0.01", "micrometer-0.001")
_BY_READING: Final[dict[str, tuple[str, ...]]] = {
    "height": ("depth-micrometer",),
    "run-out": ("plunger-dial", "lever-dial"),
    "flatness": ("straight-edge",),
    "mass": ("scales",),
}


def what_would_decide(
    value: Measured,
    limit: Limits | None,
    rule: Rule,
    decimals: int = 3,
    read: Sequence[Feature] = (),
    difference: bool = False,
) -> str:
    """The next step for a value [mm] whose limit is inside its uncertainty, in words.

    More readings help by what is each reading's own; what they share stays. Were the value to stay
    where it is, the uncertainty would have to be as small as its distance from the limit.

    Args:
        value: the value. limit: what it is held against. rule: in force.
        decimals: to show. read: the features it was made from.
        difference: whether it is a difference of readings, in which the zero error drops out.

    >>> from gudgeon.sheet.base import Limits
    >>> value = Measured(58.094, {"instrument:bore-gauge/master": 0.002, "reading:1": 0.003})
    >>> what_would_decide(value, Limits.model_validate({"max": "58.100"}), Rule())
    '2 readings of each spot that decides would bring U to 0.006, if their mean stays'
    """
    ends = (
        [] if limit is None else [float(end) for end in (limit.min, limit.max) if end is not None]
    )
    factor = rule.guard_band(1.0)
    if not ends or factor <= 0.0:
        return ""
    distance = min(abs(value.value - end) for end in ends)
    wanted = distance / factor
    own = math.hypot(*(part for source, part in value.parts.items() if source.startswith(_OWN)))
    shared = math.sqrt(max(0.0, value.u**2 - own**2))
    count = _readings(own, shared, wanted)
    if count:
        reached = factor * math.hypot(shared, own / math.sqrt(count))
        return (
            f"{count} readings of each spot that decides would bring U to"
            f" {reached:.{decimals}f}, if their mean stays"
        )
    if wanted < LEAST_U:
        return "it lies on the limit: no instrument of the workshop decides it"
    steps = [part for source, part in value.parts.items() if source.startswith(_BLADES)]
    if steps:
        return _with_blades(value, steps, own, wanted, f"{distance:.{decimals}f}", factor)
    return _with_another(value, wanted, read, difference) or (
        f"it lies {distance:.{decimals}f} from the limit: no instrument of the list decides that"
    )


def _readings(own: float, shared: float, wanted: float) -> int:
    """How many readings bring the standard uncertainty down to what is wanted; 0 for none."""
    if wanted <= shared:
        return 0
    count = math.ceil(own**2 / (wanted**2 - shared**2) - 1e-9)
    return count if 2 <= count <= MOST_READINGS else 0


def _with_blades(
    value: Measured, steps: Sequence[float], own: float, wanted: float, distance: str, factor: float
) -> str:
    """What finer blades would do for a gap: the interval is smaller, the feel stays."""
    fine = FINE_STEP / 2.0 / math.sqrt(3.0)
    feel = math.sqrt(max(0.0, value.u**2 - own**2 - math.fsum(part**2 for part in steps)))
    if max(steps) > fine * 1.01:
        if math.hypot(feel, own, fine) <= wanted:
            return "read again with blades in 0.01 steps: they would decide it, if the middle stays"
        count = _readings(own, math.hypot(feel, fine), wanted)
        if count:
            return (
                f"read again {count} times with blades in 0.01 steps: they would decide it, if the"
                " middle stays"
            )
    return (
        f"it lies {distance} from the limit, nearer than blades can tell: their feel alone is"
        f" ±{factor * feel:.3f}; take it as on the limit"
    )


def _with_another(value: Measured, wanted: float, read: Sequence[Feature], difference: bool) -> str:
    """The plainest instruments of the list that would decide it; empty where none does."""
    rest = math.hypot(
        *(
            part
            for source, part in value.parts.items()
            if not source.startswith(("instrument:", *_OWN))
        )
    )
    sizes = [_about(feature, value, len(read) == 1 and not difference) for feature in read]
    usable = [list(_usable(feature, size)) for feature, size in zip(read, sizes, strict=True)]
    best: tuple[float, tuple[Kind, ...]] | None = None
    for kinds in product(*usable) if read else ():
        u = math.hypot(
            rest,
            *(_one(kind, size, difference) for kind, size in zip(kinds, sizes, strict=True)),
        )
        if u <= min(wanted, value.u) and (best is None or u > best[0]):
            best = (u, kinds)
    if best is None:
        return ""
    named = [f"a {kind.words.replace(',', '')}" for kind in best[1]]
    if len(named) > 1:
        named = [
            f"{words} for {part}" for words, part in zip(named, ("hole", "shaft"), strict=True)
        ]
    return f"{' and '.join(named)} would decide it, if the value stays"


def _about(feature: Feature, value: Measured, is_size: bool) -> float:
    """About how large the part is [mm]; without end where that is not known."""
    if is_size:
        return abs(value.value)
    ends = () if feature.new is None else (feature.new.min, feature.new.max)
    return next((float(end) for end in ends if end is not None), math.inf)


def _usable(feature: Feature, size: float) -> Iterator[Kind]:
    """The kinds that such a feature can be read with."""
    usual = kind_named(feature.by)
    hole = feature.wears == "larger" or (usual is not None and usual.name in (*_HOLE, "ball-gauge"))
    names = _BY_READING.get(feature.kind, ())
    if feature.kind == "size" and hole:
        names = ("ball-gauge",) if size <= SMALL_HOLE else _HOLE
    elif feature.kind == "size":
        names = _SHAFT
    yield from (KINDS[name] for name in names)


def _one(kind: Kind, size: float, difference: bool) -> float:
    """Standard uncertainty of one reading, or of the difference of two [mm]."""
    figures = kind.figures(size)
    if difference:
        return math.sqrt(2.0) * figures.reading
    return math.hypot(figures.setting, figures.reading)
