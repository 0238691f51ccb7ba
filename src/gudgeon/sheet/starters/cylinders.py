"""Rows for cylinders, pistons, rings and pins. Common practice, no source; no limits."""

from __future__ import annotations

from typing import Final

from gudgeon.sheet.starters.rows import Clearance, Measure, Section, Value

_THREE: Final = "{height: [top, mid, foot], axis: [thrust, pin]}"

CYLINDERS: Final = Section(
    "Cylinders, pistons, rings, pins",
    "cylinders and pistons",
    (
        Measure(
            "bore",
            "10 mm down, middle, 15 mm from the foot; across the crank and along the pin",
            "cylinder",
            "bore-gauge",
            _THREE,
            wears="larger",
        ),
        Measure(
            "block-face",
            "top face of the cylinders, as the head face",
            "head",
            "straight-edge",
            "{line: [front, rear, left, right, diagonal-1, diagonal-2]}",
            "flatness",
        ),
        Measure(
            "piston",
            "across the skirt at the height the manual states; write it here",
            "cylinder",
            "micrometer-0.01",
            of="aluminium",
            wears="smaller",
        ),
        Measure(
            "ring-side-top",
            "top ring in its groove, blade all round",
            "cylinder",
            "feeler",
            kind="gap",
        ),
        Measure("ring-side-second", "second ring in its groove", "cylinder", "feeler", kind="gap"),
        Measure(
            "ring-gap-top",
            "end gap of the top ring, square in the bore, high and low",
            "cylinder",
            "feeler",
            "{depth: [upper, lower]}",
            "gap",
        ),
        Measure(
            "ring-gap-second",
            "end gap of the second ring",
            "cylinder",
            "feeler",
            "{depth: [upper, lower]}",
            "gap",
        ),
        Measure(
            "ring-free-top",
            "free gap of the top ring, out of the bore",
            "cylinder",
            "caliper",
            wears="smaller",
        ),
        Measure(
            "ring-free-second",
            "free gap of the second ring",
            "cylinder",
            "caliper",
            wears="smaller",
        ),
        Measure(
            "piston-pin-bore",
            "pin bore in the piston",
            "cylinder",
            "ball-gauge",
            "{axis: [upright, along]}",
            of="aluminium",
            wears="larger",
        ),
        Measure(
            "small-end",
            "small end of the rod",
            "cylinder",
            "ball-gauge",
            "{axis: [upright, along]}",
            of="steel",
            wears="larger",
        ),
        Measure(
            "gudgeon",
            "gudgeon pin, at both ends and the middle",
            "cylinder",
            "micrometer-0.001",
            "{spot: [left, mid, right]}",
            of="steel",
            wears="smaller",
        ),
        Measure(
            "piston-mass", "piston complete: pin, clips, rings", "cylinder", "scales", kind="mass"
        ),
    ),
    (
        Value("bore-size", "largest bore: the greatest of all six", "bore", "max", "max"),
        Value(
            "bore-taper",
            "taper; the manual's way: taper-of-pairs or taper-down-an-axis",
            "bore",
            "taper-of-pairs",
            "max",
        ),
        Value(
            "bore-oval",
            "out of round; the manual's way: oval-over-all, oval-at-a-height or oval-half",
            "bore",
            "oval-over-all",
            "max",
        ),
        Value("block-flat", "most the face may be out", "block-face", "max", "max"),
        Value("piston-size", "smallest piston", "piston", "min", "min"),
        Value(
            "ring-side-top-clearance",
            "top ring side clearance, new and limit",
            "ring-side-top",
            "max",
            "both",
        ),
        Value(
            "ring-side-second-clearance",
            "second ring side clearance, new and limit",
            "ring-side-second",
            "max",
            "both",
        ),
        Value("ring-gap-top-end", "top ring end gap, new and limit", "ring-gap-top", "max", "both"),
        Value(
            "ring-gap-second-end",
            "second ring end gap, new and limit",
            "ring-gap-second",
            "max",
            "both",
        ),
        Value("ring-free-top-gap", "smallest free gap, top ring", "ring-free-top", "min", "min"),
        Value(
            "ring-free-second-gap",
            "smallest free gap, second ring",
            "ring-free-second",
            "min",
            "min",
        ),
        Value(
            "piston-pin-bore-size",
            "largest pin bore in the piston",
            "piston-pin-bore",
            "max",
            "max",
        ),
        Value("small-end-size", "largest small end", "small-end", "max", "max"),
        Value("gudgeon-size", "smallest gudgeon pin", "gudgeon", "min", "min"),
    ),
    (
        Clearance(
            "piston-clearance",
            "piston to bore; bore max or mean, as the manual says",
            "bore",
            "piston",
            less="max",
        ),
        Clearance("gudgeon-piston", "gudgeon pin to piston", "piston-pin-bore", "gudgeon"),
        Clearance("gudgeon-small-end", "gudgeon pin to small end", "small-end", "gudgeon"),
    ),
)
