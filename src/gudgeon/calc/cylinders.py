"""Calculations of what a cylinder sweeps, leaves, and holds."""

from __future__ import annotations

from typing import Final

from gudgeon.calc.calculation import Calculation, Extra, Given, Typed, inner
from gudgeon.calc.options import Option
from gudgeon.faults import Fault
from gudgeon.formulas import readings
from gudgeon.timing import volumes

_FAA: Final = "FAA-H-8083-32B (2023)"


def _disc(diameter: str, depth: str) -> str:
    return f"pi/4 x {diameter}^2 x {depth} / 1000"


def _ratio_sum(typed: Typed) -> str:
    text = {name: inner(values[0]) for name, values in typed.items()}
    left = text["chamber"]
    if "dome" in text:
        left += f" - {text['dome']}"
    if "gasket" in text:
        left += f" + {_disc(text.get('gasket-bore', text['bore']), text['gasket'])}"
    if "deck" in text:
        left += f" + {_disc(text['bore'], text['deck'])}"
    return f"1 + {_disc(text['bore'], text['stroke'])} / ({left})"


def _ratio_check(given: Given) -> Fault | None:
    if "gasket_bore" in given and "gasket" not in given:
        return Fault("--gasket-bore", "a gasket's bore needs its thickness", "give --gasket")
    return None


def _ratio_extra(given: Given, value: float) -> Extra:
    swept = volumes.displacement(given["bore"], given["stroke"])
    left = swept / (value - 1.0)
    per_tenth = swept / left - swept / (left + 0.1)
    keys: dict[str, object] = {"swept_cm3": round(swept, 9), "left_cm3": round(left, 9)}
    notes = [
        f"swept {swept:.2f} cm^3, left over the piston {left:.3f} cm^3",
        f"0.1 cm^3 more in the chamber is {per_tenth:.3f} less in ratio: read the burette twice",
    ]
    missing = [name for name in ("gasket", "deck") if name not in given]
    if missing:
        notes.append(f"{' and '.join(missing)} left out: counted as 0")
    else:
        gap = volumes.squish(given["deck"], given["gasket"])
        keys["squish_mm"] = round(gap, 9)
        notes.append(
            f"squish gap {gap:.3f} mm at a flat band level with the head's face; prove it with "
            "soft wire, the least that is safe is the maker's to say"
        )
    return Extra(keys, tuple(notes))


def _skim_extra(given: Given, value: float) -> Extra:
    now = 1.0 + given["swept"] / given["chamber_volume"]
    notes = [f"the ratio is {now:.3f} now"]
    if value < 0.0:
        notes.append("it is higher than wanted: a thicker gasket by that much, not a skim")
    else:
        notes += [
            "a skim takes as much off the squish gap, and brings valves nearer to the piston",
            "it makes chain-driven cams late (the exhaust valves lose room) and takes backlash "
            "out of gears that mesh across the joint",
            "these figures are no substitute for clay or a dial: check before turning, turn by "
            "hand, never on force",
        ]
    return Extra({"ratio_now": round(now, 9)}, tuple(notes))


def _leak_check(given: Given) -> Fault | None:
    if given["held"] > given["supply"]:
        wrong = f"{given['held']:g} kPa is more than the supply of {given['supply']:g} kPa"
        return Fault("--held", wrong, "exchange them")
    return None


def _leak_extra(given: Given, value: float) -> Extra:
    return Extra(
        notes=(
            "hold the crank at the top of the compression stroke: the air can spin it, so keep "
            "hands and spanners clear",
            "where it is heard tells the way: inlet, exhaust, breather (rings and bore), a "
            "neighbour's plug hole or bubbles in the coolant (gasket or crack); common practice",
            "compare cylinders on one tester: orifices differ, and so do percentages; the limit "
            "is the maker's",
        )
    )


CYLINDERS: Final[tuple[Calculation, ...]] = (
    Calculation(
        "displacement",
        "Swept volume of an engine.",
        (
            Option("bore", "the bore", "58", above=0.0, highest=1000.0),
            Option("stroke", "the stroke", "50", above=0.0, highest=3000.0),
            Option("cylinders", "the number of cylinders", "4", "count", lowest=1, highest=64),
        ),
        volumes.displacement,
        "volume",
        2,
        "volume = pi/4 x bore^2 x stroke x cylinders",
        f"{_FAA}, p. 1-28",
        lambda typed: (
            f"pi/4 x {typed['bore'][0]}^2 x {typed['stroke'][0]} x {typed['cylinders'][0]} / 1000"
        ),
    ),
    Calculation(
        "compression-ratio",
        "Compression ratio of a cylinder from its parts.",
        (
            Option("bore", "the bore", "76", above=0.0, highest=1000.0),
            Option("stroke", "the stroke", "55", above=0.0, highest=3000.0),
            Option("chamber", "the volume in the head", "22.0", "volume", lowest=0.0),
            Option(
                "dome",
                "the crown's volume above its flat; negative for a dish",
                "3.0",
                "volume",
                least=0,
                lowest=-1000.0,
            ),
            Option(
                "gasket",
                "the thickness of the gasket as crushed",
                "0.8",
                least=0,
                lowest=0.0,
                highest=20.0,
            ),
            Option(
                "gasket-bore",
                "the diameter of the hole in the gasket; the bore if left out",
                "78",
                least=0,
                above=0.0,
                highest=1000.0,
            ),
            Option(
                "deck",
                "how far the crown's flat stands below the block; negative if proud",
                "0.5",
                least=0,
                lowest=-20.0,
                highest=100.0,
            ),
        ),
        volumes.compression_ratio,
        "number",
        3,
        "ratio = 1 + swept / (chamber - dome + gasket + deck)",
        f"{_FAA}, p. 1-29; elementary geometry",
        _ratio_sum,
        _ratio_extra,
        _ratio_check,
    ),
    Calculation(
        "skim-for-ratio",
        "What to skim off a head for a compression ratio.",
        (
            Option("ratio", "the ratio wanted", "12.7", "number", above=1.0, highest=30.0),
            Option("swept", "the swept volume of one cylinder", "133.27", "volume", above=0.0),
            Option(
                "chamber-volume",
                "all that is left over the piston now: head, gasket, deck, less the dome",
                "11.540",
                "volume",
                above=0.0,
            ),
            Option(
                "area",
                "the area of the chamber at the face that is cut",
                "2398.8",
                "area",
                above=0.0,
                highest=1e6,
            ),
        ),
        volumes.skim_for_ratio,
        "length",
        3,
        "skim = (chamber volume - swept / (ratio - 1)) / area",
        "elementary geometry",
        lambda typed: (
            f"({typed['chamber-volume'][0]} - {typed['swept'][0]} / ({typed['ratio'][0]} - 1)) "
            f"x 1000 / {typed['area'][0]}"
        ),
        _skim_extra,
    ),
    Calculation(
        "leak-down",
        "Leakage of a cylinder under air, in percent.",
        (
            Option(
                "supply",
                "the pressure before the tester's orifice",
                "690",
                "pressure",
                above=0.0,
                highest=2000.0,
            ),
            Option("held", "the pressure behind it", "497", "pressure", lowest=0.0, highest=2000.0),
        ),
        readings.leak_down,
        "share",
        1,
        "leakage = 100 x (1 - held / supply) %",
        "FAA AC 43.13-1B, paragraphs 8-14 and 8-15",
        lambda typed: f"100 x (1 - {typed['held'][0]} / {typed['supply'][0]})",
        _leak_extra,
        _leak_check,
    ),
)
