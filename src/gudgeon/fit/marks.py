"""Strings of stamped marks: one mark for each place, read from a stated end."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

#: The mark that stands for no mark at all, where that is itself a code.
NO_MARK: Final = "-"
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—―−", NO_MARK))
_BREAKS = re.compile(r"[\s,;]+")


def tokens(text: str, count: int, where: str) -> tuple[str, ...]:
    """A string of marks, one for each place, in the order in which they are stamped.

    One character each, or separated by spaces or commas; a dash stands for no mark.

    Raises:
        Unusable: more or fewer marks than there are places.

    >>> tokens("ABBCA", 5, "code"), tokens("10, 9, –", 3, "code")
    (('A', 'B', 'B', 'C', 'A'), ('10', '9', '-'))
    """
    plain = text.strip().translate(_DASHES)
    pieces = _BREAKS.split(plain) if plain else []
    if len(pieces) == 1 and count > 1:
        pieces = list(plain)
    together = "".join(pieces)
    if len(pieces) != count and len(together) == count and "," not in plain:
        pieces = list(together)
    if len(pieces) != count or not all(pieces):
        read = " ".join(piece or "(nothing)" for piece in pieces)
        raise Unusable(
            Fault(
                where,
                f"{shown(text)} reads as {_counted(len(pieces))}: {read[:60] or 'none'}",
                f"there must be {count}, one for each place, with - where there is no mark",
            )
        )
    return tuple(pieces)


def placed(
    marks: Sequence[str], places: Sequence[str], reads_from: str | None, where: str
) -> dict[str, str]:
    """Place -> its mark, given the place whose mark is stamped first.

    Where the sheet does not say, the first place of the kind is taken.

    Raises:
        Unusable: the string is read from a place that is neither the first nor the last.

    >>> placed("213", ["main/1", "main/2", "main/3"], "3", "code")
    {'main/1': '3', 'main/2': '1', 'main/3': '2'}
    """
    ends = (places[0], places[-1])
    start = (reads_from or "").strip() or ends[0]
    named = [
        end
        for end, word in zip(ends, ("first", "last"), strict=True)
        if start in (end, end.partition("/")[2], word)
    ]
    if not named:
        names = " or ".join(dict.fromkeys(end.partition("/")[2] or end for end in ends))
        raise Unusable(
            Fault(
                where,
                f"the marks are read from place {shown(start)}, which is at neither end",
                f"reads-from: {names}",
            )
        )
    ordered = places if named[0] == places[0] else list(reversed(places))
    by_place = dict(zip(ordered, marks, strict=True))
    return {place: by_place[place] for place in places}


def known_mark(
    mark: str, known: Mapping[str, object], side: str, where: str, open_numbers: bool = False
) -> str:
    """The mark as the sheet writes it; capitals and small letters count as the same.

    Raises:
        Unusable: the sheet has no such mark; the known ones are named.
    """
    if mark in known:
        return mark
    alike = [name for name in known if name.casefold() == mark.casefold()]
    if len(alike) == 1:
        return alike[0]
    if open_numbers and mark.isascii() and mark.isdigit():
        return mark
    what = "no mark" if mark == NO_MARK else f"the mark {shown(mark)}"
    marks = ", ".join(known) or ("any whole number" if open_numbers else "none")
    raise Unusable(Fault(where, f"the sheet does not know {what} on the {side}", f"known: {marks}"))


def _counted(count: int) -> str:
    return "1 mark" if count == 1 else f"{count} marks"
