"""The settings and instruments that some room makes use of, so that a slip of the pen shows."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from importlib import import_module
from typing import Any, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

#: The modules with a table of settings (`SETTINGS`: name -> default and meaning).
TABLES: Final = (
    "gudgeon.metrology.settings",
    "gudgeon.fit.settings",
    "gudgeon.fit.shells.settings",
)


def known_settings() -> Mapping[str, Any]:
    """Every setting: name -> default and meaning."""
    found: dict[str, Any] = {}
    for table in TABLES:
        found |= import_module(table).SETTINGS
    return found


def check_setting(name: str) -> None:
    """Refuse a setting that nothing makes use of.

    Raises:
        Unusable: there is none of that name; the nearest are named.
    """
    _among(name, known_settings(), "setting", "gudgeon shop setting lists them")


def check_kind(name: str) -> None:
    """Refuse a kind of instrument of which nothing is known.

    Raises:
        Unusable: there is none of that name.
    """
    from gudgeon.metrology.kinds import KINDS, kind_named

    if kind_named(name) is None:
        _among(name, KINDS, "kind of instrument", f"use one of {', '.join(KINDS)}")


def _among(name: str, known: Iterable[str], what: str, right: str) -> None:
    names = list(known)
    if name in names:
        return
    near = difflib.get_close_matches(name[:40], names, 2, 0.5)
    raise Unusable(
        Fault(
            what,
            f"there is no {what} {shown(name)}",
            f"did you mean {' or '.join(near)}?" if near else right,
        )
    )
