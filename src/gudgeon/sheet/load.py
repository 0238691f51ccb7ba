"""Reading a sheet: text in, a checked sheet out, or every fault with its line and column."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, Final

from pydantic import ValidationError

from gudgeon.faults import Fault, Unusable
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.refs import cross_references
from gudgeon.sheet.shape import Pruned, Shape, prune
from gudgeon.sheet.wording import resolve, say
from gudgeon.sheet.yamltext import MOST_FAULTS, Path, Spot, read_yaml

_ROOT: Final = Shape("part", part=Sheet)
#: Errors of the schema that are put into words, before the first few are told.
_MOST_ERRORS: Final = 500
_START: Final = Spot(1, 1, 1, 1)


@dataclass(frozen=True, slots=True)
class Loaded:
    """A sheet that was read, with the place of everything in it.

    Attributes:
        sheet: the sheet.
        file: the name of its file, as faults show it.
        sha256: hash of its text [hex]; a job is pinned to it.
        raw: the text as plain mappings, lists, text and None.
        spots: path -> where it stands; empty where the sheet came from a job's log.
        pruned: the same without its blanks, as the schema was given it.
    """

    sheet: Sheet
    file: str
    sha256: str
    raw: Mapping[str, Any]
    spots: Mapping[Path, Spot] = field(default_factory=dict)
    pruned: Pruned = field(default_factory=Pruned)

    @property
    def left_out(self) -> Mapping[Path, str]:
        """Path -> the necessary key that is blank, of entries that are not used for it."""
        return self.pruned.dropped

    def as_written(self, path: Path) -> Path:
        """A path of the sheet as the schema has it, as far as it stands in the file.

        Short forms are seen through, and positions in lists count the blank items too.
        """
        return _as_written(resolve(path, self.pruned.value), self.pruned)

    def position(self, path: Path, key: bool = False) -> tuple[int, int]:
        """Line and column, from 1, of a value, or of its key.

        A value that begins on a line below its key is shown at the key. A path that is not there,
        such as a key left out, is shown at what it would stand in.
        """
        whole = len(path)
        while path and path not in self.spots:
            path = path[:-1]
        spot = self.spots.get(path, _START)
        if key or len(path) < whole or spot.value_line != spot.line:
            return spot.line, spot.column
        return spot.value_line, spot.value_column

    def where(self, path: Path, key: bool = False) -> str:
        """The place of a path, as `file:line:column`; the path itself where there is no file.

        >>> load("sheet: 1\\nengine: {name: X}", "x.yaml").where(("engine", "name"))
        'x.yaml:2:16'
        """
        if not self.spots:
            return f"{self.file}: {'.'.join(str(part) for part in path) or 'the sheet'}"
        line, column = self.position(path, key)
        return f"{self.file}:{line}:{column}"


def load(text: str, file: str) -> Loaded:
    """Read a sheet.

    Args:
        text: the text of the sheet.
        file: the name that faults show.

    Raises:
        Unusable: the text is no sheet; every fault that could be found is named, in the order of
            the file.
    """
    tree = read_yaml(text, file)
    return _validated(tree.value, file, tree.spots, hashlib.sha256(text.encode()).hexdigest())


def load_raw(raw: Any, file: str, sha256: str = "") -> Loaded:
    """Check plain data that was read before, such as a sheet with a job's departures applied.

    Raises:
        Unusable: it is no sheet; faults name the path (`derive.size.service.max`).
    """
    if not sha256:
        plain = json.dumps(raw, sort_keys=True, ensure_ascii=True, default=str)
        sha256 = hashlib.sha256(plain.encode()).hexdigest()
    return _validated(raw, file, {}, sha256)


def _validated(raw: Any, file: str, spots: Mapping[Path, Spot], sha256: str) -> Loaded:
    if raw is None:
        raise Unusable(
            Fault(f"{file}:1:1", "the sheet is empty", "start one with gudgeon sheet new")
        )
    pruned = prune(raw, _ROOT)
    unit = raw.get("unit") if isinstance(raw, dict) else None
    context = {"unit": unit if unit in ("mm", "in") else "mm"}
    try:
        sheet = Sheet.model_validate(pruned.value, context=context)
    except ValidationError as problem:
        places = Loaded(_NOTHING, file, "", {}, spots)
        raise Unusable(_faults(problem, places, pruned)) from None
    loaded = Loaded(sheet, file, sha256, raw, spots, pruned)
    wrong = []
    for item in islice(cross_references(sheet), MOST_FAULTS):
        path = loaded.as_written(item.path)
        place = Fault(loaded.where(path), item.wrong, item.right)
        wrong.append((*loaded.position(path), place))
    if wrong:
        raise Unusable(_in_order(wrong))
    return loaded


def _faults(problem: ValidationError, places: Loaded, pruned: Pruned) -> list[Fault]:
    found: list[tuple[int, int, Fault]] = []
    unions: set[Path] = set()
    for error in problem.errors(include_url=False)[:_MOST_ERRORS]:
        path, wrong, right = say(dict(error), _ROOT, pruned.value)
        path = _as_written(path, pruned)
        if error["type"] in ("string_type", "list_type"):
            if path in unions:
                continue
            unions.add(path)
        key = error["type"] == "extra_forbidden" or error["loc"][-1:] == ("[key]",)
        found.append((*places.position(path, key), Fault(places.where(path, key), wrong, right)))
    return _in_order(found)


def _as_written(path: Path, pruned: Pruned) -> Path:
    """A path of the sheet without blanks, as a path of the sheet as written."""
    return tuple(
        pruned.shifted.get(path[: depth + 1], part) if isinstance(part, int) else part
        for depth, part in enumerate(path)
    )


def _in_order(found: Iterable[tuple[int, int, Fault]]) -> list[Fault]:
    """Faults in the order of the file, each once, and not too many."""
    ordered = sorted(found, key=lambda item: item[:2])
    return list(dict.fromkeys(fault for _, _, fault in ordered))[:MOST_FAULTS]


_NOTHING: Final = Sheet.model_validate({"sheet": 1, "engine": {"name": ""}})
