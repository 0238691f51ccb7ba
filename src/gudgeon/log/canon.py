"""Entries as bytes: one way to write each, its hash, the chain of each device, strict reading.

An entry is one JSON object. Its body, the text that is stored, exported and hashed, has sorted
keys and no spaces, so that equal entries are equal byte for byte.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

#: Longest entry that is read [characters]: a whole sheet of 1 MiB, every character escaped.
LONGEST: Final = 8 * 1024 * 1024
_SURROGATE: Final = re.compile(r"\\u[dD][89abAB][0-9a-fA-F]{2}|[\ud800-\udfff]")


class _Refused(ValueError):
    """What JSON allows and an entry doesn't; carries what would be right."""

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(wrong)
        self.wrong = wrong
        self.right = right


def canonical(entry: Mapping[str, Any]) -> str:
    """The one text of an entry: keys sorted, no spaces, nothing escaped that need not be.

    >>> canonical({"kind": "note", "id": "n1", "text": "0,02 µm"})
    '{"id":"n1","kind":"note","text":"0,02 µm"}'
    """
    return json.dumps(
        entry, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )


def entry_hash(body: str) -> str:
    """SHA-256 of an entry's body, in hexadecimal.

    >>> entry_hash('{"id":"n1"}')[:12]
    'd7d348730582'
    """
    return hashlib.sha256(body.encode("utf-8")).hexdigest()


def parse(text: str, where: str) -> dict[str, Any]:
    """One JSON object, read strictly.

    Raises:
        Unusable: not an object, a key twice, a number that is none or too long, text that is no
            Unicode, too long or too deep.

    >>> parse('{"id": "n1"}', "log:1")
    {'id': 'n1'}
    """
    if len(text) > LONGEST:
        raise Unusable(Fault(where, "an entry of more than 8 MB", "check that this is a log"))
    try:
        value = json.loads(
            text,
            object_pairs_hook=_pairs,
            parse_constant=_constant,
            parse_int=_whole,
            parse_float=_fraction,
        )
        if _SURROGATE.search(text):
            canonical({"": value}).encode("utf-8")
    except _Refused as problem:
        raise Unusable(Fault(where, problem.wrong, problem.right)) from None
    except RecursionError:
        raise Unusable(Fault(where, "brackets too deep", "write one entry a line")) from None
    except UnicodeEncodeError:
        raise Unusable(
            Fault(where, "half a character (a lone surrogate)", "write the text anew")
        ) from None
    except json.JSONDecodeError as problem:
        raise Unusable(_broken(where, text, problem)) from None
    if not isinstance(value, dict):
        raise Unusable(
            Fault(where, f"{shown(text.strip())} is not an entry", "write one {...} a line")
        )
    return value


def _broken(where: str, text: str, problem: json.JSONDecodeError) -> Fault:
    """Where a line stops being JSON; a line without its end was cut off."""
    if not text.rstrip().endswith("}") and problem.pos >= len(text.rstrip()) - 1:
        return Fault(where, "the line is cut off", "copy or export the file again")
    if problem.msg.startswith("Unterminated string") and not text.rstrip().endswith("}"):
        return Fault(where, "the line is cut off", "copy or export the file again")
    return Fault(
        f"{where}:{problem.pos + 1}",
        f"this is not JSON ({problem.msg})",
        'write one entry a line, like {"kind":"note","id":"n1",...}',
    )


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    value = dict(pairs)
    if len(value) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise _Refused(f"the key {shown(twice)} stands twice", "keep one of them")
    return value


def _constant(text: str) -> Any:
    raise _Refused(f"{shown(text)} is not a number", "give a number as text, as it was typed")


def _whole(text: str) -> int:
    if len(text) > 15:
        raise _Refused(f"{shown(text)} is far too large", "check the digits")
    return int(text)


def _fraction(text: str) -> float:
    if len(text) > 30 or abs(float(text)) > 1e15:
        raise _Refused(f"{shown(text)} is far too large", "check the digits")
    return float(text)


def moment(at: str) -> float:
    """Seconds since 1970 of a time with its offset, so that times of any zone compare.

    Raises:
        ValueError: no such day, hour or offset.

    >>> moment("2026-03-01T14:05:00+02:00") == moment("2026-03-01T12:05:00Z")
    True
    """
    return datetime.fromisoformat(at).timestamp()


def order_of(entry: Mapping[str, Any]) -> tuple[float, str]:
    """The place of an entry in its log: by time, then by id."""
    return moment(entry["at"]), entry["id"]


def reading_order(at: str, key: str) -> tuple[float, str, int]:
    """The place of an entry where a person reads the log: rows of one table by their number.

    >>> sorted(["t-10", "t-9", "t-1"], key=lambda key: reading_order("2026-03-01T14:05:00Z", key))
    ['t-1', 't-9', 't-10']
    """
    stem = key.rstrip("0123456789")
    digits = key[len(stem) :]
    return (
        (moment(at), stem, int(digits)) if stem.endswith("-") and digits else (moment(at), key, 0)
    )


def tips(bodies: Iterable[str]) -> frozenset[str]:
    """Hashes of the entries that no other entry names as the one before it."""
    hashes, named = set(), set()
    for body in bodies:
        hashes.add(entry_hash(body))
        named.add(json.loads(body).get("prev"))
    return frozenset(hashes - named)


def last_of(bodies: Iterable[str], device: str) -> str | None:
    """Hash of the entry a device wrote last in a log: what its next entry names as `prev`.

    An end of a chain goes before an entry that stands alone, such as one written by hand.
    """
    own = {entry_hash(body): json.loads(body) for body in bodies if f'"{device}"' in body}
    own = {key: entry for key, entry in own.items() if entry["device"] == device}
    named = {entry.get("prev") for entry in own.values()}
    ends = [key for key in own if key not in named]
    return max(ends, key=lambda key: ("prev" in own[key], *order_of(own[key])), default=None)


def check_chain(bodies: Iterable[str]) -> tuple[Fault, ...]:
    """What is missing from, or was altered in, the chains of a log.

    Two entries may name the same one before them: two copies of a log were written to and then
    merged. An entry that nothing follows can't be judged; its store, or the header of its export,
    vouches for it.
    """
    entries = {entry_hash(body): json.loads(body) for body in bodies}
    faults = []
    for entry in sorted(entries.values(), key=order_of):
        prev = entry.get("prev")
        if prev is None:
            continue
        before = entries.get(prev)
        if before is None:
            faults.append(
                Fault(
                    entry["id"],
                    f"the entry that {shown(entry['device'])} wrote before this one is missing, or"
                    " was altered",
                    "merge a copy of the log that still has it",
                )
            )
        elif before["device"] != entry["device"]:
            faults.append(
                Fault(
                    entry["id"],
                    f"names an entry of {shown(before['device'])} as the one before it",
                    "each device chains its own entries",
                )
            )
    return tuple(faults)
