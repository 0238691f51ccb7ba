"""A sheet's values as fields to fill in, made from the schema: every value of it has a field."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, Final, Literal
from zlib import crc32

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import LENGTH_UNITS, NotANumber, read_length, split_unit
from gudgeon.sheet.base import Limits, Part
from gudgeon.sheet.depart import long_form
from gudgeon.sheet.edit.change import shape_of_path
from gudgeon.sheet.edit.flow import clean, from_line, one_line
from gudgeon.sheet.features import Derived, Feature, Fit
from gudgeon.sheet.select import Shells, Shims
from gudgeon.sheet.shape import LEAF, Shape, keys_of
from gudgeon.sheet.yamltext import Path

Widget = Literal["text", "long", "choice", "list", "lines", "line"]
#: What is typed from the manual, of parts that also say how something is measured.
_FIRST: Final[Mapping[type[Part], tuple[str, ...]]] = {
    Feature: ("new", "source"),
    Derived: ("new", "service", "source"),
    Fit: ("new", "service", "source"),
    Shims: ("window", "series", "gear", "marking", "diameter", "aim", "bedding", "source"),
    Shells: ("window", "service", "case", "crank", "scheme", "grades", "wall-tolerance", "source"),
}
_LONG: Final = ("notes", "look-up", "state", "what")
_NO: Final = (True, False)


@dataclass(frozen=True, slots=True)
class Field:
    """One value of a sheet, as a field of a form.

    Attributes:
        name: its path as JSON, by which it is sent. key: as the sheet calls it.
        about: what stands there, by the schema. note: the comment beside it in the file.
        widget: how it is typed. value: as typed. choices: the words it is confined to.
        needed: whether what it stands in is left out without it.
        unit: of a length, where it names none. equals: the same in the sheet's unit.
    """

    name: str
    key: str
    about: str
    note: str
    widget: Widget
    value: str
    choices: tuple[str, ...] = ()
    needed: bool = False
    unit: str = ""
    equals: str = ""

    @property
    def id(self) -> str:
        """A word for the page to know it by."""
        return f"f{crc32(self.name.encode()):08x}"


@dataclass(frozen=True, slots=True)
class Group:
    """Values that stand together.

    Attributes:
        name: its path as JSON. key, about, note: as of a field. sort: limits, part, map or list.
        fields: what it holds. more: what is seldom changed. adds: whether it takes more entries.
        drops: whether it can be taken out. blanks: how many of its fields are blank.
    """

    name: str
    key: str
    about: str
    note: str
    sort: str
    fields: tuple[Field | Group, ...] = ()
    more: tuple[Field | Group, ...] = ()
    adds: bool = False
    drops: bool = False


@dataclass(frozen=True, slots=True)
class Source:
    """What fields are made from: a sheet as plain data, its comments, its unit."""

    raw: Any
    notes: Mapping[Path, str] = field(default_factory=dict)
    unit: str = "mm"

    def field(self, path: Path) -> Field | Group:
        """The field, or the group of fields, at a path of the schema."""
        return _made(self, path, _at(self.raw, path), shape_of_path(path) or LEAF)


def name_of(path: Path) -> str:
    """A path as the name of a field.

    >>> name_of(("select", "shims", "series", 0))
    '["select","shims","series",0]'
    """
    return json.dumps(list(path), ensure_ascii=False, separators=(",", ":"))


def _at(raw: Any, path: Path) -> Any:
    """What stands at a path, short forms written out; None where nothing does."""
    shape: Shape | None = shape_of_path(())
    value = raw
    for depth, key in enumerate(path):
        if shape is not None:
            value = long_form(value, shape)
        shape = shape_of_path(path[: depth + 1])
        if isinstance(value, dict) and isinstance(key, str):
            value = value.get(key)
        elif isinstance(value, list) and isinstance(key, int) and key < len(value):
            value = value[key]
        else:
            return None
    return long_form(value, shape) if shape is not None else value


def _made(source: Source, path: Path, value: Any, shape: Shape) -> Field | Group:
    if _one_field(path, shape):
        return _field(source, path, value, shape)
    about, _ = _said(path)
    made = Group(
        name_of(path),
        str(path[-1]) if path else "sheet",
        about,
        source.notes.get(path, ""),
        "limits" if shape.part is Limits else shape.sort,
        drops=_inner_of(path) in ("map", "list"),
        adds=shape.sort in ("map", "list"),
    )
    if shape.sort == "part" and shape.part is not None:
        return _with_keys(source, path, shape.part, made)
    if shape.sort == "map":
        keys: list[str | int] = list(value) if isinstance(value, dict) else []
    else:
        keys = list(range(len(value))) if isinstance(value, list) else []
    return replace(made, fields=tuple(source.field((*path, key)) for key in keys))


def _with_keys(source: Source, path: Path, part: type[Part], made: Group) -> Group:
    first = _FIRST.get(part, ())
    here: list[Field | Group] = []
    more: list[Field | Group] = []
    for key in sorted(keys_of(part), key=lambda key: first.index(key) if key in first else 99):
        inner = source.field((*path, key))
        (here if not first or key in first else more).append(inner)
    return replace(made, fields=tuple(here), more=tuple(more))


def _inner_of(path: Path) -> str:
    above = shape_of_path(path[:-1]) if path else None
    return above.sort if above is not None else ""


def _one_field(path: Path, shape: Shape) -> bool:
    """Whether all that stands at a path is typed into one field."""
    if shape.sort == "leaf":
        return True
    return shape.sort == "list" and (shape.inner is None or shape.inner.sort != "part")


def widget_of(path: Path, shape: Shape) -> Widget:
    """How what stands at a path is typed."""
    if shape.sort == "list":
        if path == ("cautions",):
            return "lines"
        return "list" if shape.inner is not None and shape.inner.sort == "leaf" else "line"
    if path[:1] == ("places",) and path != ("places", "end"):
        return "line"
    if shape.choices or shape.word == "yes or no":
        return "choice"
    return "long" if path[-1] in _LONG and shape.word == "text" else "text"


def _field(source: Source, path: Path, value: Any, shape: Shape) -> Field:
    about, needed = _said(path)
    widget = widget_of(path, shape)
    choices = tuple(shape.choices)
    if shape.word == "yes or no":
        choices = ("yes", "no")
        value = {"true": "yes", "false": "no"}.get(str(value).lower(), value)
    text = _typed(value, widget)
    length = shape.word == "length"
    return Field(
        name_of(path),
        str(path[-1]),
        about,
        source.notes.get(path, ""),
        widget,
        text,
        choices if not choices or not text or text in choices else (*choices, text),
        needed,
        source.unit if length else "",
        equals(text, source.unit) if length else "",
    )


def _typed(value: Any, widget: Widget) -> str:
    """A value as a person would type it into its field."""
    if value is None:
        return ""
    if widget == "lines":
        items = value if isinstance(value, list) else [value]
        return "\n".join(str(item) for item in items if item is not None)
    if widget == "line":
        return one_line(value) if isinstance(value, (dict, list)) else str(value)
    if isinstance(value, list) and not any(isinstance(item, (dict, list)) for item in value):
        return ", ".join("" if item is None else str(item) for item in value)
    return one_line(value) if isinstance(value, (dict, list)) else str(value)


def equals(text: str, unit: str) -> str:
    """A length that names another unit than the sheet's, in the sheet's.

    >>> equals("2.2874 in", "mm"), equals("58.1", "mm"), equals("58.100 mm", "in")
    ('= 58.100 mm', '', '= 2.28740 in')
    """
    try:
        named = split_unit(text)[1]
        length = read_length(text, unit)
    except NotANumber:
        return ""
    if not named or LENGTH_UNITS.get(named) == LENGTH_UNITS[unit]:
        return ""
    return f"= {length / float(LENGTH_UNITS[unit]):.{3 if unit == 'mm' else 5}f} {unit}"


@cache
def _said(path: Path) -> tuple[str, bool]:
    """What the schema says of a path, and whether what it stands in needs it."""
    above = shape_of_path(path[:-1]) if path else None
    if above is None or above.part is None:
        return "", False
    for name, info in above.part.model_fields.items():
        if (info.alias or name) == path[-1]:
            return info.description or "", info.is_required()
    return "", False


def value_of(path: Path, text: str, where: str) -> Any:
    """What was typed into the field at a path, as the sheet holds it.

    Raises:
        Unusable: it can't be held, or there is no such field.
    """
    shape = shape_of_path(path) or LEAF
    text = clean(text, where)
    if not text:
        return None
    match widget_of(path, shape):
        case "lines":
            return [line.strip() for line in text.splitlines() if line.strip()]
        case "line":
            return from_line(text, where)
        case "list":
            return list(_split(text))
    if path[:2] == ("select", "shells") and "cells" in path and "," in text:
        return list(_split(text))
    return text


def _split(text: str) -> Iterator[str]:
    """The items of a list as typed: parted by a comma and a space, by semicolons or lines.

    >>> list(_split("0.25, 0.50; 0.010 in")), list(_split("[L, R]"))
    (['0.25', '0.50', '0.010 in'], ['L', 'R'])
    """
    text = text.strip()
    if text.startswith("[") and text.endswith("]"):
        text = text[1:-1]
    for item in re.split(r"\s*;\s*|,\s+|\n|(?<=[^\W\d]),(?=[^\W\d])", text):
        if item.strip(" ,"):
            yield item.strip(" ,")


def known_path(name: str) -> Path:
    """The path that the name of a field stands for.

    Raises:
        Unusable: it is none.
    """
    try:
        path = json.loads(name)
    except (ValueError, RecursionError):
        path = None
    fine = isinstance(path, list) and 0 < len(path) <= 12
    fine = fine and all(isinstance(key, str) or type(key) is int for key in path)
    if fine and shape_of_path(tuple(path)) is not None:
        return tuple(path)
    raise Unusable(Fault("field", "the sheet has no such field", "open the page again"))
