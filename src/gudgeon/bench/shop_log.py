"""Entries of the shop's log that the bench writes: pieces put into the drawer, pieces kept for a
job, and strike-outs of either."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.log.codec import body_of, entry_from
from gudgeon.log.entries import Reserve
from gudgeon.store.adding import Coming, add_to_shop
from gudgeon.store.jobs import need_job

if TYPE_CHECKING:
    from gudgeon.log.entries import Entry
    from gudgeon.store.interface import Store

#: What may be written from the bench; instruments and settings are set up at the main computer.
KINDS: Final = ("stock", "reserve", "strike")


def keep_in_shop(store: Store, sent: dict[str, Any], device: str) -> bool:
    """Put an entry into the shop's log; whether it is new. It is on the disk when this returns.

    Args:
        store: the shop. sent: the entry's fields. device: name of who writes.

    Raises:
        Unusable: it is no such entry, or makes no sense, as a reservation of what is spoken for.
        Conflict: its id stands for something else.
    """
    where = str(sent.get("id", "entry"))
    fields = {key: value for key, value in sent.items() if key not in ("device", "prev")}
    entry = entry_from({**fields, "device": device}, where, "shop")
    kind = str(getattr(entry, "kind", ""))
    if kind not in KINDS:
        wrong = f"the bench does not write entries of kind {kind} into the shop's log"
        raise Unusable(Fault(where, wrong, "use gudgeon shop on the main computer"))
    if isinstance(entry, Reserve):
        need_job(store, entry.job)
    body = body_of(entry)

    def make(there: tuple[Entry, ...]) -> Coming:
        return Coming([body], {entry.id: where}, chain=False)

    return add_to_shop(store, make).stored > 0
