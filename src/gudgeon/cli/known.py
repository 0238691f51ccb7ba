"""The settings and instruments that some room makes use of, so that a slip of the pen shows."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown


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
