"""Strings of stamped marks, taken apart."""

from __future__ import annotations

import re

#: Stands for a place where nothing is stamped, or nothing can be read any more.
NO_MARK = "-"


def split_marks(text: str) -> tuple[str, ...]:
    """The marks of a string, in the order in which they are stamped.

    One character each; where marks are longer, spaces or commas stand between them.

    >>> split_marks("ABBA"), split_marks("1-2"), split_marks("12, 11 -")
    (('A', 'B', 'B', 'A'), ('1', '-', '2'), ('12', '11', '-'))
    """
    plain = text.strip()
    if re.search(r"[\s,;]", plain):
        return tuple(mark for mark in re.split(r"[\s,;]+", plain) if mark)
    return tuple(plain)
