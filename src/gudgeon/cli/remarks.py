"""Notes on what was stored and can't be put to full use as things stand; on standard error."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

import click

from gudgeon.numbers import shown

if TYPE_CHECKING:
    from gudgeon.log.entries import Entry
    from gudgeon.sheet.model import Sheet
    from gudgeon.store.interface import Store

#: Places named one by one in a note.
_MOST = 4


def say_remarks(
    entries: Sequence[Entry], store: Store, job: str = "", sheet: Sheet | None = None
) -> None:
    """Say on standard error what there is to say about entries that were just stored."""
    for note in (*_marks(entries, job, sheet), *_instruments(entries, store)):
        click.echo(f"note: {note}", err=True)


def _marks(entries: Iterable[Entry], job: str, sheet: Sheet | None) -> Iterator[str]:
    """Shims known by their mark alone, where the sheet does not say what a mark means."""
    from gudgeon.log.entries import ShimFitted

    if sheet is None or sheet.select.shims is None or sheet.select.shims.marking is not None:
        return
    marked = (e for e in entries if isinstance(e, ShimFitted) and e.mark and e.typed is None)
    places = list(dict.fromkeys(entry.place for entry in marked))
    if places:
        more = f" and {len(places) - _MOST} more" if len(places) > _MOST else ""
        yield (
            f"{', '.join(places[:_MOST])}{more}: the mark is stored, but the sheet doesn't say what"
            " marks mean: fill in select: shims: marking and pin the sheet again (gudgeon job add"
            f" {job} sheet FILE), or enter the thickness"
        )


def _instruments(entries: Iterable[Entry], store: Store) -> Iterator[str]:
    """Instruments that are neither the shop's own nor a kind."""
    from gudgeon.metrology.kinds import kind_named

    named = dict.fromkeys(name for entry in entries if (name := getattr(entry, "instrument", None)))
    unknown = [name for name in named if kind_named(name) is None]
    if not unknown:
        return
    known = instruments_of(store)
    for name in unknown:
        if name not in known:
            near = difflib.get_close_matches(name[:40], known, 1, 0.5)
            hint = f" (did you mean {near[0]}?)" if near else ""
            yield (
                f"instrument {shown(name)} is not in the shop's list{hint}: stored, and taken as"
                " the usual one for such a reading; gudgeon shop instrument adds it"
            )


def instruments_of(store: Store) -> list[str]:
    """The names in the shop's list of instruments."""
    from gudgeon.log.codec import read_bodies
    from gudgeon.log.foldshop import fold_shop
    from gudgeon.store.interface import SHOP_LOG

    bodies = store.read(SHOP_LOG, ("instrument", "strike"))
    return list(fold_shop(read_bodies(bodies, "the shop")).instruments)
