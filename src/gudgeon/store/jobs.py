"""Jobs and the shop, read from a store and folded."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown
from gudgeon.store.interface import SHOP_LOG, Store

if TYPE_CHECKING:
    from gudgeon.log.job import Job, Shop


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


def load_job(store: Store, name: str) -> Job:
    """A job, folded.

    Raises:
        Unusable: there is no such job, or its log can't be read.
    """
    bodies = need_job(store, name)
    from gudgeon.log.codec import read_bodies
    from gudgeon.log.fold import fold

    shop = read_bodies(store.read(SHOP_LOG, ("stock", "reserve", "strike")), "the shop")
    return fold(name, read_bodies(bodies, name), shop)


def load_shop(store: Store, job: str | None = None) -> Shop:
    """The shop as one job sees it, or as nobody's job does.

    Raises:
        Unusable: its log can't be read.
    """
    from gudgeon.log.codec import read_bodies
    from gudgeon.log.foldshop import fold_shop

    return fold_shop(read_bodies(store.read(SHOP_LOG), "the shop"), job)
