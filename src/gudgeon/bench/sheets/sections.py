"""A sheet as sections to fill in one after the other, in the order of an engine's manual."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from gudgeon.sheet.yamltext import Path

#: Kinds of entry that say what is measured, and the key that leads to the feature.
MEASURED: Final = (("features", ""), ("derive", "from"), ("fits", "hole"))
OTHER: Final = "other"


class Section(NamedTuple):
    """One section.

    Attributes:
        key: in the address. title: the part it is about, as the sheet calls it; empty for those
            that every sheet has, whose title is a string of the page.
        paths: what it shows, in order. adds: where a new entry may be made in it.
    """

    key: str
    title: str
    paths: tuple[Path, ...]
    adds: tuple[Path, ...] = ()


def sections(raw: Any) -> tuple[Section, ...]:
    """The sections of a sheet."""
    holds = raw if isinstance(raw, dict) else {}
    return (
        Section("engine", "", (("engine",), ("unit",), ("currency",))),
        Section("places", "", (("places",),)),
        Section("turning", "", (("turning",),)),
        *_measured(holds),
        Section("shims", "", (("select", "shims"),)),
        Section("shells", "", (("select", "shells"),)),
        Section("oversizes", "", (("oversizes",),)),
        Section("renew", "", (("renew",), ("cautions",))),
    )


def _measured(raw: dict[str, Any]) -> Iterator[Section]:
    """A section for each part that something is measured of."""
    parts: dict[str, list[Path]] = {}
    for name, item in _entries(raw, "features"):
        parts.setdefault(_text(item, "part"), []).append(("features", name))
    for kind, key in MEASURED[1:]:
        for name, item in _entries(raw, kind):
            feature = _text(item, key)
            part = _text(item, "part") or _text(_of(raw, "features", feature), "part")
            rows = parts.setdefault(part, [])
            at = _after(raw, rows, feature)
            rows.insert(at, (kind, name))
    plain = parts.pop("", [])
    adds: tuple[Path, ...] = (("features",), ("derive",), ("fits",))
    taken = {OTHER}
    for title, rows in parts.items():
        key = slug(title, taken)
        taken.add(key)
        yield Section(key, title, tuple(rows), adds)
    yield Section(OTHER, "", tuple(plain), adds)


def _after(raw: dict[str, Any], rows: list[Path], feature: str) -> int:
    """Where a value derived from a feature stands: behind that, and what stands there already."""
    if ("features", feature) not in rows:
        return len(rows)
    at = rows.index(("features", feature)) + 1
    while at < len(rows) and rows[at][0] != "features":
        at += 1
    return at


def _entries(raw: dict[str, Any], kind: str) -> Iterator[tuple[str, Any]]:
    holds = raw.get(kind)
    yield from holds.items() if isinstance(holds, dict) else ()


def _of(raw: dict[str, Any], kind: str, name: str) -> Any:
    holds = raw.get(kind)
    return holds.get(name) if isinstance(holds, dict) else None


def _text(item: Any, key: str) -> str:
    value = item.get(key) if isinstance(item, dict) and key else None
    return value if isinstance(value, str) else ""


def slug(title: str, taken: set[str]) -> str:
    """A title as a word of an address, none of those taken.

    >>> slug("Valve gear", set()), slug("¿?", {"part"})
    ('part-valve-gear', 'part-2')
    """
    word = "-".join(["part", *re.findall(r"[a-z0-9]+", title.lower()[:60])])
    if word == "part":
        word = "part-1"
    number, made = 2, word
    while made in taken or (made == "part-1" and "part" in taken):
        made = f"{word.removesuffix('-1')}-{number}"
        number += 1
    return made
