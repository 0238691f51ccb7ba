"""What is typed into fields, as changes of the sheet's file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import NotANumber, read_length, split_unit
from gudgeon.sheet.base import NAME_PATTERN, Limits
from gudgeon.sheet.depart import long_form
from gudgeon.sheet.edit import Change, change
from gudgeon.sheet.edit.change import shape_of_path
from gudgeon.sheet.edit.flow import clean
from gudgeon.sheet.load import load
from gudgeon.sheet.shape import LEAF, Shape, keys_of
from gudgeon.sheet.yamltext import Path, read_yaml

_ENDS: Final = {"min": 0, "max": 1}
#: Maps whose keys are marks, not names.
_MARKS: Final = ("marks", "cells", "case-numbers", "crank-numbers", "upper", "lower", "firing")


def with_values(text: str, file: str, typed: Sequence[tuple[Path, Any]]) -> str:
    """A sheet's text with values set; it is a sheet that can be used.

    Raises:
        Unusable: it would be none, with every fault at its line of the new text.
    """
    for path, value in typed:
        text = change(text, list(written(read_yaml(text, file).value, path, value)), file)
    load(text, file)
    return text


def written(raw: Any, path: Path, value: Any) -> Iterator[Change]:
    """A value set at a path of the schema, where the file may have a short form."""
    real: list[str | int] = []
    holds, shape = raw, shape_of_path(())
    for depth, key in enumerate(path):
        if shape is not None and shape.part is Limits and isinstance(holds, list):
            key = _ENDS.get(str(key), key)
        elif shape is not None and holds is not None:
            whole = long_form(holds, shape)
            if whole is not holds:
                yield Change(tuple(real), whole)
                holds = whole
        real.append(key)
        shape = shape_of_path(path[: depth + 1])
        if isinstance(holds, dict):
            holds = holds.get(str(key))
        elif isinstance(holds, list):
            holds = holds[key] if isinstance(key, int) and key < len(holds) else None
        else:
            holds = None
    yield Change(tuple(real), value)


def with_entry(text: str, file: str, at: Path, key: str, part: str = "") -> str:
    """A sheet's text with one more entry, blank: a feature, a mark, a family of shims.

    Raises:
        Unusable: it can't have one there, or has it already.
    """
    shape = shape_of_path(at)
    if shape is None or shape.sort not in ("map", "list") or shape.inner is None:
        raise Unusable(Fault("entry", "nothing can be added there", "open the page again"))
    raw = read_yaml(text, file).value
    value = blank_of(shape.inner, part)
    if shape.sort == "list":
        made = [Change(at, value, "add")]
    else:
        key = clean(key, "name")
        _check_key(key, at, _get(raw, at))
        made = [Change((*at, key), value)]
    text = change(text, made, file)
    load(text, file)
    return text


def _check_key(key: str, at: Path, there: Any) -> None:
    if isinstance(there, dict) and key in there:
        raise Unusable(Fault("name", f"there is {key} already", "fill that in, or name another"))
    free = any(item in at for item in _MARKS)
    if not key or len(key) > 40 or not (free or re.match(NAME_PATTERN, key)):
        raise Unusable(
            Fault(
                "name",
                "that can't be a name here",
                "begin with a letter or digit; then letters, digits, '.', '-', '_', at most 40",
            )
        )


def _get(raw: Any, path: Path) -> Any:
    for key in path:
        if isinstance(raw, dict):
            raw = raw.get(str(key))
        elif isinstance(raw, list) and isinstance(key, int) and key < len(raw):
            raw = raw[key]
        else:
            return None
    return raw


def blank_of(shape: Shape, part: str = "") -> Any:
    """A new entry with its keys, blank."""
    if shape.sort == "part" and shape.part is not None:
        made: dict[str, str | None] = {
            key: None for key, (needed, _) in keys_of(shape.part).items() if needed
        }
        if part and "part" in keys_of(shape.part):
            made = {**made, "part": part}
        return made or None
    return None


def without_entry(text: str, file: str, path: Path) -> str:
    """A sheet's text with an entry taken out.

    Raises:
        Unusable: it is not there, or the sheet can't be used without it.
    """
    above = shape_of_path(path[:-1])
    holds = _get(read_yaml(text, file).value, path[:-1])
    there = path[-1] in holds if isinstance(holds, dict) else isinstance(holds, list)
    if above is None or above.sort not in ("map", "list") or not there:
        raise Unusable(Fault("entry", "there is nothing to take out", "open the page again"))
    text = change(text, [Change(path, kind="drop")], file)
    load(text, file)
    return text


def copied(
    text: str, file: str, other: Any, units: tuple[str, str], paths: Sequence[Path]
) -> tuple[str, int]:
    """A sheet's text with what is blank in it filled from another sheet, and how many values.

    Args:
        other: the other sheet as plain data. units: of this sheet, and of the other.
        paths: which parts of it.

    Raises:
        Unusable: it would be no sheet.
    """
    count = 0
    for path in paths:
        for at, value in _values(_get(other, path), path, shape_of_path(path) or LEAF):
            raw = read_yaml(text, file).value
            if not _says(_long_get(raw, at)):
                mine = _with_unit(value, at, units)
                steps = list(_stepwise(raw, at, mine))
                text = change(text, steps, file)
                count += 1
    load(text, file)
    return text, count


def _stepwise(raw: Any, at: Path, value: Any) -> Iterator[Change]:
    """A value at a path, of which an item of a list may not be there yet."""
    for depth, key in enumerate(at):
        holds = _long_get(raw, at[:depth])
        if isinstance(key, int) and not (isinstance(holds, list) and key < len(holds)):
            inner = value
            for name in reversed(at[depth + 1 :]):
                inner = {name: inner}
            yield Change(at[:depth], inner, "add")
            return
    yield from written(raw, at, value)


def _long_get(raw: Any, path: Path) -> Any:
    value = raw
    for depth, key in enumerate(path):
        shape = shape_of_path(path[:depth])
        value = long_form(value, shape) if shape is not None else value
        value = _get(value, (key,))
    return value


def _says(value: Any) -> bool:
    if isinstance(value, dict):
        return any(_says(item) for item in value.values())
    if isinstance(value, list):
        return any(_says(item) for item in value)
    return value is not None


def _values(value: Any, path: Path, shape: Shape) -> Iterator[tuple[Path, Any]]:
    """Every value of a part of a sheet, lists of single values whole."""
    value = long_form(value, shape)
    if isinstance(value, dict) and shape.sort in ("part", "map"):
        for key, item in value.items():
            yield from _values(item, (*path, key), shape_of_path((*path, key)) or LEAF)
    elif isinstance(value, list) and shape.inner is not None and shape.inner.sort == "part":
        for place, item in enumerate(value):
            yield from _values(item, (*path, place), shape.inner)
    elif _says(value):
        yield path, value


def _with_unit(value: Any, path: Path, units: tuple[str, str]) -> Any:
    """A length that names no unit, with the other sheet's where this one has another."""
    shape = shape_of_path(path) or LEAF
    if units[0] == units[1]:
        return value
    if isinstance(value, list) and shape.inner is not None and shape.inner.word == "length":
        return [_named(item, units[1]) for item in value]
    return _named(value, units[1]) if shape.word == "length" else value


def _named(value: Any, unit: str) -> Any:
    try:
        read_length(str(value), unit)
        return value if split_unit(str(value))[1] else f"{value} {unit}"
    except NotANumber:
        return value
