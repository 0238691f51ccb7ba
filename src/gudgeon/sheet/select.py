"""What is chosen: valve shims and bearing shells, with their windows, sizes, marks and prices."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from gudgeon.sheet.base import SOME, BlanksAreEmpty, Limits, Name, Part, Source, Text, problem
from gudgeon.sheet.types import Mm, Number, Whole, YesNo

Marking = Literal["quarters", "hundredths", "thousandths", "millimetres"]
Side = Literal["in", "ex"]


class Series(Part):
    """Sizes that can be bought."""

    from_: Mm = Field(..., description="thinnest")
    to: Mm = Field(..., description="thickest")
    step: Mm = Field(..., description="step between sizes")
    tolerance: Mm | None = Field(None, description="greatest departure of a new one from its mark")
    price: Number | None = Field(None, description="price of one")

    @model_validator(mode="after")
    def _sound(self) -> Series:
        if self.step <= 0 or self.from_ <= 0 or self.to < self.from_:
            raise problem(
                f"a series from {self.from_} to {self.to} in steps of {self.step}",
                "give sizes above nothing, the thinnest first, and a step above nothing",
            )
        if (self.to - self.from_) / self.step > 1000:
            raise problem("a series of more than 1,000 sizes", "check the step")
        return self


class Sided(Part):
    """A value for the inlet and one for the exhaust side; one without sides stands for both."""

    in_: Limits | None = Field(None, description="inlet")
    ex: Limits | None = Field(None, description="exhaust")

    @model_validator(mode="before")
    @classmethod
    def _one_for_both(cls, value: Any) -> Any:
        if isinstance(value, list) or (isinstance(value, dict) and set(value) & {"min", "max"}):
            return {"in": value, "ex": value}
        return value


class Aims(Part):
    """The clearance to aim at, by side; one number stands for both."""

    in_: Mm | None = Field(None, description="inlet")
    ex: Mm | None = Field(None, description="exhaust")

    @model_validator(mode="before")
    @classmethod
    def _one_for_both(cls, value: Any) -> Any:
        return {"in": value, "ex": value} if isinstance(value, str | int | float) else value


class Shims(Part):
    """Valve shims: how a shim changes the clearance, what is allowed and what can be had."""

    at: Name = Field("valve", description="kind of place they sit at")
    gap: Name = Field("gap", description="the feature that holds the clearance")
    tip: Name | None = Field(
        None, description="the feature whose change is the rise of the valve (stem height)"
    )
    gear: Literal["under-bucket", "over-bucket", "finger", "rocker-screw"] = Field(
        "under-bucket", description="where the shim sits, or rocker-screw where there is none"
    )
    ratio: Number = Field(
        1.0, description="movement at the valve for each unit at the cam, of a lever"
    )
    read_at: Literal["cam", "stem"] = Field(
        "cam", description="where the clearance of a lever is read"
    )
    screw_pitch: Mm | None = Field(None, description="pitch of the adjusting screw")
    window: Sided | None = Field(
        None, description="clearance allowed, cold: {in: [0.11, 0.17], ex: [0.19, 0.25]}"
    )
    aim: Aims | None = Field(None, description="clearance to aim at; the middle if not given")
    series: list[Series] = Field(
        default_factory=list, max_length=SOME, description="sizes that can be bought"
    )
    diameter: Mm | None = Field(None, description="diameter, so that only the right family is used")
    marking: Marking | None = Field(
        None,
        description="what a mark means: quarters (178 is 1.775: the last digit 0 2 5 8 stands for"
        " .000 .025 .050 .075), hundredths (175 is 1.75), thousandths (1775), millimetres (1.775)",
    )
    bedding: Limits | None = Field(
        None, description="change of clearance in the first hours, as [-0.03, -0.01]"
    )
    source: Source | None = Field(None, description="page of the manual")
    look_up: Text | None = Field(None, description="a line for the reader of the sheet")


class Marks(Part):
    """A string of stamped marks: the end it is read from, and what each mark stands for.

    A mark maps to the diameter range of a new part. The mark `-` stands for no mark at all, where
    that is itself a code.
    """

    reads_from: Text | None = Field(
        None, description="the place whose mark is stamped first, such as 1 or 4"
    )
    marks: dict[str, Limits] = Field(
        default_factory=dict,
        max_length=SOME,
        description="mark -> range of the diameter, as {A: [36.000, 36.006]}",
    )
    source: Source | None = Field(None, description="page of the manual")


class Grade(Part):
    """One grade of shell."""

    wall: Mm = Field(..., description="thickness of one wall, in the middle of its range")
    price: Number | None = Field(None, description="price of one half")

    @model_validator(mode="before")
    @classmethod
    def _wall_only(cls, value: Any) -> Any:
        return {"wall": value} if isinstance(value, str | int | float) else value


class Scheme(Part):
    """How marks lead to grades. Grades are numbers for `difference` and `sum`, names otherwise.

    - `table`: cells[case mark][crank mark] is a grade, or a pair [upper, lower].
    - `difference`: grade = case number − crank number − constant.
    - `sum`: grade = case number + crank number + constant.
    - `halves`: the upper shell from the case mark, the lower from the crank mark.
    """

    kind: Literal["table", "difference", "sum", "halves"] = Field(..., description="which scheme")
    cells: dict[str, Annotated[dict[str, str | list[str]], Field(max_length=SOME)]] = Field(
        default_factory=dict,
        max_length=SOME,
        description="table: {A: {1: brown, 2: [brown, green]}}",
    )
    case_numbers: dict[str, Whole] = Field(
        default_factory=dict,
        max_length=SOME,
        description="difference, sum: the number each case mark stands for, if not itself a number",
    )
    crank_numbers: dict[str, Whole] = Field(
        default_factory=dict, max_length=SOME, description="the same for crank marks"
    )
    constant: Number = Field(0.0, description="difference, sum: the constant")
    upper: dict[str, str] = Field(
        default_factory=dict, max_length=SOME, description="halves: case mark -> grade"
    )
    lower: dict[str, str] = Field(
        default_factory=dict, max_length=SOME, description="halves: crank mark -> grade"
    )
    forbidden: list[list[str]] = Field(
        default_factory=list,
        max_length=SOME,
        description="pairs of upper and lower grade that must not be mixed",
    )


class Shells(Part):
    """Bearing shells at one kind of place."""

    at: Name = Field(..., description="kind of place: main, pin")
    housing: Name | None = Field(None, description="feature of the housing, torqued without shells")
    journal: Name = Field(..., description="feature of the journal")
    fitted: Name | None = Field(
        None, description="feature of the bore with shells in, torqued, at 90 degrees to the split"
    )
    case: Marks | None = Field(None, description="marks of the housings")
    crank: Marks | None = Field(None, description="marks of the journals")
    scheme: Scheme | None = Field(None, description="how marks lead to grades")
    grades: dict[str, Grade] = Field(
        default_factory=dict,
        max_length=SOME,
        description="grade -> wall, as {brown: {wall: 1.490, price: 11.50}}",
    )
    wall_tolerance: Mm | None = Field(
        None, description="greatest departure of a wall, plus or minus"
    )
    window: Limits | None = Field(None, description="oil clearance of a new fit")
    service: Limits | None = Field(None, description="oil clearance at the limit of wear")
    aim: Mm | None = Field(None, description="oil clearance to aim at; the middle if not given")
    mixing: Literal["never", "adjacent", "table"] = Field(
        "never",
        description="whether the two halves may differ: never, by one grade, as the table says",
    )
    thicker_in: Literal["upper", "lower", "either"] = Field(
        "either", description="where the thicker half goes, when halves differ"
    )
    undersizes: list[Mm] = Field(
        default_factory=list,
        max_length=SOME,
        description="undersizes of the journal's diameter for which shells are made, as [0.25]",
    )
    price: Number | None = Field(None, description="price of one half where its grade states none")
    halves_marked: YesNo = Field(
        False,
        description="whether upper and lower differ (groove, oil hole) and must not be swapped",
    )
    source: Source | None = Field(None, description="page of the manual")
    look_up: Text | None = Field(None, description="a line for the reader of the sheet")


class Select(Part):
    """Everything that is chosen by size."""

    shims: Shims | None = Field(None, description="valve shims")
    shells: Annotated[dict[Name, Shells], BlanksAreEmpty] = Field(
        default_factory=dict,
        max_length=12,
        description="bearing shells, by a name such as main-shell",
    )


class Renewal(Part):
    """A part that is always renewed, for the order."""

    what: Text = Field(..., description="the part, as you would order it")
    count: Whole | None = Field(
        None, description="how many; left out, the order says that it is not stated"
    )
    price: Number | None = Field(None, description="price of one")
    where: Text | None = Field(None, description="for which places")
    source: Source | None = Field(None, description="page of the manual")
