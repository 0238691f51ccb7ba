"""What to do about a bearing, in which order.

The order of the steps is common practice, no source: the cheap explanations first (a reading, a
string read from the wrong end), then the part itself, then the machine shop.
"""

from __future__ import annotations

from math import hypot
from typing import Final

from gudgeon.fit.shells.agree import Case, missing
from gudgeon.fit.shells.bearing import Diameter, class_of
from gudgeon.formulas.bearings import undersize_wall
from gudgeon.metrology.hypotheses import TURN_IN, TURN_MM
from gudgeon.sheet.select import Shells

#: One turn of the thimble [mm], and what it is called.
_TURNS: Final = {TURN_MM: "0.50 mm", TURN_IN: "0.025 in"}
#: A diameter further off its class than this [mm] is a slip or another part, hardly wear.
_FAR: Final = 0.1
#: A chance below this asks for proof by plastic strip even where nothing disagrees.
_PROVE_BELOW: Final = 0.95
#: How far a ground journal may lie below its undersize by wear, and above it by grinding [mm].
_GROUND: Final = (0.06, 0.03)


def advice(case: Case) -> tuple[str, ...]:
    """The steps that apply at this place, in the order in which to take them."""
    steps = [part.read.doubt for part in case.parts if part.read.mark and part.role in case.turned]
    if case.astray:
        names = " and ".join(f"the {part.role}" for part in case.astray)
        steps.append(f"measure {names} again, cold, with another instrument or other hands")
        steps += [step for part in case.astray if (step := _slip(case, part))]
        steps += [step for part in case.astray if (step := _string(case, part))]
        steps += [step for part in case.astray if (step := _part(case, part))]
        steps.append(_mixing(case.spec))
    if case.pick is None:
        refused = refusal(case)
        return (*steps, refused) if refused else tuple(steps)
    chance = case.pick.chance
    if case.astray or (chance is not None and chance < _PROVE_BELOW):
        steps.append(f"prove it with plastic strip: {strip_text(case)}")
    if _below_service(case):
        steps.append(_grind(case))
    return tuple(steps)


def strip_text(case: Case) -> str:
    """What a plastic strip should show, and within what.

    The spread is that of the forecast and of the strip together, both expanded.
    """
    expected = strip(case)
    if expected is None:
        return ""
    return f"expect {expected[0]:.3f} ± {expected[1]:.3f} at {case.bearing.place}"


def strip(case: Case) -> tuple[float, float] | None:
    """The clearance a plastic strip should show, and the expanded uncertainty [mm]."""
    if case.pick is None:
        return None
    clearance = case.pick.clearance
    return clearance.value, hypot(2.0 * clearance.u, case.strip)


def refusal(case: Case) -> str:
    """Why no shell is legal here, and what would have to give; empty where that isn't the case."""
    bearing = case.bearing
    if not bearing.form.walls:
        return "the sheet gives no walls of shells: look them up, then choose"
    if not case.options:
        return missing(bearing)
    if any(option.legal for option in case.options):
        if bearing.window == (None, None) and bearing.aim is None:
            return "no limit given: the sheet states neither a window nor an aim for the clearance"
        return ""
    far = [part for part in case.astray if part.weighed and abs(part.weighed.outside) > _FAR]
    if far:
        names = " and ".join(f"the {part.role}" for part in far)
        return f"no shell fits these readings: settle {names} first"
    low, high = bearing.window
    thickest, thinnest = case.options[-1], case.options[0]
    if high is not None and thickest.clearance.value > high:
        ends = f"even the thickest, {thickest.halves}, leaves {thickest.clearance.value:.3f}"
        return f"{ends} of at most {high:.3f}: {_grind(case)}"
    if low is not None and thinnest.clearance.value < low:
        ends = f"even the thinnest, {thinnest.halves}, leaves {thinnest.clearance.value:.3f}"
        return (
            f"{ends} of at least {low:.3f}: check the housing (clean joint, right cap, torque) and"
            f" the journal's reading; a wall of {_middle_wall(case):.3f} would be needed"
        )
    return (
        "no grade is legal: one step of wall is too coarse for the window"
        + (", less the guard" if low is not None and high is not None else "")
        + "; one grade thicker in one half would come between, if the maker allows it"
    )


