"""The jobs of a shop, by name."""

from __future__ import annotations

import difflib

from gudgeon.faults import Fault, Unusable
from gudgeon.log.peek import KINDS, engine_of
from gudgeon.numbers import shown
from gudgeon.store.interface import SHOP_LOG, Store


def job_names(store: Store) -> tuple[str, ...]:
    """Names of the jobs of a shop, sorted.

    Raises:
        Unusable: the store can't be read.
    """
    return tuple(name for name in store.logs() if name != SHOP_LOG)


def need_job(store: Store, name: str) -> tuple[str, ...]:
    """The entries of a job that is there.

    Raises:
        Unusable: there is no such job; the nearest ones are named.
    """
    bodies = store.read(name) if name != SHOP_LOG else ()
    if not bodies:
        known = job_names(store)
        near = difflib.get_close_matches(name[:60], known, 3, 0.5) or known[:5]
        right = f"there is {', '.join(near)}" if near else "open it with gudgeon job new"
        raise Unusable(Fault("JOB", f"there is no job {shown(name)} in this shop", right))
    return bodies


def engines(store: Store) -> list[tuple[str, str]]:
    """Each job with the name of its engine, sorted by job; nothing else of the logs is read.

    Raises:
        Unusable: the store can't be read.
    """
    return [(name, engine_of(store.read(name, KINDS))) for name in job_names(store)]
