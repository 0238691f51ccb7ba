"""Strings of stamped marks: taken apart, counted, and laid to their places from a stated end."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final, Literal

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

#: Stands for a place where nothing is stamped, or nothing can be read any more; where the sheet
#: lists it, for a mark like any other.
NO_MARK: Final = "-"
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—―−", NO_MARK))
_BREAKS = re.compile(r"[\s,;]+")


def split_marks(text: str, count: int, where: str) -> tuple[str, ...]:
    """The marks of a string for `count` places, in the order in which they are stamped.

    One character each; where marks are longer, spaces or commas stand between them.

    Raises:
        Unusable: more or fewer marks than there are places.

    >>> split_marks("ABBCA", 5, "code"), split_marks("10, 9, –", 3, "code")
    (('A', 'B', 'B', 'C', 'A'), ('10', '9', '-'))
    """
    plain = text.strip().translate(_DASHES)
    pieces = [piece for piece in _BREAKS.split(plain) if piece]
    if len(pieces) == 1 and count > 1:
        pieces = list(plain)
    together = "".join(pieces)
    if len(pieces) != count and len(together) == count and not re.search("[,;]", plain):
        pieces = list(together)
    if len(pieces) != count:
        raise Unusable(
            Fault(
                where,
                f"{shown(text)} has {_counted(len(pieces), 'mark')} for {_counted(count, 'place')}",
                "give one character for each place, - where there is none, or put spaces between"
                " longer marks",
            )
        )
    return tuple(pieces)


def laid_out(
    text: str, places: Sequence[str], reads_from: str | None, where: str
) -> dict[str, str]:
    """Place -> its mark, given the place whose mark is stamped first.

    Where the sheet does not say (`reads_from` is None), the first place of the kind is taken.

    Raises:
        Unusable: more or fewer marks than places, or a string that begins at neither end.

    >>> laid_out("213", ["main/1", "main/2", "main/3"], "3", "code")
    {'main/1': '3', 'main/2': '1', 'main/3': '2'}
    """
    marks = split_marks(text, len(places), where)
    if reads_from is not None and reading_end(reads_from, places) == "last":
        marks = marks[::-1]
    elif reads_from is not None and reading_end(reads_from, places) is None:
        raise Unusable(Fault(where, *no_end(reads_from, places)))
    return dict(zip(places, marks, strict=True))


def reading_end(reads_from: str, places: Sequence[str]) -> Literal["first", "last"] | None:
    """Which of the places a string begins at: the first, the last, or none that it can.

    >>> reading_end("main/3", ["main/1", "main/2", "main/3"])
    'last'
    """
    start = reads_from.strip()
    if not places:
        return None
    if start in _names(places[0]):
        return "first"
    return "last" if start in _names(places[-1]) else None


def no_end(reads_from: str, places: Sequence[str]) -> tuple[str, str]:
    """What is wrong with a string that begins in the middle, and what would be right."""
    ends = dict.fromkeys(_names(place)[-1] for place in (*places[:1], *places[-1:]))
    return (
        f"a string of marks can't begin at {shown(reads_from)}",
        f"write the place whose mark is stamped first, {' or '.join(ends)}",
    )


def known_mark(
    mark: str, known: Mapping[str, object], side: str, where: str, open_numbers: bool = False
) -> str:
    """The mark as the sheet writes it; capitals and small letters count as the same.

    Args:
        mark: as stamped. known: the sheet's marks of that side. side: case or crank.
        where: the place to name. open_numbers: whether any whole number is a mark.

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
    right = f"it has {', '.join(known) or 'none'}"
    if open_numbers and not known:
        right = "it takes any whole number"
    if mark == NO_MARK:
        raise Unusable(
            Fault(where, f"no mark on the {side}, for which the sheet has no word", right)
        )
    wrong = f"the sheet has no {side} mark {shown(mark)}"
    raise Unusable(Fault(where, wrong, f"{right}; put - where a mark can't be read"))


def _names(place: str) -> tuple[str, str]:
    """The ways a sheet may name a place: its address, or the last part of it."""
    return place, place.partition("/")[2] or place


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