def ground_question(case: Case, bounds: tuple[float, float] | None) -> str:
    """Asks whether the crank was ground, where the journal lies one undersize below `bounds`."""
    size = case.bearing.journal.read.measured
    if size is None or bounds is None or case.bearing.undersize:
        return ""
    for step in sorted(case.spec.undersizes):
        low, high = bounds[0] - step - _GROUND[0], bounds[1] - step + _GROUND[1]
        if low <= size.value <= high and size.value < bounds[0] - 0.5 * step:
            return (
                f"the journal measures as if ground {step:.2f} under: was it? If so, enter that"
                f" this engine departs from its sheet so, and shells {step:.2f} undersize are"
                f" chosen, each wall {0.5 * step:.3f} thicker"
            )
    return ""


def _slip(case: Case, part: Diameter) -> str:
    size, band = part.read.measured, part.read.band
    if size is None or band is None or part.status != "contradicts":
        return ""
    for turn, name in _TURNS.items():
        for way in (turn, -turn):
            corrected = size.value + way
            if abs(band.outside(corrected)) <= 3.0 * size.u:
                more = "more" if way > 0 else "less"
                return (
                    f"one turn of the thimble {more} ({name}) gives {corrected:.3f} mm, in class"
                    f" {part.read.mark}: was it read one turn out?"
                )
    gauge = ", the sign of the bore gauge" if part.role == "housing" else ""
    return f"look for a slip of the reading: one thimble turn, digits exchanged{gauge}"


def _string(case: Case, part: Diameter) -> str:
    test = case.tests.get(part.role)
    if test is None or test.verdict == "fits as read":
        return ""
    side = "case" if part.role == "housing" else "crank"
    return f"look again at which end the {side} string is read from: {test.text}"


def _part(case: Case, part: Diameter) -> str:
    weighed = part.weighed
    if weighed is None:
        return ""
    if part.role == "housing":
        if weighed.outside > 0:
            return (
                "a housing does not wear: suspect caps exchanged or turned, a distorted case, or"
                " bolts not at their torque"
            )
        return "suspect dirt in the joint or behind the cap, a cap of another place, or its mark"
    if weighed.outside > 0:
        return "a journal does not grow: the mark, the end it is read from or the reading is wrong"
    limit = case.journal_min
    if limit is None:
        return (
            "the sheet gives no service limit for the journal: look it up before the journal is"
            " re-marked and shells are chosen by measurement"
        )
    size = weighed.size.value
    if size < limit:
        return f"the journal measures {size:.3f}, below its service limit {limit:.3f}"
    mark = class_of(size, case.bearing.form.crank)
    marked = f"re-mark it {mark}, the class it measures," if mark else "no mark fits it any longer,"
    return (
        f"the journal is below its class but above its service limit {limit:.3f}: {marked} and"
        " its shells are chosen by measurement"
    )


def _mixing(spec: Shells) -> str:
    allowed = {
        "never": "do not correct by mixing grades of upper and lower half",
        "adjacent": "do not mix upper and lower half by more than one grade",
        "table": "mix upper and lower half only as the maker's table does",
    }
    return allowed[spec.mixing]


def _below_service(case: Case) -> bool:
    journal = case.bearing.journal.read.measured
    limit = case.journal_min
    return journal is not None and limit is not None and journal.value < limit


def _grind(case: Case) -> str:
    """What would bring the clearance back: the next undersize and what it needs."""
    bearing, spec = case.bearing, case.spec
    housing = bearing.housing.taken
    journal = bearing.journal.taken
    grades = list(bearing.form.walls)
    if housing is None or journal is None or not grades or bearing.aim is None:
        return "grind the crank to an undersize the maker has shells for, or replace it"
    middle = grades[len(grades) // 2]
    for step in sorted(spec.undersizes):
        if step <= bearing.undersize:
            continue
        wall = undersize_wall(bearing.form.walls[middle], step)
        target = housing.value - 2.0 * wall - bearing.aim
        if target < journal.value - 0.005:
            return (
                f"grind the journal to {target:.3f} for shells {step:.2f} undersize (grade"
                f" {middle}, wall {wall:.3f}), or replace the crank; check the housing first"
            )
    have = "no undersize is left" if spec.undersizes else "the sheet lists no undersize shells"
    return (
        f"{have}: a wall of {_middle_wall(case):.3f} would be needed; check the housing, then"
        " replace the crank or ask the maker for a thicker grade"
    )


def _middle_wall(case: Case) -> float:
    """The wall that would give the aim, or the middle of what the options give [mm]."""
    option = case.options[0]
    aim = case.bearing.aim
    target = aim if aim is not None else next(x for x in case.bearing.window if x is not None)
    return 0.5 * (sum(option.walls) + option.clearance.value - target)
