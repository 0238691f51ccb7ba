"""The kinds of entry a log may hold.

Every entry has an id made by whoever wrote it, so that sending it twice changes nothing. Numbers
stay as typed, beside their unit. A mistake is struck out by a later entry and stays readable.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from gudgeon.log.canon import moment
from gudgeon.sheet.base import Name, problem
from gudgeon.sheet.features import Epoch

Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9_.:-]{1,80}$")]
Typed = Annotated[str, Field(min_length=1, max_length=40)]
Words = Annotated[str, Field(max_length=4000)]
Address = Annotated[str, Field(max_length=60, pattern=r"^[A-Za-z0-9/_.-]+$")]
Unit = Annotated[str, Field(max_length=8)]


def _real_moment(at: str) -> str:
    """A time that the calendar and the clock have."""
    try:
        moment(at)
    except (ValueError, OverflowError):
        raise problem(f"'{at}' is no time", "write it like 2026-03-01T14:05:00Z") from None
    return at


At = Annotated[
    str,
    Field(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|[+-]\d\d:\d\d)$"),
    AfterValidator(_real_moment),
]


class Entry(BaseModel):
    """What every entry carries.

    Attributes:
        id: made by the client; the same id with the same content again changes nothing.
        at: when it was made, by the client's clock, ISO 8601 with offset.
        device: which device or person wrote it.
        prev: hash of the entry this device wrote before, so that a missing one shows.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: Id
    at: At
    device: Annotated[str, Field(min_length=1, max_length=60)] = "bench"
    prev: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")] | None = None


class Opened(Entry):
    """The job was opened."""

    kind: Literal["opened"] = "opened"
    title: Words = ""


class SheetPinned(Entry):
    """The sheet the job is judged by from here on, whole, so that a log stands on its own."""

    kind: Literal["sheet"] = "sheet"
    file: Annotated[str, Field(max_length=200)]
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    text: Annotated[str, Field(max_length=1_048_576)]


class Reading(Entry):
    """One reading of one feature at one spot."""

    kind: Literal["reading"] = "reading"
    place: Address
    feature: Name
    spot: dict[Name, Name] = Field(default_factory=dict)
    epoch: Epoch = "found"
    attempt: Annotated[int, Field(ge=1, le=99)] = 1
    typed: Typed
    unit: Unit | None = None
    instrument: Name | None = None
    part_temp: Typed | None = None
    gauge_temp: Typed | None = None


class Feeler(Entry):
    """A gap between the largest blade that goes and the smallest that will not."""

    kind: Literal["feeler"] = "feeler"
    place: Address
    feature: Name
    epoch: Epoch = "found"
    attempt: Annotated[int, Field(ge=1, le=99)] = 1
    goes: Typed | None = None
    wont: Typed | None = None
    feel: Literal["free", "drag", "tight"] | None = None
    unit: Unit | None = None
    instrument: Name | None = None
    part_temp: Typed | None = None


class Code(Entry):
    """A string of marks, in the order in which they are stamped."""

    kind: Literal["code"] = "code"
    group: Name
    on: Literal["case", "crank"]
    marks: Annotated[str, Field(min_length=1, max_length=80)]


class ShimFitted(Entry):
    """The shim found, tried or fitted at a place."""

    kind: Literal["shim"] = "shim"
    place: Address
    epoch: Epoch = "found"
    mark: Annotated[str, Field(max_length=12)] | None = None
    typed: Typed | None = None
    unit: Unit | None = None
    instrument: Name | None = None
    condition: Literal["good", "dished", "chipped"] = "good"


class RiseEstimate(Entry):
    """How far a valve is thought to sit further up, with the spread of that thought."""

    kind: Literal["rise"] = "rise"
    place: Address
    typed: Typed
    spread: Typed
    unit: Unit | None = None
    basis: Words = ""


class Departure(Entry):
    """This engine is not as its sheet says.

    Either one value of the sheet is set (`path` as in `derive.bore-size.service.max`, or
    `select.shims.aim.in`), or an oversize of the sheet is already fitted (`oversize` names it,
    `step` says which).
    """

    kind: Literal["depart"] = "depart"
    path: Annotated[str, Field(max_length=200)] | None = None
    value: Annotated[str, Field(max_length=200)] | None = None
    oversize: Name | None = None
    step: Typed | None = None
    reason: Words = ""


class Happened(Entry):
    """Something was done that changes what rests on it: seats cut, a face skimmed, a new part."""

    kind: Literal["event"] = "event"
    what: Name
    places: tuple[Address, ...] = ()
    typed: Typed | None = None
    unit: Unit | None = None
    text: Words = ""


class Note(Entry):
    """A remark, at a place or for the whole."""

    kind: Literal["note"] = "note"
    text: Annotated[str, Field(min_length=1, max_length=4000)]
    place: Address | None = None


class Photo(Entry):
    """A photograph of a place, or of the engine; the file is kept apart, by its hash."""

    kind: Literal["photo"] = "photo"
    place: Address | None = None
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    words: Words = ""
    by: Annotated[str, Field(max_length=60)] = ""


class StrikeOut(Entry):
    """An earlier entry does not count; it stays readable. Striking a strike-out undoes it."""

    kind: Literal["strike"] = "strike"
    target: Id
    reason: Words = ""


class Setting(Entry):
    """A setting of the shop, or of one job where it stands in that job's log."""

    kind: Literal["setting"] = "setting"
    name: Name
    value: Annotated[str, Field(max_length=200)]


class Instrument(Entry):
    """An instrument of the shop."""

    kind: Literal["instrument"] = "instrument"
    name: Name
    of: Name
    u_read: Typed | None = None
    u_zero: Typed | None = None
    unit: Unit | None = None
    text: Words = ""


class SettingCheck(Entry):
    """An instrument read on a reference of known size: its zero error from here on."""

    kind: Literal["check"] = "check"
    instrument: Name
    reference: Typed
    read: Typed
    reference_u: Typed | None = None
    unit: Unit | None = None


class Stock(Entry):
    """Pieces put in the drawer; struck out when they are no longer there."""

    kind: Literal["stock"] = "stock"
    group: Name
    mark: Annotated[str, Field(max_length=20)] | None = None
    typed: Typed | None = None
    unit: Unit | None = None
    diameter: Typed | None = None
    count: Annotated[int, Field(ge=1, le=999)] = 1
    instrument: Name | None = None
    condition: Literal["good", "dished", "chipped"] = "good"


class Reserve(Entry):
    """Pieces of the drawer kept for one job, so that two engines can't spend them."""

    kind: Literal["reserve"] = "reserve"
    stock: Id
    job: Annotated[str, Field(max_length=60)]
    count: Annotated[int, Field(ge=1, le=999)] = 1


JobEntry = Annotated[
    Opened
    | SheetPinned
    | Reading
    | Feeler
    | Code
    | ShimFitted
    | RiseEstimate
    | Departure
    | Happened
    | Note
    | Photo
    | StrikeOut
    | Setting,
    Field(discriminator="kind"),
]
ShopEntry = Annotated[
    Instrument | SettingCheck | Stock | Reserve | Setting | Note | StrikeOut,
    Field(discriminator="kind"),
]
AnyEntry = Annotated[
    Opened
    | SheetPinned
    | Reading
    | Feeler
    | Code
    | ShimFitted
    | RiseEstimate
    | Departure
    | Happened
    | Note
    | Photo
    | StrikeOut
    | Setting
    | Instrument
    | SettingCheck
    | Stock
    | Reserve,
    Field(discriminator="kind"),
]
