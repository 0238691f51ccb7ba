"""An engine that is not as its sheet, or its log, says: every bore and piston sits a step off."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from statistics import median
from typing import TYPE_CHECKING, Final, NamedTuple

from gudgeon.log.oversize import oversize_step
from gudgeon.metrology.expected import Expectation, of_a_new_part
from gudgeon.metrology.priors import SHOWN_FROM, chance
from gudgeon.metrology.ranges import expected_range
from gudgeon.metrology.readings import Table
from gudgeon.metrology.slips import Slip

if TYPE_CHECKING:
    from gudgeon.log.entries import Departure
    from gudgeon.sheet.features import Oversize
    from gudgeon.sheet.model import Sheet


#: Steps nearer than this are one step [mm].
_SAME: Final = 1e-6


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


def oversizes_met(
    sheet: Sheet, table: Table, departures: Sequence[Departure] = ()
) -> Iterator[Over]:
    """The oversizes of a sheet that the readings sit at, each as a question.

    Args:
        sheet: the sheet in force. table: the readings.
        departures: those in force; of an oversize that one of them says is fitted, it is asked
        whether that is right, where the readings sit at another step or at none.
    """
    fitted = {item.oversize: item for item in departures if item.oversize is not None}
    for name, oversize in sheet.oversizes.items():
        levels = {
            feature: level
            for feature in (oversize.feature, oversize.with_)
            if feature is not None and (level := _level(sheet, table, feature)) is not None
        }
        if oversize.feature in levels:
            found = _weighed(sheet, name, oversize, levels, fitted.get(name))
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


class _Step(NamedTuple):
    """A step that the engine may be on [mm], 0 for standard, and how people write it."""

    size: float
    typed: str


def _weighed(
    sheet: Sheet,
    name: str,
    oversize: Oversize,
    levels: Mapping[str, _Level],
    entered: Departure | None,
) -> Over | None:
    """The step the readings sit at, where it is not the one in force."""
    ground = sheet.features[oversize.feature].wears == "smaller"
    sign = -1.0 if ground else 1.0
    steps = [_Step(sign * abs(float(s)), _signed(s.typed, ground)) for s in oversize.steps]
    fitted = _Step(0.0, "")
    if entered is not None:
        step = oversize_step(sheet, name, entered.step, entered.id)
        fitted = _Step(float(step), _signed(step.typed, float(step) < 0.0))
        steps.insert(0, _Step(0.0, "standard"))
    others = [step for step in steps if abs(step.size - fitted.size) > _SAME]
    if not others:
        return None

    def density(shift: Mapping[str, float]) -> float:
        return math.prod(
            level.expectation.density(level.centre - shift.get(feature, 0.0))
            for feature, level in levels.items()
        )

    prior = chance("oversize" if entered is None else "departure")
    by_step = [
        prior / len(others) * density(dict.fromkeys(levels, step.size - fitted.size))
        for step in others
    ]
    slipped = [
        chance("feature") * density({feature: way * turn})
        for feature in levels
        for turn in (0.5, 0.635)
        for way in (1.0, -1.0)
    ]
    total = (1.0 - prior) * density({}) + sum(by_step) + sum(slipped)
    best = max(range(len(others)), key=by_step.__getitem__)
    posterior = by_step[best] / total if total > 0.0 else 0.0
    if posterior < SHOWN_FROM:
        return None
    both = f" and {oversize.with_}" if oversize.with_ in levels else ""
    about = _About(name, f"{oversize.feature}{both}", ground, levels[oversize.feature], posterior)
    if entered is None:
        slip = _not_said(about, oversize.feature, others[best])
    else:
        slip = _said_wrongly(about, oversize.feature, others[best], fitted, entered.id)
    return Over(slip, tuple(levels), others[best].size - fitted.size)


class _About(NamedTuple):
    """What a question about an oversize speaks of."""

    name: str
    what: str
    ground: bool
    level: _Level
    posterior: float


def _signed(typed: str, ground: bool) -> str:
    return f"{'−' if ground else '+'}{typed.lstrip('+-−')}"


def _not_said(about: _About, feature: str, step: _Step) -> Slip:
    """The engine is on an oversize that nobody has entered."""
    question = (
        f"Every {about.what} lies about {step.typed} from the sheet's new range. Has this engine"
        f" been {'ground' if about.ground else 'bored'} to {step.typed} before? Then enter the"
        f" departure: oversize {about.name}, step {step.typed[1:]}."
    )
    proposal = {"kind": "depart", "oversize": about.name, "step": step.typed[1:]}
    words = f"already on {about.name} {step.typed}, which is not as its sheet says"
    return _asked(about, feature, f"{about.name} {step.typed}", words, question, proposal)


def _said_wrongly(about: _About, feature: str, step: _Step, fitted: _Step, entry: str) -> Slip:
    """The departure says an oversize is fitted, and the readings sit elsewhere."""
    lies = f"the engine is on {about.name} {fitted.typed} already"
    if step.size:
        where = f"on {about.name} {step.typed}"
        then = f"enter it again with step {step.typed[1:]}"
        proposal = {"kind": "depart", "oversize": about.name, "step": step.typed[1:]}
    else:
        where, then = "of standard size", f"strike {entry} out"
        proposal = {"kind": "strike", "target": entry}
    question = (
        f"A departure says that {lies}, but every {about.what} lies as in an engine {where}. Was"
        f" it entered by mistake? Then {then}; until then these sizes are judged as it says."
    )
    words = f"{where}, not on {about.name} {fitted.typed} as its departure says"
    return _asked(about, feature, where, words, question, proposal, "departure")


def _asked(
    about: _About,
    feature: str,
    would_be: str,
    words: str,
    question: str,
    proposal: Mapping[str, str],
    kind: str = "oversize",
) -> Slip:
    return Slip(
        about.level.entry,
        "engine",
        feature,
        "oversize",
        words,
        question,
        about.level.centre,
        None,
        f"{about.level.centre:.3f} mm in the middle",
        would_be,
        about.posterior,
        group=f"{kind} {about.name}",
        proposal=proposal,
    )
