"""Calculations of crank, cams and their drive."""

from __future__ import annotations

from typing import Final

from gudgeon.calc.calculation import Calculation, Extra, Given, Typed, inner
from gudgeon.calc.options import Option
from gudgeon.timing import crank, drive, events

_GEOMETRY: Final = "elementary geometry"
_NEAR_TOP: Final = 10.0  # degrees within which a dial is a poor judge
_DIAL: Final = 0.01
_BY_HAND: Final = "turn the engine by hand, and never on force"


def _position_sum(typed: Typed) -> str:
    text = {name: inner(values[0]) for name, values in typed.items()}
    radius, rod, angle = text["crank-radius"], text["rod"], text["angle"]
    if "pin-offset" not in text:
        aside = f"{radius} x sin {angle} deg"
        return f"({rod} + {radius}) - {radius} x cos {angle} deg - sqrt({rod}^2 - ({aside})^2)"
    offset = text["pin-offset"]
    return (
        f"with f = {angle} deg - asin({offset} / ({rod} + {radius})): "
        f"sqrt(({rod} + {radius})^2 - {offset}^2) - {radius} x cos f "
        f"- sqrt({rod}^2 - ({radius} x sin f + {offset})^2)"
    )


def _position_extra(given: Given, value: float) -> Extra:
    mechanism = crank.Crank(given["crank_radius"], given["rod"], given.get("pin_offset", 0.0))
    rate = mechanism.rate(given["angle"])
    stroke = mechanism.stroke
    notes = [
        f"below the top, {100 * value / stroke:.2f} % of a stroke of {stroke:.3f} mm; "
        f"{abs(rate):.4f} mm per degree there"
    ]
    if abs((given["angle"] + 180.0) % 360.0 - 180.0) < _NEAR_TOP:
        notes.append(
            f"a dial at its dwell can't find top dead centre: {_DIAL} mm is "
            f"+-{mechanism.dwell(_DIAL):.1f} deg here; use a positive stop on both sides, halve "
            f"the two readings, and {_BY_HAND}"
        )
    if mechanism.pin_offset:
        notes.append(
            f"at the top the throw stands {abs(mechanism.top_angle):.3f} deg "
            f"{'before' if mechanism.top_angle > 0 else 'past'} the line of the bore; angles here "
            "run from the piston's true top"
        )
    keys = {"stroke_mm": round(stroke, 9), "rate_mm_per_deg": round(rate, 9)}
    return Extra(keys, tuple(notes))


def _lobe_sum(typed: Typed) -> str:
    opens, closes = inner(typed["opens"][0]), inner(typed["closes"][0])
    back = opens if typed["cam"][0] == "in" else closes
    return f"({opens} + 180 + {closes}) / 2 - {back}"


def _lobe_extra(given: Given, value: float) -> Extra:
    length = events.duration(given["opens"], given["closes"])
    side = "after" if given["cam"] == "in" else "before"
    events_of = (
        "opens before top, closes after bottom"
        if given["cam"] == "in"
        else "opens before bottom, closes after top"
    )
    notes = (
        f"{value:.1f} deg {side} top dead centre; duration {length:g} deg ({events_of})",
        "both events at one lift, for a symmetric lobe; on another compare the events at the "
        "lift the maker states",
        f"figures are no substitute for a clay or dial check of valves to piston: {_BY_HAND}",
    )
    return Extra({"duration_deg": round(length, 9), "side_of_tdc": side}, notes)


def _tooth_extra(given: Given, value: float) -> Extra:
    notes = (
        f"{value / 2:.2f} deg on the cam; two teeth {2 * value:.1f} deg of crank",
        "a lobe centre out by something that is no multiple of a mesh's tooth is wear, slots, or "
        "two errors that nearly cancel",
        f"a cam one tooth out can put valves into pistons: back the crank off the top before "
        f"turning cams, {_BY_HAND}",
    )
    return Extra({"cam_deg": round(value / 2, 9)}, notes)


