"""The scalar types of a sheet: read as typed, never guessed by the file format."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, GetCoreSchemaHandler, WithJsonSchema
from pydantic_core import PydanticCustomError, core_schema

from gudgeon.numbers import (
    Length,
    NotANumber,
    read_decimal,
    read_length,
    read_volume,
    read_whole,
    shown,
)

_NUMERIC = {"type": ["number", "string"]}


def _fail(problem: NotANumber) -> PydanticCustomError:
    return PydanticCustomError(
        "number", "{wrong}|{right}", {"wrong": problem.wrong, "right": problem.right}
    )


def _text(value: Any) -> str:
    """The text of a scalar. Python numbers occur where a sheet is built in code."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        what = "a list" if isinstance(value, list) else shown(value)
        what = "a group of keys" if isinstance(value, dict) else what
        what = "nothing" if value is None else what
        raise PydanticCustomError(
            "number",
            "{wrong}|{right}",
            {"wrong": f"{what} stands where a number belongs", "right": "write one number"},
        )
    return str(value)


def _length(value: Any, info: core_schema.ValidationInfo) -> Length:
    if isinstance(value, Length):
        return value
    unit = (info.context or {}).get("unit", "mm")
    try:
        return read_length(_text(value), unit)
    except NotANumber as problem:
        raise _fail(problem) from None


class _LengthSchema:
    @classmethod
    def __get_pydantic_core_schema__(
        cls, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(_length)


def _decimal(value: Any) -> float:
    try:
        return float(read_decimal(_text(value)))
    except NotANumber as problem:
        raise _fail(problem) from None


def _volume(value: Any) -> float:
    try:
        return read_volume(_text(value))
    except NotANumber as problem:
        raise _fail(problem) from None


def _whole(value: Any) -> int:
    try:
        return read_whole(_text(value))
    except NotANumber as problem:
        raise _fail(problem) from None


def _yes(value: Any) -> bool:
    words = {"yes": True, "true": True, "no": False, "false": False}
    if isinstance(value, bool):
        return value
    if str(value).lower() not in words:
        raise PydanticCustomError(
            "number",
            "{wrong}|{right}",
            {"wrong": f"{shown(value)} is neither yes nor no", "right": "write yes or no"},
        )
    return words[str(value).lower()]


#: A length, in the sheet's unit where none is named.
Mm = Annotated[
    Length,
    _LengthSchema,
    WithJsonSchema(_NUMERIC | {"description": "a length, in the sheet's unit"}),
]
#: A plain number without unit (price, ratio, degrees).
Number = Annotated[float, BeforeValidator(_decimal), WithJsonSchema(_NUMERIC)]
#: A volume [cm3].
Volume = Annotated[
    float,
    BeforeValidator(_volume),
    WithJsonSchema(_NUMERIC | {"description": "a volume, cc where no unit is named"}),
]
#: A whole number from 0.
Whole = Annotated[
    int, BeforeValidator(_whole), WithJsonSchema({"type": ["integer", "string"], "minimum": 0})
]
#: yes or no.
YesNo = Annotated[bool, BeforeValidator(_yes), WithJsonSchema({"enum": ["yes", "no", True, False]})]
