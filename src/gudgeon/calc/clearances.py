"""Calculations of clearances: valves, bearings, rings, end float."""

from __future__ import annotations

from typing import Final

from gudgeon.calc.calculation import Calculation, Extra, Given, Typed
from gudgeon.calc.options import Option
from gudgeon.faults import Fault
from gudgeon.formulas import axial, bearings, rings, valves

_GEOMETRY: Final = "elementary geometry"


def _shim_sum(typed: Typed) -> str:
    text = {name: values[0] for name, values in typed.items()}
    if "lever" in text and text.get("read-at", "cam") == "cam":
        tail = f" - {text['rise']}" if "rise" in text else ""
        gap = f"({text['clearance']} - {text['target']})"
        return f"{text['old']} + {gap} x {text['lever']}{tail}"
    gap = f"({text['clearance']} - {text['rise']})" if "rise" in text else text["clearance"]
    return f"{text['old']} + {gap} - {text['target']}"


def _shim_check(given: Given) -> Fault | None:
    if given.get("read_at") == "cam" and "lever" not in given:
        return Fault("--read-at", "a gap read at the cam needs the lever ratio", "give --lever")
    return None


def _shim_extra(given: Given, value: float) -> Extra:
    lever = given.get("lever", 1.0) if given.get("read_at", "cam") == "cam" else 1.0
    after = valves.clearance_after(given["clearance"], given.get("recession", 0.0), lever)
    notes = []
    if after <= 0.0:
        notes.append(
            f"the old shim holds the valve open ({after:.3f} mm): nothing can be read with it in, "
            "so build dry with a thin checking shim"
        )
    else:
        notes.append(f"with the old shim the clearance is now {after:.3f} mm")
    if value <= 0.0:
        notes.append("no shim is that thin: check the readings, and how far the valve has sunk")
    return Extra({"clearance_with_old_mm": round(after, 9)}, tuple(notes))


def _recession_extra(given: Given, value: float) -> Extra:
    axis = valves.half_angle(given["seat_angle"], given.get("angle_from", "face"))
    note = f"the seat stands {90 - axis:g} deg from the head face, {axis:g} deg from the valve axis"
    return Extra({"half_angle_deg": axis}, (note,))


def _recession_sum(typed: Typed) -> str:
    if typed.get("from", ["face"])[0] == "face":
        return f"{typed['normal'][0]} / cos {typed['seat-angle'][0]} deg"
    return f"{typed['normal'][0]} / sin {typed['seat-angle'][0]} deg"


def _oil_extra(given: Given, value: float) -> Extra:
    if value > 0.0:
        return Extra()
    return Extra(
        notes=("no clearance: the shaft would be nipped; check which shells and readings",)
    )


def _end_float_extra(given: Given, value: float) -> Extra:
    if value >= 0.0:
        return Extra()
    return Extra(notes=("negative: the shaft is squeezed by that much (a preload)",))


CLEARANCES: Final[tuple[Calculation, ...]] = (
    Calculation(
        "shim",
        "The valve shim that brings a clearance to its target.",
        (
            Option("old", "the thickness of the shim that is in", "1.850", above=0.0, highest=50.0),
            Option("clearance", "the clearance read with it", "0.14", lowest=0.0, highest=5.0),
            Option("target", "the clearance wanted", "0.13", lowest=0.0, highest=5.0),
            Option(
                "rise",
                "how far the stem tip has risen since, by seat work",
                "0.11",
                parameters=("recession",),
                least=0,
                lowest=-5.0,
                highest=5.0,
            ),
            Option(
                "lever",
                "the movement at the valve tip over the movement at the cam",
                "1.45",
                "number",
                least=0,
                above=0.0,
                highest=5.0,
            ),
            Option(
                "read-at",
                "where a lever's gap was read",
                "cam",
                "choice",
                least=0,
                choices=valves.READ_AT,
            ),
        ),
        valves.shim,
        "length",
        None,
        "new = old + (clearance - target) x lever - rise; lever 1 for a bucket or a gap read "
        "at the stem",
        _GEOMETRY,
        _shim_sum,
        _shim_extra,
        _shim_check,
    ),
    Calculation(
        "recession",
        "How far a valve sinks when metal is taken off its seat or face.",
        (
            Option("normal", "the metal taken off, square to the seat", "0.050", lowest=0.0),
            Option("seat-angle", "the angle of the seat", "45", "angle", above=0.0, highest=89.0),
            Option(
                "from",
                "what the seat's angle is quoted from: head face (the default) or valve axis",
                "face",
                "choice",
                parameters=("angle_from",),
                least=0,
                choices=valves.ANGLE_FROM,
            ),
        ),
        valves.axial_from_normal,
        "length",
        4,
        "axial = normal / sin(angle from the valve axis)",
        _GEOMETRY,
        _recession_sum,
        _recession_extra,
    ),
    Calculation(
        "ring-gap-growth",
        "How much a piston ring's end gap opens when the bore grows.",
        (
            Option(
                "bore-growth",
                "the growth of the bore, on diameter",
                "0.05",
                lowest=-5.0,
                highest=5.0,
            ),
        ),
        rings.gap_growth,
        "length",
        4,
        "gap growth = pi x bore growth",
        "elementary geometry; US Army TM 5-3805-261-34: 0.003 in per 0.001 in",
        lambda typed: f"pi x {typed['bore-growth'][0]}",
    ),
    Calculation(
        "oil-clearance",
        "Oil clearance of a plain bearing, from housing, journal and shell walls.",
        (
            Option(
                "housing", "the bore of the housing, torqued, without shells", "36.003", above=0.0
            ),
            Option("journal", "the diameter of the journal", "32.991", above=0.0),
            Option(
                "wall",
                "the wall of the shells; twice for an upper and a lower that differ",
                "1.490",
                parameters=("upper_wall", "lower_wall"),
                above=0.0,
                highest=50.0,
            ),
        ),
        bearings.oil_clearance,
        "length",
        None,
        "clearance on diameter = housing - journal - upper wall - lower wall",
        _GEOMETRY,
        lambda typed: " - ".join(
            [typed["housing"][0], typed["journal"][0], typed["wall"][0], typed["wall"][-1]]
        ),
        _oil_extra,
    ),
    Calculation(
        "end-float",
        "End float of a shaft between two case halves, with a shim.",
        (
            Option(
                "depth",
                "the depth from joint face to thrust face; one for each half",
                "41.83",
                parameters=("depth_1", "depth_2"),
                least=2,
                lowest=0.0,
            ),
            Option(
                "gasket", "the thickness of the gasket as crushed; 0 for none", "0.35", lowest=0.0
            ),
            Option("shaft", "the length of the shaft over its shoulders", "81.12", above=0.0),
            Option("shim", "the thickness of the shim; 0 for none", "0.15", lowest=0.0),
        ),
        axial.end_float,
        "length",
        None,
        "end float = depth + depth + gasket - shaft - shim",
        _GEOMETRY,
        lambda typed: (
            f"{' + '.join(typed['depth'])} + {typed['gasket'][0]} - {typed['shaft'][0]} "
            f"- {typed['shim'][0]}"
        ),
        _end_float_extra,
    ),
)
