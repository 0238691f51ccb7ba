"""An engine that is not as its sheet says: every bore, and every piston, sits one step over."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from statistics import median
from typing import TYPE_CHECKING, NamedTuple

from gudgeon.metrology.expected import Expectation, of_a_new_part
from gudgeon.metrology.priors import SHOWN_FROM, chance
from gudgeon.metrology.ranges import expected_range
from gudgeon.metrology.readings import Table
from gudgeon.metrology.slips import Slip

if TYPE_CHECKING:
    from gudgeon.sheet.features import Oversize
    from gudgeon.sheet.model import Sheet


class Over(NamedTuple):
    """An oversize the engine seems to be on: the question, what it moves, and by how much [mm]."""

    slip: Slip
    features: tuple[str, ...]
    step: float


class _Level(NamedTuple):
    """Where all readings of a feature lie, and what is expected of them."""

    centre: float
    entry: str
    expectation: Expectation


def oversizes_met(sheet: Sheet, table: Table) -> Iterator[Over]:
    """The oversizes of a sheet that the readings sit at, each as a question."""
    for name, oversize in sheet.oversizes.items():
        levels = {
            feature: level
            for feature in (oversize.feature, oversize.with_)
            if feature is not None and (level := _level(sheet, table, feature)) is not None
        }
        if oversize.feature in levels:
            found = _weighed(sheet, name, oversize, levels)
            if found is not None:
                yield found


def _level(sheet: Sheet, table: Table, feature: str) -> _Level | None:
    known = expected_range(sheet, feature)
    read = [
        taken
        for entry, taken in table.taken.items()
        if taken.feature == feature and entry not in table.aside and taken.value is not None
    ]
    if known is None or not read:
        return None
    values = {t.entry: t.value for t in read if t.value is not None}
    centre = median(value.value for value in values.values())
    nearest = min(values, key=lambda entry: abs(values[entry].value - centre))
    wears = sheet.features[feature].wears
    u = median(value.u for value in values.values())
    reference = of_a_new_part(known.low, known.high, u, wears, known.wear)
    return _Level(centre, nearest, Expectation([reference], chance("odd")))


def _weighed(
    sheet: Sheet, name: str, oversize: Oversize, levels: Mapping[str, _Level]
) -> Over | None:
    ground = sheet.features[oversize.feature].wears == "smaller"
    steps = [-abs(float(step)) if ground else abs(float(step)) for step in oversize.steps]
    if not steps:
        return None

    def density(shift: Mapping[str, float]) -> float:
        return math.prod(
            level.expectation.density(level.centre - shift.get(feature, 0.0))
            for feature, level in levels.items()
        )

    each = chance("oversize") / len(steps)
    by_step = [each * density(dict.fromkeys(levels, step)) for step in steps]
    slipped = [
        chance("feature") * density({feature: way * turn})
        for feature in levels
        for turn in (0.5, 0.635)
        for way in (1.0, -1.0)
    ]
    total = (1.0 - chance("oversize")) * density({}) + sum(by_step) + sum(slipped)
    best = max(range(len(steps)), key=by_step.__getitem__)
    posterior = by_step[best] / total if total > 0.0 else 0.0
    if posterior < SHOWN_FROM:
        return None
    typed = oversize.steps[best].typed.lstrip("+-")
    level = levels[oversize.feature]
    with_ = f" and {oversize.with_}" if oversize.with_ in levels else ""
    step = f"{'−' if ground else '+'}{typed}"
    words = f"already on {name} {step}, which is not as its sheet says"
    question = (
        f"Every {oversize.feature}{with_} lies about {step} from the sheet's new range. Has this"
        f" engine been {'ground' if ground else 'bored'} to {step} before? Then enter the"
        f" departure: oversize {name}, step {typed}."
    )
    slip = Slip(
        level.entry,
        "engine",
        oversize.feature,
        "oversize",
        words,
        question,
        level.centre,
        None,
        f"{level.centre:.3f} mm in the middle",
        f"{name} {step}",
        posterior,
        group=f"oversize {name}",
        proposal={"kind": "depart", "oversize": name, "step": typed},
    )
    return Over(slip, tuple(levels), steps[best])
