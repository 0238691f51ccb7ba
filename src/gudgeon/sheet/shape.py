"""The shape of the schema: which keys may stand where, as asked while reading or changing a sheet.

A blank value is the same as a key left out. An entry of a list or mapping whose necessary key is
blank (a row of a starter that nobody filled in) is left out as a whole.
"""

from __future__ import annotations

import types
from dataclasses import dataclass, field
from functools import cache
from typing import Annotated, Any, Final, Literal, Union, get_args, get_origin

from gudgeon.numbers import Length
from gudgeon.sheet.base import Limits, Part
from gudgeon.sheet.yamltext import Path


@dataclass(frozen=True, slots=True)
class Shape:
    """What may stand at one point of a sheet.

    Attributes:
        sort: part (named keys), map (keys of the sheet's own), list, or leaf (one value).
        part: the class of a part.
        inner: what a map or list holds.
        choices: the words a leaf is confined to, if it is.
        word: what a leaf is, in words.
    """

    sort: Literal["part", "map", "list", "leaf"]
    part: type[Part] | None = None
    inner: Shape | None = None
    choices: tuple[str, ...] = ()
    word: str = "text"


LEAF: Final = Shape("leaf")
_WORDS: Final[dict[Any, str]] = {
    Length: "length",
    float: "number",
    int: "whole number",
    bool: "yes or no",
}


@cache
def keys_of(part: type[Part]) -> dict[str, tuple[bool, Shape]]:
    """Key -> whether it is necessary, and what may stand there."""
    return {
        info.alias or name: (info.is_required(), shape_of(info.annotation))
        for name, info in part.model_fields.items()
    }


def shape_of(annotation: Any) -> Shape:
    """The shape an annotation of the schema stands for."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return shape_of(get_args(annotation)[0])
    if origin in (Union, types.UnionType):
        held = [arg for arg in get_args(annotation) if arg is not type(None)]
        return shape_of(held[0]) if len(held) == 1 else LEAF
    if origin is dict:
        return Shape("map", inner=shape_of(get_args(annotation)[1]))
    if origin in (list, tuple):
        return Shape("list", inner=shape_of(get_args(annotation)[0]))
    if origin is Literal:
        return Shape("leaf", choices=get_args(annotation))
    if isinstance(annotation, type) and issubclass(annotation, Part):
        return Shape("part", part=annotation)
    return Shape("leaf", word=_WORDS.get(annotation, "text"))


def step_into(shape: Shape, key: str | int) -> Shape | None:
    """What may stand under a key; nothing where the schema has no such key."""
    if shape.sort == "part" and shape.part is not None:
        found = keys_of(shape.part).get(str(key))
        return found[1] if found else None
    return shape.inner if shape.sort in ("map", "list") else None


@dataclass(slots=True)
class Pruned:
    """What is left of a sheet without its blanks.

    Attributes:
        value: the sheet without blanks.
        shifted: path of an item in `value` -> its position in the list as written.
        dropped: path -> the necessary key that is blank, of entries left out that say something.
    """

    value: Any = None
    shifted: dict[Path, int] = field(default_factory=dict)
    dropped: dict[Path, str] = field(default_factory=dict)


class _Blank:
    """Stands for an entry that is left out."""


_BLANK: Final = _Blank()


def prune(raw: Any, shape: Shape) -> Pruned:
    """The sheet without its blanks; where it has not the schema's shape, it is left as it is."""
    out = Pruned()
    pruner = _Pruner(out)
    value = pruner.cut(raw, shape, (), ())
    out.value = {} if value is _BLANK else value
    return out


class _Pruner:
    def __init__(self, out: Pruned) -> None:
        self.out = out

    def cut(self, raw: Any, shape: Shape, path: Path, now: Path) -> Any:
        """`raw` at `path` of the file and at `now` of the result, without blanks."""
        if shape.sort == "part" and isinstance(raw, dict) and shape.part is not None:
            return self._part(raw, shape.part, path, now)
        if shape.sort == "map" and isinstance(raw, dict):
            return self._map(raw, shape.inner or LEAF, path, now)
        if shape.sort == "list" and isinstance(raw, list):
            return self._list(raw, shape.inner or LEAF, path, now)
        return raw

    def _part(self, raw: dict[str, Any], part: type[Part], path: Path, now: Path) -> Any:
        keys = keys_of(part)
        kept: dict[str, Any] = {}
        blank = ""
        for key, item in raw.items():
            needed, shape = keys.get(key, (False, LEAF))
            if item is not None:
                kept[key] = self.cut(item, shape, (*path, key), (*now, key))
                if kept[key] is _BLANK:
                    del kept[key]
                    item = None
            if item is None and needed and len(path) > 1:
                blank = blank or key
            elif item is None and needed:
                kept[key] = None
        if not blank:
            return kept
        if says_something(kept):
            self.out.dropped[path] = blank
        return _BLANK

    def _map(self, raw: dict[str, Any], inner: Shape, path: Path, now: Path) -> Any:
        kept = {}
        for key, item in raw.items():
            item = _blank_entry(inner) if item is None else item
            if item is not None:
                cut = self.cut(item, inner, (*path, key), (*now, key))
                if cut is not _BLANK:
                    kept[key] = cut
        return kept

    def _list(self, raw: list[Any], inner: Shape, path: Path, now: Path) -> Any:
        kept: list[Any] = []
        for place, item in enumerate(raw):
            if item is not None:
                here = (*now, len(kept))
                cut = self.cut(item, inner, (*path, place), here)
                if cut is not _BLANK:
                    if place != len(kept):
                        self.out.shifted[here] = place
                    kept.append(cut)
        return kept


def _blank_entry(shape: Shape) -> Any:
    """An entry of which only the name is given: a mark without a range, say."""
    needs = shape.part is None or any(needed for needed, _ in keys_of(shape.part).values())
    return None if needs else {}


def says_something(value: Any) -> bool:
    """Whether a part that is left out holds a number, so that leaving it out is worth a word."""
    if isinstance(value, dict):
        return any(says_something(item) for item in value.values())
    if isinstance(value, list):
        return any(says_something(item) for item in value)
    return isinstance(value, str) and value[:1].isdigit()


def is_limits(shape: Shape | None) -> bool:
    """Whether limits stand here, which have a short form."""
    return shape is not None and shape.part is Limits
