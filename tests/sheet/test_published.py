"""The schema as published: it knows every key, allows for blanks, and the page keeps up."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from gudgeon.sheet.load import load
from gudgeon.sheet.published import json_schema, reference_page
from gudgeon.sheet.starters import Choice, starter

ROOT = Path(__file__).parents[2]
SHORT = """\
sheet: 1
engine: {name: X, bore: 81.0}
places: {end: 1 = left, cylinder: 3, cam: [in, ex], valve: {each: cylinder, in: [L, R], ex: 2}}
features: {gap: {at: valve, kind: gap, new: [0.1, 0.2]}}
select:
  shims: {window: [0.1, 0.2], aim: 0.15}
  shells: {main: {at: valve, journal: gap, grades: {brown: 1.49, 2: {wall: 1.5}}}}
"""


def fits(value: Any, node: dict[str, Any], top: dict[str, Any]) -> bool:
    """Whether plain data fits a schema: as much of JSON Schema as this one uses."""
    if "$ref" in node:
        return fits(value, top["$defs"][node["$ref"].rpartition("/")[2]], top)
    if "anyOf" in node and not any(fits(value, branch, top) for branch in node["anyOf"]):
        return False
    if "enum" in node and value not in node["enum"]:
        return False
    if "const" in node and value != node["const"]:
        return False
    kinds = node.get("type")
    kinds = [kinds] if isinstance(kinds, str) else kinds
    if kinds is not None and not any(_is(value, kind) for kind in kinds):
        return False
    if isinstance(value, str):
        return re.search(node.get("pattern", ""), value) is not None
    if isinstance(value, list):
        if not node.get("minItems", 0) <= len(value) <= node.get("maxItems", len(value)):
            return False
        return all(fits(item, node.get("items", {}), top) for item in value)
    if isinstance(value, dict):
        return _keys_fit(value, node, top)
    return True


def _keys_fit(value: dict[str, Any], node: dict[str, Any], top: dict[str, Any]) -> bool:
    if any(key not in value for key in node.get("required", ())):
        return False
    for key, item in value.items():
        inner = node.get("properties", {}).get(key)
        for pattern, found in node.get("patternProperties", {}).items():
            if inner is None and re.search(pattern, key):
                inner = found
        if inner is None:
            inner = node.get("additionalProperties", True)
        if inner is False or (inner is not True and not fits(item, inner, top)):
            return False
    return True


def _is(value: Any, kind: str) -> bool:
    return {
        "object": isinstance(value, dict),
        "array": isinstance(value, list),
        "string": isinstance(value, str),
        "null": value is None,
        "integer": isinstance(value, int),
        "number": isinstance(value, int | float),
    }[kind]


def _sheets() -> list[tuple[str, str]]:
    demos = sorted((ROOT / "src/gudgeon/demo/sheets").glob("*.yaml"))
    made = [("short", SHORT), ("starter", starter(Choice()))]
    return made + [(path.stem, path.read_text(encoding="utf-8")) for path in demos]


@pytest.mark.parametrize(("name", "text"), _sheets(), ids=lambda item: str(item)[:12])
def test_what_the_loader_reads_fits_the_schema(name: str, text: str) -> None:
    schema = json_schema()
    raw = load(text, name).raw
    for key, value in raw.items():
        assert fits(value, schema["properties"][key], schema), key
    assert fits(raw, schema, schema)


@pytest.mark.parametrize(
    "change",
    [
        ("bore: 81.0", "boar: 81.0"),
        ("kind: gap", "kind: gapp"),
        ("aim: 0.15", "aim: [0.15]"),
        ("new: [0.1, 0.2]", "new: [0.1, 0.2, 0.3]"),
        ("sheet: 1", "sheet: 2"),
    ],
)
def test_what_the_loader_refuses_does_not(change: tuple[str, str]) -> None:
    from gudgeon.sheet.yamltext import read_yaml

    schema = json_schema()
    assert not fits(read_yaml(SHORT.replace(*change), "x").value, schema, schema)


def test_every_key_has_a_description() -> None:
    schema = json_schema()
    parts = {"": schema, **schema["$defs"]}
    for name, part in parts.items():
        part = part["anyOf"][0] if "properties" not in part else part
        for key, item in part["properties"].items():
            assert item.get("description"), f"{name}.{key}"


def test_it_is_json_and_says_which_draft() -> None:
    assert json.loads(json.dumps(json_schema()))["$schema"].endswith("2020-12/schema")


def test_the_page_is_up_to_date() -> None:
    page = (ROOT / "docs" / "sheet.md").read_text(encoding="utf-8")
    assert page == reference_page(), "gudgeon sheet schema --page > docs/sheet.md"
