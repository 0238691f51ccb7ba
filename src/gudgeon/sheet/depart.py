"""Departures: an engine that is not as its sheet says, as changes to the sheet's plain data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown
from gudgeon.sheet.load import load_raw
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.select import Aims, Grade, Sided
from gudgeon.sheet.shape import Shape, is_limits, keys_of, step_into
from gudgeon.sheet.wording import nearest
from gudgeon.sheet.yamltext import read_yaml

_ROOT: Final = Shape("part", part=Sheet)
#: What a departure can't change: then it would be another engine's sheet.
_FIXED: Final = frozenset(("sheet", "unit", "places"))
#: Most departures of one job that are tried one by one.
MOST_DEPARTURES: Final = 200


class _NoSuchPath(Exception):
    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(wrong)
        self.wrong = wrong
        self.right = right


def apply_departures(
    raw: Any, changes: Iterable[tuple[str, str | None]]
) -> tuple[Any, tuple[Fault | None, ...]]:
    """The sheet's plain data with each change made, and what is wrong with each change, if it is.

    A change that names no place of the sheet, or after which the sheet would no longer be one, is
    not made. The data given is left as it was.

    Args:
        raw: `Loaded.raw`.
        changes: path and value as typed: `("derive.bore-size.service.max", "58.150")`. A value may
            be a list or mapping in one line, as `[0.11, 0.17]`; none means blank.

    Returns:
        The new data, and one fault or None for each change, in order.

    >>> sheet = {"sheet": "1", "features": {"bore": {"at": "engine", "new": ["58.0", "58.1"]}}}
    >>> changes = [("features.bore.new.max", "58.2"), ("bore.max", "1")]
    >>> new, faults = apply_departures(sheet, changes)
    >>> new["features"]["bore"]["new"], [fault and fault.wrong for fault in faults]
    ({'min': '58.0', 'max': '58.2'}, [None, "the sheet has no 'bore'"])
    """
    faults: list[Fault | None] = []
    for number, (path, value) in enumerate(changes):
        try:
            if number >= MOST_DEPARTURES:
                raise _NoSuchPath("too many departures", "write a sheet for this engine")
            changed = _changed(raw, path, value)
            load_raw(changed, path)
        except _NoSuchPath as problem:
            faults.append(Fault(shown(path, 80)[1:-1], problem.wrong, problem.right))
        except Unusable as problem:
            first = problem.faults[0]
            faults.append(Fault(path, first.wrong, first.right))
        else:
            raw = changed
            faults.append(None)
    return raw, tuple(faults)


def _changed(raw: Any, path: str, value: str | None) -> Any:
    read = value
    if value is not None and value.lstrip()[:1] in ("[", "{"):
        read = read_yaml(value, path).value
    if path.partition(".")[0] in _FIXED:
        raise _NoSuchPath(f"{shown(path)} can't be changed for one engine", "write another sheet")
    return _set(raw, _ROOT, tuple(path.split(".")), read)


def _set(holds: Any, shape: Shape, path: tuple[str, ...], value: Any) -> Any:
    """`holds` with the value at `path` set; names with a dot in them are tried whole."""
    if not path:
        return value
    holds = long_form(holds, shape)
    if shape.sort == "list":
        return _set_item(holds, shape, path, value)
    if shape.sort == "leaf" or not (holds is None or isinstance(holds, dict)):
        raise _NoSuchPath(f"there is nothing under {shown(path[0])}", "shorten the path")
    here: dict[str, Any] = dict(holds or {})
    known = keys_of(shape.part) if shape.sort == "part" and shape.part else here
    for length in range(len(path), 0, -1):
        key = ".".join(path[:length])
        inner = step_into(shape, key) if key in known else None
        if inner is not None:
            here[key] = _set(here.get(key), inner, path[length:], value)
            return here
    raise _NoSuchPath(f"the sheet has no {shown(path[0])}", nearest(path[0], known))


def _set_item(holds: Any, shape: Shape, path: tuple[str, ...], value: Any) -> Any:
    items = list(holds) if isinstance(holds, list) else []
    if not path[0].isascii() or not path[0].isdigit() or int(path[0][:4]) >= len(items):
        raise _NoSuchPath(
            f"there is no item {shown(path[0])} in a list of {len(items)}", "count from 0"
        )
    place = int(path[0][:4])
    items[place] = _set(items[place], shape.inner or Shape("leaf"), path[1:], value)
    return items


def long_form(holds: Any, shape: Shape) -> Any:
    """A short form written out, so that one part of it can be changed."""
    if is_limits(shape) and isinstance(holds, list) and len(holds) == 2:
        return {"min": holds[0], "max": holds[1]}
    if shape.part is Sided and (
        isinstance(holds, list) or (isinstance(holds, dict) and {"min", "max"} & set(holds))
    ):
        return {"in": holds, "ex": holds}
    if shape.part is Aims and isinstance(holds, str):
        return {"in": holds, "ex": holds}
    if shape.part is Grade and isinstance(holds, str):
        return {"wall": holds}
    return holds
