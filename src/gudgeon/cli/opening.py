"""Opening a job of a shop, for the commands that compute from it."""

from __future__ import annotations

import difflib

from gudgeon.faults import Fault, Unusable
from gudgeon.log.codec import read_bodies
from gudgeon.log.fold import fold, fold_shop
from gudgeon.log.job import Job, Shop
from gudgeon.store.folder import find_shop
from gudgeon.store.interface import SHOP_LOG


def open_job(name: str, shop: str | None) -> tuple[Job, Shop]:
    """The job of that name and the shop it belongs to, as their logs say.

    Raises:
        Unusable: there is no such job (the nearest are named), or its log can't be read.
    """
    store = find_shop(shop, there=True)
    jobs = [log for log in store.logs() if log != SHOP_LOG]
    if name not in jobs:
        near = difflib.get_close_matches(name, jobs, 3) or jobs[:5]
        right = f"this shop has {', '.join(near)}" if near else "open one with gudgeon job new"
        raise Unusable(Fault("JOB", f"there is no job '{name[:60]}'", right))
    shared = read_bodies(store.read(SHOP_LOG), "the shop", "shop")
    entries = read_bodies(store.read(name), name, "job")
    return fold(name, entries, shared), fold_shop(shared, name)
