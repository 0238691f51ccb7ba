"""A log as a file of JSON Lines: a header, then one entry a line in its one way of writing.

    {"entries":2,"gudgeon":"log","job":"triple","tips":["9f…"],"version":1}
    {"at":"2026-03-01T14:05:00Z","device":"bench","id":"o1","kind":"opened","title":""}
    {"at":"2026-03-01T14:06:00Z", …}

`tips` are the hashes of the entries that no other names as the one before it; with `prev` they
vouch for every line, so that a changed one is found and named. A file written by hand may leave
out `job`, `entries` and `tips`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.log.canon import canonical, check_chain, entry_hash, order_of, parse, tips
from gudgeon.log.codec import body_of, try_entry
from gudgeon.numbers import shown

VERSION: Final = 1
#: Most faults that are named; a file with more is another file.
MOST_FAULTS: Final = 50
#: Most lines that are read.
MOST_LINES: Final = 200_000
_KEYS: Final = frozenset(("gudgeon", "version", "job", "entries", "tips"))
_HEADER: Final = '{"gudgeon":"log","version":1}'


@dataclass(frozen=True, slots=True)
class Imported:
    """What a file of JSON Lines holds.

    Attributes:
        job: the job's name in the shop it came from, if the header names it.
        bodies: the entries, in the order of the file.
        lines: id of each entry -> its line.
        sealed: whether the file vouches for every line: an export, not written by hand.
    """

    job: str | None
    bodies: tuple[str, ...]
    lines: Mapping[str, int]
    sealed: bool


def export_log(job: str, bodies: Iterable[str]) -> str:
    """The text of a log's file: the same entries give the same bytes, in whatever order.

    >>> print(export_log("triple", []), end="")
    {"entries":0,"gudgeon":"log","job":"triple","tips":[],"version":1}
    """
    ordered = sorted(bodies, key=lambda body: order_of(parse(body, "log")))
    header = {
        "gudgeon": "log",
        "version": VERSION,
        "job": job,
        "entries": len(ordered),
        "tips": sorted(tips(ordered)),
    }
    return "".join(f"{line}\n" for line in (canonical(header), *ordered))


def import_log(text: str, file: str, of: str = "job") -> Imported:
    """The entries of a file of JSON Lines, all or none.

    Args:
        text: the file's text.
        file: its name, for faults.
        of: the log it is for, `job` or `shop`.

    Raises:
        Unusable: the header is wrong, a line is cut off, altered or no entry; each with its line.
    """
    lines = text.split("\n")
    if len(lines) > MOST_LINES:
        raise Unusable(Fault(file, f"more than {MOST_LINES:,} lines", "check that this is a log"))
    header = _header(lines[0], f"{file}:1")
    reader = _Reader(file, of, sealed="tips" in header)
    for number, line in enumerate(lines[1:], 2):
        reader.line(number, line.removesuffix("\r"))
        if len(reader.faults) >= MOST_FAULTS:
            break
    else:
        reader.finish(header)
    if reader.faults:
        raise Unusable(reader.faults)
    bodies = {key: body for _, key, body in reversed(reader.rows)}
    lines_of = {key: number for number, key, _ in reversed(reader.rows)}
    in_turn = sorted(bodies, key=lines_of.__getitem__)
    return Imported(
        header.get("job"), tuple(bodies[key] for key in in_turn), lines_of, reader.sealed
    )


class _Reader:
    """Collects the entries and the faults of a file."""

    def __init__(self, file: str, of: str, sealed: bool) -> None:
        self.file = file
        self.of = of
        self.sealed = sealed
        self.rows: list[tuple[int, str, str]] = []  # line, id, body
        self.faults: list[Fault] = []

    def line(self, number: int, line: str) -> None:
        """One line after the header; a blank one says nothing."""
        if not line.strip():
            return
        where = f"{self.file}:{number}"
        try:
            data = parse(line, where)
        except Unusable as refused:
            self.faults += refused.faults
            return
        if self.sealed and canonical(data) != line:
            self.faults.append(_altered(where))
            return
        entry, problems = try_entry(data, self.of)
        if entry is None:
            self.faults += [Fault(where, item.wrong, item.right) for item in problems]
            return
        self.rows.append((number, entry.id, line if self.sealed else body_of(entry)))

    def finish(self, header: Mapping[str, Any]) -> None:
        """What can only be judged when all lines are read."""
        if not self.faults:
            self.faults += _missing(header, self.rows, self.file)
        if not self.faults:
            self.faults += self.clashes()

    def clashes(self) -> Iterator[Fault]:
        """Ids that stand for two things; the same line twice is one."""
        first: dict[str, tuple[int, str]] = {}
        for number, key, body in self.rows:
            before, text = first.setdefault(key, (number, body))
            if text != body:
                yield Fault(
                    f"{self.file}:{number}",
                    f"the id {shown(key)} is on line {before} already, for something else",
                    "give each entry an id of its own",
                )


def _altered(where: str) -> Fault:
    return Fault(
        where,
        "the line was altered after the export",
        "export the log again, and correct an entry by striking it out",
    )


def _header(line: str, where: str) -> dict[str, Any]:
    """The first line, which says what the file is."""
    right = f"the first line of a log is {_HEADER}"
    try:
        header = parse(line.removeprefix("\ufeff"), where)
    except Unusable:
        raise Unusable(Fault(where, "the header of a log is missing", right)) from None
    if header.get("gudgeon") != "log":
        raise Unusable(Fault(where, "the header of a log is missing", right))
    version = header.get("version")
    if type(version) is not int or version < 1:
        raise Unusable(Fault(where, f"version {shown(version)} is no version of a log", right))
    if version > VERSION:
        raise Unusable(
            Fault(
                where,
                f"version {version} of a log, written by a newer gudgeon",
                f"install it; this one reads version {VERSION}",
            )
        )
    for key in header:
        if key not in _KEYS:
            raise Unusable(Fault(where, f"the header has no {shown(key)}", right))
    if not _sound(header):
        raise Unusable(
            Fault(where, "job, entries or tips of the header can't be read", "export the log again")
        )
    return header


def _sound(header: Mapping[str, Any]) -> bool:
    ends = header.get("tips", [])
    return (
        isinstance(header.get("job", ""), str)
        and type(header.get("entries", 0)) is int
        and isinstance(ends, list)
        and all(isinstance(end, str) for end in ends)
    )


def _missing(
    header: Mapping[str, Any], rows: Sequence[tuple[int, str, str]], file: str
) -> Iterator[Fault]:
    """Lines that are not as the header and the chains say: altered, or not there."""
    promised = header.get("entries", len(rows))
    if promised != len(rows):
        yield Fault(
            f"{file}:{rows[-1][0] if rows else 1}",
            f"the header promises {promised} entries, and there {_are(len(rows))}",
            "lines are missing: copy or export the file again"
            if promised > len(rows)
            else "take out the lines that were added",
        )
        lines = {key: number for number, key, _ in rows}
        for fault in check_chain(body for _, _, body in rows):
            yield Fault(f"{file}:{lines[fault.where]}", fault.wrong, fault.right)
        return
    if "tips" not in header:
        return
    hashes = {number: entry_hash(body) for number, _, body in rows}
    vouched = {*header["tips"], *(parse(body, file).get("prev") for _, _, body in rows)}
    strange = [number for number, digest in hashes.items() if digest not in vouched]
    for number in strange:
        yield _altered(f"{file}:{number}")
    if not strange and not set(header["tips"]) <= set(hashes.values()):
        yield Fault(f"{file}:1", "the header was altered after the export", "export the log again")


def _are(count: int) -> str:
    return "is 1" if count == 1 else f"are {count}"
