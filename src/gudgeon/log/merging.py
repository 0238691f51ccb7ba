"""What of some entries a log has not got yet, and the chain that the new ones continue."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, NamedTuple

from gudgeon.faults import Conflict, Fault
from gudgeon.log.canon import canonical, entry_hash, last_of, parse
from gudgeon.numbers import shown

#: What writing an entry adds to what it says: the same row read twice differs in these alone.
_WRITING: Final = ("at", "device", "prev")
_OWN: Final = ("id", *_WRITING)


class News(NamedTuple):
    """What of some entries is new to a log.

    Attributes:
        bodies: the new ones. already: how many were there, by their id.
    """

    bodies: tuple[str, ...]
    already: int


def _without(entry: Mapping[str, Any], keys: Sequence[str]) -> str:
    return canonical({key: value for key, value in entry.items() if key not in keys})


def news(existing: Iterable[str], coming: Iterable[str], lines: Mapping[str, str] = {}) -> News:
    """The entries that a log has not got.

    An entry is there when its id is, and all but time, device and chain are the same.

    Args:
        existing: the log. coming: the entries to add.
        lines: id -> the place to name in a fault.

    Raises:
        Conflict: an id is there for something else; nothing can be added.
    """
    there = {entry["id"]: entry for entry in (parse(body, "log") for body in existing)}
    new: dict[str, str] = {}
    already = 0
    faults = []
    for body in coming:
        entry = parse(body, "log")
        key = entry["id"]
        old = there.setdefault(key, entry)
        if old is entry:
            new[key] = body
        elif _without(old, _WRITING) == _without(entry, _WRITING):
            already += 1
        else:
            faults.append(
                Fault(
                    lines.get(key, key),
                    f"the log has another entry with the id {shown(key)}, and the two differ",
                    "give the new one an id of its own",
                )
            )
    if faults:
        raise Conflict(faults)
    return News(tuple(new.values()), already)


def said_already(existing: Iterable[str], coming: Iterable[str]) -> frozenset[str]:
    """Ids of coming entries that say, word for word, what a log has under another id.

    So a table that was corrected in one row, and read again, adds that one row.
    """
    there: dict[str, set[str]] = {}
    for body in existing:
        entry = parse(body, "log")
        there.setdefault(_without(entry, _OWN), set()).add(entry["id"])
    found = set()
    for body in coming:
        entry = parse(body, "log")
        ids = there.get(_without(entry, _OWN))
        if ids and entry["id"] not in ids:
            found.add(entry["id"])
    return frozenset(found)


def chained(existing: Iterable[str], coming: Iterable[str], device: str) -> list[str]:
    """New entries as a device writes them: each names the one that it wrote before."""
    prev = last_of(existing, device)
    bodies = []
    for body in coming:
        entry = parse(body, "log") | {"device": device, "prev": prev}
        bodies.append(canonical({key: value for key, value in entry.items() if value is not None}))
        prev = entry_hash(bodies[-1])
    return bodies


def same_job(existing: Iterable[str], coming: Iterable[str]) -> bool:
    """Whether two logs are copies of one job: both were opened by the same entry, or one says
    nothing of being opened."""
    opened = [
        {e["id"] for e in (parse(b, "log") for b in bodies) if e["kind"] == "opened"}
        for bodies in (existing, coming)
    ]
    return not opened[0] or not opened[1] or bool(opened[0] & opened[1])
