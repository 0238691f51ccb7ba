"""The name of a job's engine, without reading the whole of its log and sheet."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, Final

import yaml

from gudgeon.log.canon import order_of
from gudgeon.log.strikes import Strike, struck_by

#: The kinds of entry that decide the name.
KINDS: Final = ("sheet", "strike")
_Parser: Final[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def engine_of(bodies: Iterable[str]) -> str:
    """Name of the engine in the sheet pinned last; empty where there is none.

    Args:
        bodies: entries of a log, those of `KINDS` at the least.
    """
    entries = sorted((json.loads(body) for body in bodies), key=order_of)
    struck, _ = struck_by(
        Strike(entry["id"], entry["target"]) for entry in entries if entry["kind"] == "strike"
    )
    sheets = [e for e in entries if e["kind"] == "sheet" and e["id"] not in struck]
    return engine_name(sheets[-1]["text"]) if sheets else ""


def engine_name(text: str) -> str:
    """The engine's name in a sheet's text, which is read no further than that.

    >>> engine_name("sheet: 1\\nengine: {code: X, name: Invented triple}\\nplaces: [")
    'Invented triple'
    """
    path: list[str | None] = []  # the key that is open at each level; None before a key
    try:
        for event in yaml.parse(text, Loader=_Parser):
            if isinstance(event, yaml.CollectionStartEvent):
                path.append(None)
            elif isinstance(event, yaml.CollectionEndEvent):
                path.pop()
                if path:
                    path[-1] = None
            elif isinstance(event, yaml.ScalarEvent) and path:
                if path == ["engine", "name"]:
                    return str(event.value)
                path[-1] = event.value if path[-1] is None else None
    except yaml.YAMLError:
        return ""
    return ""
