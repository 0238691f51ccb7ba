"""What is measured, how a value is derived from the readings, and the limits it must keep."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from gudgeon.sheet.base import MANY, SOME, BlanksAreEmpty, Limits, Name, Part, Source, Text
from gudgeon.sheet.types import Mm, Number

Material = Literal["aluminium", "cast-aluminium", "iron", "steel"]
#: `size` is corrected to 20 degrees C; a `gap` never is, the two parts are.
Kind = Literal["size", "gap", "height", "flatness", "run-out", "mass"]
Epoch = Literal["found", "seated", "dry", "built"]
Rule = Literal[
    "max",
    "min",
    "mean",
    "range",
    "taper-of-pairs",
    "taper-down-an-axis",
    "oval-over-all",
    "oval-at-a-height",
    "oval-half",
    "change",
]


class Feature(Part):
    """One thing to measure, at every place of a kind, by a plan of readings."""

    at: Name = Field(..., description="kind of place it is measured at, or engine")
    part: Text | None = Field(None, description="the part it belongs to, as the record groups it")
    kind: Kind = Field("size", description="what sort of reading; gaps are never corrected to 20 C")
    plan: dict[Name, list[Name]] = Field(
        default_factory=dict,
        description="where to take each reading, as {height: [top, mid, foot], axis: [thrust, pin]}"
        "; all combinations are read; nothing means one reading",
    )
    of: Material | None = Field(None, description="what the part is made of, for expansion")
    by: Name | None = Field(None, description="kind of instrument usually used")
    state: Text | None = Field(None, description="state of the part, such as torqued, no shells")
    epochs: tuple[Epoch, ...] = Field(
        ("found",),
        description="when it is measured: found, seated (seat work done), dry (trial build), built",
    )
    wears: Literal["larger", "smaller"] | None = Field(
        None, description="the way wear takes it: a bore grows, a journal shrinks"
    )
    new: Limits | None = Field(
        None, description="range of a new part; also what a reading is expected near"
    )
    source: Source | None = Field(None, description="page of the manual for the new range")
    look_up: Text | None = Field(None, description="a line for the reader of the sheet")


class Derived(Part):
    """A value derived from a feature's readings at one place, with its limits."""

    from_: Name = Field(..., description="the feature it is derived from")
    rule: Rule = Field(..., description="how the maker derives it")
    part: Text | None = Field(None, description="the part it belongs to, as the record groups it")
    new: Limits | None = Field(None, description="limits of a new part: what you build to")
    service: Limits | None = Field(None, description="limits of wear: what you may refit")
    source: Source | None = Field(None, description="page of the manual")
    look_up: Text | None = Field(None, description="a line for the reader of the sheet")


class Fit(Part):
    """A clearance between two features at one place: hole less shaft."""

    hole: Name = Field(..., description="the feature of the hole")
    take: Literal["max", "mean", "min"] = Field("max", description="which value of the hole")
    shaft: Name = Field(..., description="the feature of the shaft")
    less: Literal["max", "mean", "min"] = Field("max", description="which value of the shaft")
    part: Text | None = Field(None, description="the part it belongs to, as the record groups it")
    new: Limits | None = Field(None, description="limits of new parts")
    service: Limits | None = Field(None, description="limits of wear")
    source: Source | None = Field(None, description="page of the manual")
    look_up: Text | None = Field(None, description="a line for the reader of the sheet")


class Oversize(Part):
    """Sizes to which a bore is rebored, or a journal ground, with the parts that fit them."""

    feature: Name = Field(..., description="the feature that is cut: bore, journal")
    with_: Name | None = Field(None, description="the feature that changes with it: piston")
    steps: list[Mm] = Field(
        default_factory=list, max_length=SOME, description="steps on the diameter, as [0.25, 0.50]"
    )
    largest: Mm | None = Field(
        None, description="largest size the part may be cut to (smallest of a journal)"
    )
    price: Number | None = Field(None, description="price of one, machining and parts")
    source: Source | None = Field(None, description="page of the manual")


FeatureMap = Annotated[dict[Name, Feature], BlanksAreEmpty, Field(max_length=MANY)]
DerivedMap = Annotated[dict[Name, Derived], BlanksAreEmpty, Field(max_length=MANY)]
FitMap = Annotated[dict[Name, Fit], BlanksAreEmpty, Field(max_length=MANY)]
OversizeMap = Annotated[dict[Name, Oversize], BlanksAreEmpty, Field(max_length=SOME)]
