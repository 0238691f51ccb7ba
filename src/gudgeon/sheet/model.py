"""The whole sheet, as the schema reads it."""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field

from gudgeon.sheet.base import MANY, SOME, BlankIsEmpty, Name, Part, Text
from gudgeon.sheet.features import DerivedMap, FeatureMap, FitMap, OversizeMap
from gudgeon.sheet.layout import Engine, Turning, build_places
from gudgeon.sheet.places import Places
from gudgeon.sheet.select import Renewal, Select
from gudgeon.sheet.types import Whole


def _checked_places(value: Any) -> Any:
    """Building the addresses proves that they can be built."""
    if isinstance(value, dict):
        build_places(value)
        return value
    return {} if value is None else value


class Sheet(Part):
    """An engine sheet: one engine type, written by hand from its manual. Anything may be blank."""

    model_config = ConfigDict(title="gudgeon engine sheet", ignored_types=(cached_property,))

    sheet: Annotated[Whole, Field(ge=1, le=1)] = Field(..., description="version of this format: 1")
    engine: Annotated[Engine, BlankIsEmpty] = Field(
        default_factory=lambda: Engine.model_validate({}),
        description="which engine the sheet is for",
    )
    unit: Literal["mm", "in"] = Field("mm", description="unit of lengths that name none")
    currency: Annotated[str, Field(max_length=8)] = Field("", description="shown before prices")
    places: Annotated[dict[Name, Any], BeforeValidator(_checked_places)] = Field(
        default_factory=dict,
        max_length=SOME,
        description="the end numbering starts from, and each kind of place: a count, a list of"
        " names, or {each: cylinder, in: [L, R], ex: [L, R]}",
    )
    turning: Annotated[Turning, BlankIsEmpty] = Field(
        default_factory=lambda: Turning.model_validate({}),
        description="firing order and cam events, for where the crank must stand",
    )
    features: FeatureMap = Field(default_factory=dict, description="what is measured")
    derive: DerivedMap = Field(default_factory=dict, description="values derived, with limits")
    fits: FitMap = Field(default_factory=dict, description="clearances between two features")
    select: Annotated[Select, BlankIsEmpty] = Field(
        default_factory=lambda: Select.model_validate({}), description="what is chosen by size"
    )
    oversizes: OversizeMap = Field(default_factory=dict, description="rebores and regrinds")
    renew: list[Renewal] = Field(
        default_factory=list, max_length=MANY, description="parts always renewed"
    )
    cautions: list[Text] = Field(
        default_factory=list,
        max_length=MANY,
        description="cautions of the manual to print in the record",
    )

    @cached_property
    def layout(self) -> Places:
        """Every place of the engine."""
        return build_places(self.places)
