"""Rows for rods, crank, gearbox, clutch and oil pump. Common practice, no source; no limits."""

from __future__ import annotations

from typing import Final

from gudgeon.sheet.starters.rows import Measure, Section, Value

_HOUSING: Final = "{angle: [30, 90, 150], depth: [front, rear]}"
_JOURNAL: Final = "{axis: [0, 90], end: [front, rear]}"
_PLATES: Final = "{plate: [1, 2, 3, 4, 5, 6, 7, 8]}"

CRANK: Final = Section(
    "Rods and crank",
    "rods and crank",
    (
        Measure(
            "rod-housing",
            "big end of the rod, cap torqued, shells out, off the split",
            "pin",
            "bore-gauge",
            _HOUSING,
            of="steel",
            wears="larger",
            state="torqued, no shells",
            only="plain",
        ),
        Measure(
            "crank-pin",
            "big-end journal, off the oil hole",
            "pin",
            "micrometer-0.001",
            _JOURNAL,
            of="steel",
            wears="smaller",
            only="plain",
        ),
        Measure(
            "rod-fitted",
            "big end with its shells in, cap torqued, square to the split",
            "pin",
            "bore-gauge",
            "{depth: [front, rear]}",
            of="steel",
            state="torqued, shells in",
            only="plain",
        ),
        Measure(
            "rod-bolt",
            "length of the rod bolts, for stretch",
            "pin",
            "micrometer-0.01",
            "{bolt: [1, 2]}",
            of="steel",
            wears="larger",
            only="plain",
        ),
        Measure(
            "main-housing",
            "main bearing housing, cases torqued, shells out, off the split",
            "main",
            "bore-gauge",
            _HOUSING,
            of="cast-aluminium",
            wears="larger",
            state="torqued, no shells",
            only="plain",
        ),
        Measure(
            "main-journal",
            "main journal, off the oil hole",
            "main",
            "micrometer-0.001",
            _JOURNAL,
            of="steel",
            wears="smaller",
            only="plain",
        ),
        Measure(
            "main-fitted",
            "main bearing with its shells in, cases torqued",
            "main",
            "bore-gauge",
            "{depth: [front, rear]}",
            of="cast-aluminium",
            state="torqued, shells in",
            only="plain",
        ),
        Measure(
            "big-end-play",
            "up-and-down play of the roller big end, dry",
            "pin",
            "plunger-dial",
            kind="gap",
            only="roller",
        ),
        Measure("rod-side", "side clearance of the big end", "pin", "feeler", kind="gap"),
        Measure("rod-bend", "bend of the rod over 100 mm", "pin", "lever-dial", kind="run-out"),
        Measure("rod-twist", "twist of the rod over 100 mm", "pin", "lever-dial", kind="run-out"),
        Measure(
            "rod-small-end-mass",
            "small end of the rod, weighed level",
            "pin",
            "scales",
            kind="mass",
        ),
        Measure(
            "crank-run-out",
            "crank in V-blocks or between centres, at each main",
            "main",
            "lever-dial",
            kind="run-out",
        ),
        Measure("crank-float", "end float of the crank", "engine", "feeler", kind="gap"),
    ),
    (
        Value(
            "rod-housing-round",
            "out of round of the big end",
            "rod-housing",
            "oval-at-a-height",
            "max",
        ),
        Value("crank-pin-size", "smallest big-end journal", "crank-pin", "min", "min"),
        Value(
            "crank-pin-oval", "out of round of the journal", "crank-pin", "oval-at-a-height", "max"
        ),
        Value("crank-pin-taper", "taper of the journal", "crank-pin", "taper-down-an-axis", "max"),
        Value("rod-bolt-length", "longest rod bolt", "rod-bolt", "max", "max"),
        Value(
            "main-housing-round",
            "out of round of the housing",
            "main-housing",
            "oval-at-a-height",
            "max",
        ),
        Value("main-journal-size", "smallest main journal", "main-journal", "min", "min"),
        Value(
            "main-journal-oval",
            "out of round of the journal",
            "main-journal",
            "oval-at-a-height",
            "max",
        ),
        Value(
            "main-journal-taper",
            "taper of the journal",
            "main-journal",
            "taper-down-an-axis",
            "max",
        ),
        Value(
            "big-end-up-down",
            "play allowed; next to none in most manuals",
            "big-end-play",
            "max",
            "max",
        ),
        Value("rod-side-clearance", "side clearance, new and limit", "rod-side", "max", "both"),
        Value("rod-bent", "bend allowed", "rod-bend", "max", "max"),
        Value("rod-twisted", "twist allowed", "rod-twist", "max", "max"),
        Value("crank-bend", "crank run-out allowed", "crank-run-out", "max", "max"),
        Value("crank-end-float", "end float, least and most", "crank-float", "max", "both"),
    ),
)
DRIVE: Final = Section(
    "Gearbox and clutch",
    "gearbox and clutch",
    (
        Measure(
            "fork-pad",
            "thickness of the fork's pads",
            "fork",
            "caliper",
            "{pad: [left, right]}",
            of="steel",
            wears="smaller",
        ),
        Measure("fork-play", "fork in its groove", "fork", "feeler", kind="gap"),
        Measure(
            "gear-shaft-run-out",
            "gearbox shaft in V-blocks",
            "gear-shaft",
            "lever-dial",
            kind="run-out",
        ),
        Measure(
            "gear-shaft-float",
            "end float of the gearbox shaft",
            "gear-shaft",
            "plunger-dial",
            kind="gap",
        ),
        Measure("drum-float", "end float of the selector drum", "engine", "feeler", kind="gap"),
        Measure(
            "friction-plate",
            "each friction plate; count them by type",
            "engine",
            "caliper",
            _PLATES,
            wears="smaller",
        ),
        Measure(
            "steel-plate",
            "each steel plate on a flat face",
            "engine",
            "feeler",
            _PLATES,
            "flatness",
        ),
        Measure(
            "clutch-pack",
            "whole pack of plates, pressed together",
            "engine",
            "caliper",
            wears="smaller",
        ),
        Measure(
            "clutch-spring",
            "free length of each spring",
            "engine",
            "caliper",
            "{spring: [1, 2, 3, 4, 5]}",
            of="steel",
            wears="smaller",
        ),
        Measure(
            "basket-notch",
            "deepest notch in the fingers of the basket",
            "engine",
            "caliper",
            wears="larger",
        ),
        Measure(
            "basket-float", "end float of the clutch basket", "engine", "plunger-dial", kind="gap"
        ),
        Measure(
            "primary-backlash",
            "backlash of the primary drive at four positions",
            "engine",
            "plunger-dial",
            "{position: [1, 2, 3, 4]}",
            "gap",
        ),
    ),
    (
        Value("fork-pad-thickness", "thinnest pad", "fork-pad", "min", "min"),
        Value("fork-groove", "fork to groove, new and limit", "fork-play", "max", "both"),
        Value("gear-shaft-bend", "shaft run-out allowed", "gear-shaft-run-out", "max", "max"),
        Value(
            "gear-shaft-end-float", "end float, least and most", "gear-shaft-float", "max", "both"
        ),
        Value("drum-end-float", "end float, least and most", "drum-float", "max", "both"),
        Value("friction-thickness", "thinnest friction plate", "friction-plate", "min", "min"),
        Value("steel-flat", "most a steel plate may be out of flat", "steel-plate", "max", "max"),
        Value("clutch-pack-height", "lowest pack", "clutch-pack", "min", "min"),
        Value("clutch-spring-length", "shortest clutch spring", "clutch-spring", "min", "min"),
        Value("basket-notch-depth", "deepest notch", "basket-notch", "max", "max"),
        Value("basket-end-float", "end float, least and most", "basket-float", "max", "both"),
        Value(
            "primary-gear-backlash", "backlash, least and most", "primary-backlash", "max", "both"
        ),
    ),
)
PUMPS: Final = Section(
    "Oil pump and cooling",
    "pumps",
    (
        Measure("pump-tip", "inner to outer rotor, at the tips", "engine", "feeler", kind="gap"),
        Measure("pump-outer", "outer rotor to body", "engine", "feeler", kind="gap"),
        Measure(
            "pump-side",
            "rotors to cover, straight-edge across: this one loses the pressure",
            "engine",
            "feeler",
            kind="gap",
        ),
        Measure(
            "water-pump-shaft",
            "water pump shaft where its seal runs",
            "engine",
            "micrometer-0.01",
            "{axis: [along, across]}",
            of="steel",
            wears="smaller",
            only="liquid",
        ),
        Measure(
            "thermostat-lift",
            "how far the thermostat opens, hot",
            "engine",
            "caliper",
            only="liquid",
        ),
        Measure(
            "cylinder-foot",
            "foot face of the cylinders, blade under a straight-edge",
            "cylinder",
            "straight-edge",
            "{line: [front, rear, left, right]}",
            "flatness",
            only="air",
        ),
    ),
    (
        Value("pump-tip-clearance", "tip clearance, new and limit", "pump-tip", "max", "both"),
        Value(
            "pump-outer-clearance", "outer clearance, new and limit", "pump-outer", "max", "both"
        ),
        Value("pump-side-clearance", "side clearance, new and limit", "pump-side", "max", "both"),
        Value("water-pump-shaft-size", "smallest shaft", "water-pump-shaft", "min", "min"),
        Value("thermostat-opens", "least lift", "thermostat-lift", "min", "min"),
        Value(
            "cylinder-foot-flat", "most the foot may be out of flat", "cylinder-foot", "max", "max"
        ),
    ),
    (),
)
SECTIONS: Final = (CRANK, DRIVE, PUMPS)
