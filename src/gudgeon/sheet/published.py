"""The schema published: JSON Schema for editors, and the reference page for people."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any, Final

from gudgeon.sheet.base import Limits, Part
from gudgeon.sheet.features import Derived, Feature, Fit, Oversize
from gudgeon.sheet.layout import CamEvents, Engine, Layout, Turning
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.select import (
    Aims,
    Grade,
    Marks,
    Renewal,
    Scheme,
    Select,
    Series,
    Shells,
    Shims,
    Sided,
)
from gudgeon.sheet.shape import Shape, keys_of

_SCALAR: Final = {"type": ["number", "string", "null"]}
_PAIR: Final = {
    "type": "array",
    "items": _SCALAR,
    "minItems": 2,
    "maxItems": 2,
    "description": "[lower, upper]",
}
_NAMES: Final = {"type": "array", "items": {"type": ["string", "integer"]}}
#: Short forms that stand for a part.
_SHORT: Final[dict[str, list[dict[str, Any]]]] = {
    "Limits": [_PAIR],
    "Sided": [_PAIR, {"$ref": "#/$defs/Limits"}],
    "Aims": [_SCALAR],
    "Grade": [_SCALAR],
}
_COUNT: Final = {"type": ["integer", "string"], "description": "how many"}
_PLACES: Final = {
    "type": ["object", "null"],
    "properties": {
        "end": {
            "type": ["string", "null"],
            "description": "the end numbering starts from, as 1 = left, sitting on the machine",
        }
    },
    "additionalProperties": {
        "description": "a kind of place: a count, a list of names, or names within each of another",
        "anyOf": [
            _COUNT,
            _NAMES,
            {
                "type": "object",
                "required": ["each"],
                "properties": {
                    "each": {"type": "string", "description": "the kind it stands within"},
                    "names": {"anyOf": [_COUNT, _NAMES], "description": "names within each"},
                },
                "additionalProperties": {"anyOf": [_COUNT, _NAMES, {"type": "null"}]},
            },
            {"type": "null"},
        ],
    },
}


@cache
def json_schema() -> dict[str, Any]:
    """The schema as JSON Schema, draft 2020-12; blanks and short forms are allowed for."""
    made: dict[str, Any] = Sheet.model_json_schema(by_alias=True)
    definitions: dict[str, Any] = made.pop("$defs")
    for name, part in definitions.items():
        definitions[name] = _blanks(part)
    for name, forms in _SHORT.items():
        whole = definitions[name]
        said = whole.pop("description", "")
        definitions[name] = {"description": said, "anyOf": [whole, *forms]}
    top = _blanks(made)
    top["properties"]["sheet"] = {
        "enum": [1, "1"],
        "description": top["properties"]["sheet"]["description"],
    }
    places = top["properties"]["places"]
    top["properties"]["places"] = {**_PLACES, "description": places["description"]}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **top,
        "$defs": definitions,
    }


def _blanks(node: Any) -> Any:
    """The same schema, in which every value may be left blank."""
    if not isinstance(node, dict):
        return node
    out = dict(node)
    out.pop("default", None)
    for key in ("properties", "patternProperties"):
        if key in out:
            out[key] = {name: _or_null(item) for name, item in out[key].items()}
    for key in ("additionalProperties", "items"):
        if isinstance(out.get(key), dict):
            out[key] = _or_null(out[key])
    return out


def _or_null(node: dict[str, Any]) -> dict[str, Any]:
    node = _blanks(node)
    if "anyOf" in node:
        branches = [_blanks(branch) for branch in node["anyOf"]]
        if {"type": "null"} not in branches:
            branches.append({"type": "null"})
        return {**node, "anyOf": [_loose(branch) for branch in branches]}
    about: dict[str, Any] = {
        key: node.pop(key) for key in ("description", "title", "examples") if key in node
    }
    return {**about, "anyOf": [_loose(node), {"type": "null"}]}


def _loose(node: dict[str, Any]) -> dict[str, Any]:
    """Where a text belongs a number will do: scalars are read as typed."""
    if node.get("type") == "string" and "enum" not in node:
        return {**node, "type": ["string", "number"]}
    if node.get("type") == "array" and isinstance(node.get("items"), dict):
        return {**node, "items": _loose(node["items"])}
    return node


#: The parts of a sheet in the order of the reference page: title, class.
_PAGES: Final[tuple[tuple[str, type[Part]], ...]] = (
    ("The sheet", Sheet),
    ("engine", Engine),
    ("engine.layout", Layout),
    ("turning", Turning),
    ("turning.in, turning.ex", CamEvents),
    ("features.NAME", Feature),
    ("derive.NAME", Derived),
    ("fits.NAME", Fit),
    ("oversizes.NAME", Oversize),
    ("select", Select),
    ("select.shims", Shims),
    ("select.shims.series[]", Series),
    ("select.shims.window", Sided),
    ("select.shims.aim", Aims),
    ("select.shells.NAME", Shells),
    ("select.shells.NAME.case, .crank", Marks),
    ("select.shells.NAME.scheme", Scheme),
    ("select.shells.NAME.grades.GRADE", Grade),
    ("renew[]", Renewal),
    ("limits", Limits),
)
_TITLES: Final = {part: title for title, part in _PAGES}
_INTRODUCTION: Final = """\
# The sheet, key by key

