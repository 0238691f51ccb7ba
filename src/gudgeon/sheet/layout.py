"""Identity and layout: what the engine is, and the places it has."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from pydantic import Field

from gudgeon.numbers import shown
from gudgeon.sheet.base import SOME, BlanksAreEmpty, Name, Part, Source, Text, problem
from gudgeon.sheet.places import ENGINE, Places
from gudgeon.sheet.types import Mm, Number, Volume, YesNo

#: Most places of one kind: a sixteen-cylinder engine with five valves has eighty.
MOST_PLACES: Final = 500


class Layout(Part):
    """How the cylinders stand, for the drawing and for where the crank must be turned to."""

    kind: Literal["inline", "v", "flat"] = Field("inline", description="how the cylinders stand")
    angle: Number | None = Field(None, description="angle between the banks of a V [degrees]")
    banks: dict[Name, Annotated[list[str], Field(max_length=SOME)]] | None = Field(
        None,
        max_length=SOME,
        description="V and flat: the cylinders of each bank, as {front: [1], rear: [2]}",
    )
    bore_kind: Literal["iron", "plated"] | None = Field(
        None, description="iron liners can be rebored; a plated bore cannot"
    )
    big_ends: Literal["plain", "roller"] | None = Field(
        None, description="plain big ends run in shells; roller big ends have none"
    )


class Engine(Part):
    """Which engine the sheet is for."""

    name: Text = Field("", description="what you call this engine type")
    invented: YesNo = Field(False, description="yes where the engine does not exist (demo)")
    code: Text | None = Field(None, description="the letters stamped before the engine number")
    capacity: Volume | None = Field(None, description="stated swept volume, such as 599 cc")
    bore: Mm | None = Field(None, description="nominal bore")
    stroke: Mm | None = Field(None, description="stroke")
    layout: Annotated[Layout, BlanksAreEmpty] = Field(
        default_factory=lambda: Layout.model_validate({}), description="how the cylinders stand"
    )
    notes: Text | None = Field(None, description="anything a reader of the sheet should know")


class CamEvents(Part):
    """When the lobes of one side lift the valves, so that readings stay off the ramps."""

    opens: Number | None = Field(
        None, description="in: degrees before TDC; ex: degrees before BDC [crank degrees]"
    )
    closes: Number | None = Field(
        None, description="in: degrees after BDC; ex: degrees after TDC [crank degrees]"
    )


class Turning(Part):
    """What is needed to say where the crank must stand to read which valves."""

    firing: dict[str, Number] | None = Field(
        None,
        max_length=SOME,
        description="crank angle of each cylinder's compression TDC after the first one's,"
        " over 720 degrees, as {1: 0, 2: 240, 3: 480}",
    )
    direction: Text | None = Field(
        None, description="which way the crank turns, and seen from where"
    )
    mark: Text | None = Field(None, description="the mark that shows the first cylinder's TDC")
    in_: CamEvents | None = Field(None, description="inlet opening and closing")
    ex: CamEvents | None = Field(None, description="exhaust opening and closing")
    max_temperature: Number | None = Field(
        None, description="warmest engine at which clearances may be read [degrees C]"
    )
    source: Source | None = Field(None, description="page of the manual")


def _names(value: Any, key: str) -> list[str]:
    """A count (`4`) or a list (`[L, R]`) as names."""
    if isinstance(value, list):
        names = [str(item) for item in value]
        if not names or len(names) > 64 or len(set(names)) != len(names):
            raise problem("a list of places is empty, too long or names one twice", "[L, R]", key)
        for name in names:
            if not name.isalnum() or not name.isascii() or len(name) > 12:
                raise problem(f"{shown(name)} is no name for a place", "use letters, digits", key)
        return names
    text = str(value).strip()
    if not text.isascii() or not text.isdigit() or len(text) > 2 or not 1 <= int(text) <= 64:
        raise problem(
            f"{shown(text)} is not a number of places", "write a count from 1 to 64, or a list", key
        )
    return [str(number + 1) for number in range(int(text))]


class PlaceKind(Part):
    """One kind of place: numbered on its own, or within each place of another kind."""

    each: Name | None = None
    names: list[str] = Field(default_factory=list)
    sides: dict[str, list[str]] = Field(default_factory=dict)


def _place_kind(value: Any, key: str) -> PlaceKind:
    """One kind as the sheet states it; blank sides are left out."""
    if not isinstance(value, dict):
        return PlaceKind(names=_names(value, key))
    each = value.get("each")
    if not isinstance(each, str):
        raise problem(
            "a kind of place within another needs 'each'", "{each: cylinder, in: [L, R]}", key
        )
    rest = {side: item for side, item in value.items() if side != "each" and item is not None}
    if set(rest) == {"names"}:
        return PlaceKind(each=each, names=_names(rest["names"], key))
    for side in rest:
        if not side.isalnum() or not side.isascii() or len(side) > 12:
            raise problem(f"{shown(side)} is no name for a side", "use in and ex", key)
    return PlaceKind(each=each, sides={side: _names(item, key) for side, item in rest.items()})


def _addresses(key: str, kind: PlaceKind, above: PlaceKind | None) -> tuple[str, ...]:
    """The addresses of one kind, in order."""
    if above is None:
        return tuple(f"{key}/{name}" for name in kind.names)
    ends = [f"/{side}/{name}" for side, names in kind.sides.items() for name in names]
    ends = ends or [f"/{name}" for name in kind.names] or [""]
    if len(ends) * len(above.names) > MOST_PLACES:
        raise problem(
            f"more than {MOST_PLACES} places of one kind", "check the counts and lists", key
        )
    return tuple(f"{key}/{outer}{end}" for outer in above.names for end in ends)


def _blank(item: Any) -> bool:
    """Whether a kind is left open: it stands within each of something not named yet."""
    return isinstance(item, dict) and "each" in item and item["each"] is None


def build_places(spec: dict[str, Any]) -> Places:
    """Every address of an engine, from the `places` part of its sheet.

    Raises:
        PydanticCustomError: a kind stands within one that is not there or not numbered itself.
    """
    if len(spec) > SOME:
        raise problem(f"more than {SOME} kinds of place", "check that this is one engine's sheet")
    end = spec.get("end")
    if isinstance(end, dict | list):
        raise problem("the end is a list or group", "write it like 1 = left, sitting on it", "end")
    parsed = {
        key: _place_kind(item, key)
        for key, item in spec.items()
        if key != "end" and item and not _blank(item)
    }
    kinds: dict[str, tuple[str, ...]] = {}
    parents: dict[str, str] = {}
    for key, kind in parsed.items():
        if key == ENGINE or not key.replace("-", "").isalnum():
            raise problem(f"{shown(key)} can't be a kind of place", "use a word such as main", key)
        above = parsed.get(kind.each) if kind.each else None
        if kind.each is not None:
            if above is None or above.each is not None:
                raise problem(
                    f"'{key}' stands within each {shown(kind.each)}, which is not numbered here",
                    "name a kind that has a count or a list of its own",
                    key,
                )
            parents[key] = kind.each
        kinds[key] = _addresses(key, kind, above)
    return Places(str(end or "1 = end not stated"), kinds, parents)
