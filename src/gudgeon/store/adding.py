"""Adding to a log: read it, decide with the core, append, and again if someone was quicker."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Final, NamedTuple

from gudgeon.faults import Fault, Unusable
from gudgeon.log.codec import read_bodies
from gudgeon.log.entries import Entry
from gudgeon.log.fold import fold
from gudgeon.log.foldshop import fold_shop
from gudgeon.log.job import Job
from gudgeon.log.merging import chained, news, said_already
from gudgeon.store.interface import SHOP_LOG, Grown, Store
from gudgeon.store.jobs import need_job

_TRIES: Final = 20


class Added(NamedTuple):
    """What adding did: entries stored; there already by id; said already under another id."""

    stored: int
    already: int
    repeated: int = 0


class Coming(NamedTuple):
    """Entries to add.

    Attributes:
        bodies: the entries. lines: id -> place to name in a fault.
        chain: whether this device chains them; rows of a table and imported entries come as are.
        once: whether what the log says already, under another id, is left out.
        excused: faults (id, what is wrong) that don't stand in the way.
    """

    bodies: Sequence[str]
    lines: Mapping[str, str] = {}
    chain: bool = True
    once: bool = False
    excused: frozenset[tuple[str, str]] = frozenset()


def now() -> str:
    """This moment, as entries carry it."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def new_id() -> str:
    """An id that nobody else makes."""
    return secrets.token_hex(8)


def device_name() -> str:
    """Which device writes: `GUDGEON_DEVICE`, else `bench`."""
    return os.environ.get("GUDGEON_DEVICE", "")[:60] or "bench"


def add_to_job(store: Store, name: str, make: Callable[[Job], Coming]) -> Added:
    """Add entries to a job that is there, all or none.

    Args:
        store: the shop.
        name: the job.
        make: the entries, from the job as it is.

    Raises:
        Unusable: there is no such job, or an entry makes no sense for it.
        Conflict: an id is there for something else.
    """

    def attempt() -> Added:
        existing = need_job(store, name)
        before = read_bodies(existing, name)
        job = fold(name, before)
        coming = make(job)
        new = news(existing, coming.bodies, coming.lines)
        repeated = frozenset[str]()
        if coming.once:
            counting = [b for b, e in zip(existing, before, strict=True) if e.id not in job.struck]
            repeated = said_already(counting, new.bodies)
        added = [(e, b) for e, b in _with_entries(new.bodies, name) if e.id not in repeated]
        after = fold(name, [*before, *(entry for entry, _ in added)])
        _refuse_new(job.faults, after.faults, coming)
        written = _written(existing, [body for _, body in added], coming.chain)
        stored = store.append(name, written, len(existing)).stored
        return Added(stored, new.already, len(repeated))

    return _trying(attempt)


def add_to_shop(store: Store, make: Callable[[tuple[Entry, ...]], Coming]) -> Added:
    """Add entries to the shop's log, all or none.

    Args:
        store: the shop.
        make: the entries, from those that are there.

    Raises:
        Unusable: an entry makes no sense, such as a reservation of what is spoken for.
        Conflict: an id is there for something else.
    """

    def attempt() -> Added:
        existing = store.read(SHOP_LOG)
        before = read_bodies(existing, "the shop")
        coming = make(tuple(before))
        new = news(existing, coming.bodies, coming.lines)
        after = [*before, *read_bodies(new.bodies, "the shop", "shop")]
        _refuse_new(fold_shop(before).faults, fold_shop(after).faults, coming)
        written = _written(existing, new.bodies, coming.chain)
        return Added(store.append(SHOP_LOG, written, len(existing)).stored, new.already)

    return _trying(attempt)


def _with_entries(bodies: Sequence[str], name: str) -> list[tuple[Entry, str]]:
    return list(zip(read_bodies(bodies, name, "job"), bodies, strict=True))


def _written(existing: Sequence[str], bodies: Sequence[str], chain: bool) -> list[str]:
    return chained(existing, bodies, device_name()) if chain else list(bodies)


def _refuse_new(before: Iterable[Fault], after: Iterable[Fault], coming: Coming) -> None:
    """Refuse entries that would bring a fault into the log.

    Raises:
        Unusable: each fault, at the place its entry came from.
    """
    known = {(fault.where, fault.wrong) for fault in before} | coming.excused
    new = [fault for fault in after if (fault.where, fault.wrong) not in known]
    if new:
        raise Unusable(Fault(coming.lines.get(f.where, f.where), f.wrong, f.right) for f in new)


def _trying(attempt: Callable[[], Added]) -> Added:
    """Try until nobody else wrote in between."""
    for _ in range(_TRIES):
        try:
            return attempt()
        except Grown:
            continue
    raise Unusable(Fault("shop", "others keep writing to this log", "try again in a moment"))