This page is made from the schema by `gudgeon sheet schema --page`; a test fails where it is out of
date. `gudgeon sheet schema` prints the same as JSON Schema (draft 2020-12), with which an editor
can complete keys and show these lines.

A sheet is a YAML file. Everything in it is read as typed: `81.000` stays 81.000, `no` is a word,
`012` is 12, and a decimal comma is a decimal point. A length may carry its own unit (`1.417 in`,
`36 mm`, `5 thou`); without one it is in the sheet's `unit`. Anchors, aliases, tags, merge keys and
keys that stand twice are refused; so is anything beyond 1 MiB, 50,000 parts or 20 levels.

**Anything may be blank.** A blank key is the same as one left out. What has no limit is recorded
and shown as *no limit given*. An entry whose necessary key (marked *) is blank is left out.

## places

    places:
      end: 1 = left, sitting on the machine
      cylinder: 4                                          # cylinder/1 … cylinder/4
      cam: [in, ex]                                        # cam/in, cam/ex
      valve: {each: cylinder, in: [L, R], ex: [L, R]}      # valve/1/in/L … valve/4/ex/R
      cam-journal: {each: cam, names: 3}                   # cam-journal/in/1 … cam-journal/ex/3

A kind of place is a count, a list of names, or names within each place of another kind, by side or
not. The place `engine` is always there, for what there is one of. Names are letters and digits.
"""


def reference_page() -> str:
    """The reference of the schema in Markdown."""
    parts = [_INTRODUCTION]
    for title, part in _PAGES:
        parts.append("\n".join(_section(title, part)))
    return "\n".join(parts)


def _section(title: str, part: type[Part]) -> Iterator[str]:
    yield f"## {title}"
    yield ""
    yield from (line.strip() for line in (part.__doc__ or "").strip().splitlines())
    yield ""
    yield "| key | what stands there | |"
    yield "|---|---|---|"
    keys = keys_of(part)
    for name, info in part.model_fields.items():
        key = info.alias or name
        needed, shape = keys[key]
        mark = "*" if needed else ""
        said = (info.description or "").replace("|", "\\|")
        yield f"| `{key}`{mark} | {said} | {_kind(shape)} |"
    yield ""


def _kind(shape: Shape) -> str:
    """What stands behind a key, in words."""
    if shape.choices:
        return ", ".join(f"`{word}`" for word in shape.choices)
    if shape.inner is not None:
        return ("NAME: " if shape.sort == "map" else "list of ") + _kind(shape.inner)
    return _TITLES.get(shape.part, "keys") if shape.part else shape.word
