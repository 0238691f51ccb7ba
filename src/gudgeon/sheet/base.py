"""What every part of a sheet's schema shares."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Final

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from gudgeon.sheet.types import Mm

#: A name in a sheet: a key that other parts of the sheet, and log entries, refer to.
NAME_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$"
Name = Annotated[str, Field(pattern=NAME_PATTERN)]
Text = Annotated[str, Field(max_length=2000)]
#: Most entries of a mapping or list: far beyond any one engine, and bearable to multiply out.
MANY: Final = 1000
SOME: Final = 60
#: Where a figure comes from: a manual's page, a drawing, a shop's own decision.
Source = Annotated[str, Field(max_length=200, examples=["p. 3-21"])]


def problem(wrong: str, right: str, *at: str) -> PydanticCustomError:
    """An error of the schema: what is wrong, what would be right, and at which key within."""
    return PydanticCustomError(
        "sheet", "{wrong}|{right}", {"wrong": wrong, "right": right, "at": at}
    )


class Part(BaseModel):
    """A part of a sheet: keys in kebab-case, nothing unknown, nothing changed after reading."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        alias_generator=lambda name: name.rstrip("_").replace("_", "-"),
        populate_by_name=True,
        arbitrary_types_allowed=True,
    )


class Limits(Part):
    """A lower and an upper limit; either may be left out.

    As a short form, a list `[lower, upper]`.
    """

    min: Mm | None = Field(None, description="smallest value allowed")
    max: Mm | None = Field(None, description="largest value allowed")

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, value: Any) -> Any:
        if isinstance(value, list):
            if len(value) != 2:
                raise problem(f"a list of {len(value)} stands for two limits", "[lower, upper]")
            return {"min": value[0], "max": value[1]}
        if isinstance(value, str):
            raise problem(
                "one number stands where limits belong",
                "write {max: ...}, {min: ...} or [lower, upper]",
            )
        return value

    @model_validator(mode="after")
    def _in_order(self) -> Limits:
        if self.min is not None and self.max is not None and self.min > self.max:
            raise problem(
                f"the lower limit {self.min} is above the upper limit {self.max}",
                "give the smaller one first",
            )
        return self

    @property
    def blank(self) -> bool:
        """Whether neither limit is given."""
        return self.min is None and self.max is None


def none_as_empty(value: Any) -> Any:
    """A key left blank means an empty mapping, so that a starter may leave whole parts blank."""
    return {} if value is None else value


def mapping_of(value: Any) -> Any:
    """A mapping whose blank values are empty mappings."""
    if value is None:
        return {}
    if isinstance(value, Mapping):
        return {key: ({} if item is None else item) for key, item in value.items()}
    return value


BlankIsEmpty = BeforeValidator(none_as_empty)
BlanksAreEmpty = BeforeValidator(mapping_of)
