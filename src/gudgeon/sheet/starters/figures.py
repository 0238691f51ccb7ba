"""Lengths that a starter is given: checked, written so that YAML can't misread them, proved."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import NotANumber, read_length
from gudgeon.sheet.starters.rows import Choice

if TYPE_CHECKING:
    from gudgeon.sheet.model import Sheet

_PLAIN: Final = re.compile(r"(?:0|[1-9][0-9]*)(?:\.[0-9]+)?", re.ASCII)


def checked(text: str, unit: str, where: str) -> str:
    """A length as typed, without blanks around it; blank where nothing was typed.

    Raises:
        Unusable: it is no length; `where` says which one was meant.
    """
    plain = text.strip()
    if plain:
        try:
            read_length(plain, unit)
        except NotANumber as problem:
            raise problem.at(where) from None
    return plain


def written(text: str, unit: str = "mm") -> str:
    """A length as it stands in a sheet: as typed, in quotes where YAML could read it otherwise.

    A decimal comma ends an item of a list or a table in braces, so it must stand in quotes.

    Raises:
        Unusable: it is no length.

    >>> written("1.20"), written("1,20"), written("0.05 in"), written("")
    ('1.20', '"1,20"', '"0.05 in"', '')
    """
    plain = checked(text, unit, "length")
    if not plain or _PLAIN.fullmatch(plain):
        return plain
    return json.dumps(plain, ensure_ascii=False)


def prove(sheet: Sheet, choice: Choice) -> None:
    """See that a sheet made by a choice holds the figures that were typed, to the last digit.

    Raises:
        Unusable: it does not, or a series was typed in part.
    """
    if any(choice.series) and not all(choice.series):
        raise Unusable(
            Fault("series", "a series needs all three", "give the thinnest, the thickest, the step")
        )
    for where, typed, value in _held(sheet, choice):
        if typed and (value is None or value != read_length(typed, choice.unit)):
            raise Unusable(
                Fault(where, f"the sheet would not hold {typed}", "write it like 1.850 or 1,850")
            )


def _held(sheet: Sheet, choice: Choice) -> Iterator[tuple[str, str, float | None]]:
    """Where, as typed, as the sheet has it [mm]."""
    shims = sheet.select.shims
    window = shims.window if shims is not None else None
    for name, typed, limits in (
        ("in", choice.inlet, window.in_ if window else None),
        ("ex", choice.exhaust, window.ex if window else None),
    ):
        yield f"{name} min", typed[0], limits.min if limits else None
        yield f"{name} max", typed[1], limits.max if limits else None
    if choice.gear == "rocker-screw":
        return
    one = shims.series[0] if shims is not None and shims.series else None
    values = (one.from_, one.to, one.step) if one else (None, None, None)
    for name, text, value in zip(("from", "to", "step"), choice.series, values, strict=True):
        yield f"series {name}", text, value
