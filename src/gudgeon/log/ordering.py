"""A log as a set: each entry once, in the order of time, without those that are struck out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from gudgeon.faults import Fault
from gudgeon.log.canon import moment
from gudgeon.log.codec import body_of
from gudgeon.log.entries import Entry, StrikeOut
from gudgeon.log.strikes import Strike, struck_by


def in_order(entries: Iterable[Entry]) -> tuple[list[Entry], list[Fault]]:
    """Each entry once, by time and id; of two that share an id, the one whose text comes first."""
    by_id: dict[str, Entry] = {}
    faults: list[Fault] = []
    for entry in entries:
        first = by_id.setdefault(entry.id, entry)
        if first is not entry and first != entry:
            by_id[entry.id] = min(first, entry, key=body_of)
            faults.append(
                Fault(entry.id, "two entries have this id, and differ", "give each its own")
            )
    return sorted(by_id.values(), key=lambda entry: (moment(entry.at), entry.id)), faults


def counting(every: Sequence[Entry]) -> tuple[dict[str, str], list[Entry], list[Fault]]:
    """What is struck out and why, the entries that count, and strike-outs that make no sense."""
    strikes = [entry for entry in every if isinstance(entry, StrikeOut)]
    struck, circle = struck_by(Strike(e.id, e.target, e.reason) for e in strikes)
    known = {entry.id for entry in every}
    faults = []
    for entry in strikes:
        if entry.target not in known:
            faults.append(
                Fault(entry.id, f"there is no entry '{entry.target}' to strike out", "check its id")
            )
        elif entry.id in circle:
            faults.append(
                Fault(entry.id, "strike-outs strike each other in a circle", "strike out one more")
            )
    left = [entry for entry in every if entry.id not in struck]
    return {key: why for key, why in struck.items() if key in known}, left, faults


def struck_already(entry: StrikeOut, there: Iterable[Entry]) -> bool:
    """Whether a strike-out that is not in a log yet would take out what is out already."""
    every = in_order(there)[0]
    return entry.id not in {other.id for other in every} and entry.target in counting(every)[0]