def _marks_extra(given: Given, value: float) -> Extra:
    teeth, turns = given["teeth"], int(value)
    each = [turns * teeth[0] // count for count in teeth]
    off = drive.teeth_off(teeth, 2)
    notes = [
        "turns of the crank until all marks stand as they did; turns of each wheel: "
        + ", ".join(f"{count} teeth {n}" for count, n in zip(teeth, each, strict=True))
    ]
    astray = "; ".join(
        f"{count} teeth: {abs(n)} {'past' if n > 0 else 'short'}"
        for count, n in zip(teeth, off, strict=True)
        if n
    )
    notes.append(
        f"after the usual 2 turns some marks are off, and that is no mistake ({astray})"
        if astray
        else "after the usual 2 turns every mark is back"
    )
    notes.append("mark the meshes before breaking them; a chain counts as a wheel of its links")
    return Extra({"turns_of_each": each, "teeth_off_after_2": off}, tuple(notes))


TIMING: Final[tuple[Calculation, ...]] = (
    Calculation(
        "piston-position",
        "How far a piston stands below its top at a crank angle.",
        (
            Option("crank-radius", "half the stroke", "22.5", above=0.0, highest=1000.0),
            Option("rod", "the rod's length between centres", "90", above=0.0, highest=5000.0),
            Option(
                "angle",
                "the crank angle after top dead centre; negative before",
                "30",
                "angle",
                lowest=-720.0,
                highest=720.0,
            ),
            Option(
                "pin-offset",
                "how far the gudgeon pin's line runs beside the crank's axis, "
                "positive toward the thrust side",
                "0.5",
                least=0,
                lowest=-100.0,
                highest=100.0,
            ),
        ),
        crank.piston_depth,
        "length",
        4,
        "depth = sqrt((L + r)^2 - e^2) - r cos f - sqrt(L^2 - (r sin f + e)^2), "
        "f = angle - asin(e / (L + r))",
        f"{_GEOMETRY}; without offset Heywood (1988), section 2.2",
        _position_sum,
        _position_extra,
    ),
    Calculation(
        "lobe-centre",
        "The centre of a cam lobe from its opening and closing.",
        (
            Option("cam", "which cam it is", "in", "choice", choices=events.CAMS),
            Option(
                "opens",
                "the opening: inlet before top, exhaust before bottom dead centre",
                "18",
                "angle",
                lowest=-89.0,
                highest=180.0,
            ),
            Option(
                "closes",
                "the closing: inlet after bottom, exhaust after top dead centre",
                "46",
                "angle",
                lowest=-89.0,
                highest=180.0,
            ),
        ),
        events.lobe_centre,
        "angle",
        1,
        "centre = (opens + 180 + closes) / 2 - opens after top (inlet), - closes before top "
        "(exhaust)",
        "elementary arithmetic of the cycle",
        _lobe_sum,
        _lobe_extra,
    ),
    Calculation(
        "tooth-error",
        "What one tooth at a mesh does to the timing, in crank degrees.",
        (
            Option(
                "teeth", "the teeth of a wheel of the mesh", "32", "count", lowest=1, highest=10_000
            ),
            Option(
                "turns-per-crank-turn",
                "how often that wheel turns for one turn of the crank, as 0.5 or 20/30",
                "0.5",
                "number",
                above=0.0,
                highest=100.0,
            ),
        ),
        drive.tooth_error,
        "angle",
        2,
        "one tooth = 360 / (teeth x turns per crank turn)",
        "elementary arithmetic",
        lambda typed: f"360 / ({typed['teeth'][0]} x ({typed['turns-per-crank-turn'][0]}))",
        _tooth_extra,
    ),
    Calculation(
        "mark-return",
        "After how many crank turns the marks of a train are back.",
        (
            Option(
                "teeth",
                "the teeth of each wheel in order, the crank's first",
                "20 35 40",
                "count",
                least=2,
                lowest=1,
                highest=1000,
                several=True,
            ),
        ),
        drive.mark_return,
        "number",
        0,
        "turns = lcm(all teeth) / teeth of the crank's wheel",
        "elementary number theory; Brown, 507 Mechanical Movements (1868), no. 264",
        lambda typed: f"lcm({', '.join(typed['teeth'])}) / {typed['teeth'][0]}",
        _marks_extra,
    ),
)
