"""The settings and instruments that some room makes use of, so that a slip of the pen shows."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

if TYPE_CHECKING:
    from gudgeon.sheet.model import Sheet
    from gudgeon.store.interface import Store

#: The group that shims of the drawer go by.
SHIM: Final = "shim"


def check_setting(name: str, value: str, *, job: bool = False) -> None:
    """Refuse a setting that nothing makes use of, or a value that can't be used.

    In a job, an answer to a question is a setting too.

    Raises:
        Unusable: there is none of that name; the nearest are named. Or its value is none.
    """
    from gudgeon.fit.settings import EVERY
    from gudgeon.metrology.answered import PREFIX

    if job and name.startswith(PREFIX):
        return
    _among(name, EVERY, "setting", "gudgeon shop setting lists them")
    fault = EVERY[name].fault(name, value)
    if fault is not None:
        raise Unusable(fault)


def check_kind(name: str) -> None:
    """Refuse a kind of instrument of which nothing is known.

    Raises:
        Unusable: there is none of that name.
    """
    from gudgeon.metrology.kinds import KINDS, kind_named

    if kind_named(name) is None:
        _among(name, KINDS, "kind of instrument", f"use one of {', '.join(KINDS)}")


def check_instrument_name(name: str, listed: Iterable[str]) -> None:
    """Refuse an instrument that the shop has not got; a kind stands for the only one of its sort.

    Raises:
        Unusable: there is none of that name; those in the shop's list are named.
    """
    from gudgeon.metrology.kinds import kind_named

    names = list(listed)
    if name in names or kind_named(name) is not None:
        return
    right = "add it with gudgeon shop instrument NAME KIND"
    if names:
        right = f"it has {', '.join(names[:12])}; gudgeon shop instrument adds another"
    raise Unusable(Fault("INSTRUMENT", f"the shop has no instrument {shown(name)}", right))


def check_group(name: str, store: Store) -> None:
    """Refuse pieces for a drawer that no engine of the shop could take.

    Shims are for any engine. Shells go by the name of their group in a sheet; a shop with no job
    has no sheet to tell by, and takes any name.

    Raises:
        Unusable: no sheet pinned in the shop has a group of that name.
    """
    from gudgeon.log.codec import read_bodies
    from gudgeon.log.entries import SheetPinned
    from gudgeon.sheet.load import load
    from gudgeon.store.jobs import job_names

    if name == SHIM:
        return
    texts = {
        entry.text: entry.file
        for job in job_names(store)
        for entry in read_bodies(store.read(job, ("sheet",)), job)
        if isinstance(entry, SheetPinned)
    }
    groups = {SHIM: None}
    for text, file in texts.items():
        try:
            groups |= dict.fromkeys(load(text, file).sheet.select.shells)
        except Unusable:
            continue  # the job itself says so
    if not texts or name in groups:
        return
    near = difflib.get_close_matches(name[:40], groups, 2, 0.5)
    right = f"did you mean {' or '.join(near)}?" if near else f"use {' or '.join(groups)}"
    raise Unusable(
        Fault(
            "GROUP",
            f"no sheet pinned in this shop has a group {shown(name)}",
            f"{right} (open a job with its sheet first where it is another engine's)",
        )
    )


def check_same_engine(pinned: Sheet, coming: Sheet, file: str) -> None:
    """Refuse a sheet that is no new version of the one a job is pinned to, but another engine's.

    Raises:
        Unusable: another name or code, another layout, other cylinders or valves.
    """
    pairs = [
        ("the engine's name", pinned.engine.name, coming.engine.name),
        ("its code", pinned.engine.code, coming.engine.code),
        ("its layout", pinned.engine.layout.kind, coming.engine.layout.kind),
    ]
    for kind, words in (("cylinder", "its cylinders"), ("valve", "its valves")):
        before, now = (len(sheet.layout.of(kind)) for sheet in (pinned, coming))
        pairs.append((words, str(before or ""), str(now or "")))
    differing = [
        f"{what} {shown(new)} against {shown(old)}"
        for what, old, new in pairs
        if old and new and old != new
    ]
    if differing:
        raise Unusable(
            Fault(
                file,
                f"this is the sheet of another engine than the job's: {', '.join(differing)}",
                "check the file, or add --anyway if it is the same engine after all",
            )
        )


def check_event(name: str) -> None:
    """Refuse an event that nothing is known to rest on.

    Raises:
        Unusable: there is none of that name; all are named.
    """
    from gudgeon.metrology.stale import EVENTS

    if name not in EVENTS:
        raise Unusable(
            Fault(
                "WHAT",
                f"there is no event {shown(name)}",
                f"use {', '.join(EVENTS)}; for anything else gudgeon job add NAME note",
            )
        )


def _among(name: str, known: Iterable[str], what: str, right: str) -> None:
    names = list(known)
    if name in names:
        return
    near = difflib.get_close_matches(name[:40], names, 2, 0.5)
    raise Unusable(
        Fault(
            what,
            f"there is no {what} {shown(name)}",
            f"did you mean {' or '.join(near)}?" if near else right,
        )
    )
