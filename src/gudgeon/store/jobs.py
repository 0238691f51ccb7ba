"""The jobs of a shop, by name."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from typing import Final

from gudgeon.faults import Fault, Unusable
from gudgeon.log.peek import KINDS, engine_of
from gudgeon.numbers import shown
from gudgeon.store.interface import SHOP_LOG, Grown, Store

_NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")


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


def check_name(name: str) -> None:
    """Refuse a name that no job can have.

    Raises:
        Unusable: too long, or with characters that file names and labels have trouble with.
    """
    if not _NAME.fullmatch(name):
        raise Unusable(
            Fault(
                "NAME",
                f"{shown(name)} can't be the name of a job",
                "begin with a letter or digit, then up to 39 letters, digits and . _ -",
            )
        )


def open_log(store: Store, name: str, bodies: Sequence[str]) -> None:
    """Write the first entries of a job.

    Raises:
        Unusable: there is a job of that name.
    """
    try:
        store.append(name, bodies, expected=0)
    except Grown:
        raise Unusable(
            Fault("NAME", f"there is a job {shown(name)} already", "choose another name")
        ) from None
