"""Standard tolerance classes for sizes over 3 mm up to and including 120 mm.

A limit in a sheet may be stated as a class, "36 H7", where the manual states it so.

The numbers are those of ISO 286-1:2010 and ISO 286-2:2010 [1]_ as secondary sources give them; the
standard itself was not seen. The deviations of m, n, p, r and s agree with a textbook's table [2]_;
everything but r is compared cell by cell with an independent compilation in tests/outside.

References
----------
.. [1] ISO 286-1:2010 and ISO 286-2:2010, ISO code system for tolerances on linear sizes.
.. [2] Machine Drawing (engineering textbook), Table 15.2, pp. 215-216.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from gudgeon.numbers import NotANumber, read_decimal, shown

BANDS = (3, 6, 10, 18, 30, 50, 80, 120)
"""Ends of the size bands [mm], each "over ... up to and including"."""

GRADES: dict[int, tuple[int, ...]] = {
    5: (5, 6, 8, 9, 11, 13, 15),
    6: (8, 9, 11, 13, 16, 19, 22),
    7: (12, 15, 18, 21, 25, 30, 35),
    8: (18, 22, 27, 33, 39, 46, 54),
}
"""Standard tolerance [µm] by grade and band."""

UPPER_DEVIATIONS: dict[str, tuple[int, ...]] = {
    "f": (-10, -13, -16, -20, -25, -30, -36),
    "g": (-4, -5, -6, -7, -9, -10, -12),
    "h": (0, 0, 0, 0, 0, 0, 0),
}
"""Upper deviation es [µm] of the shafts that stand below the nominal size."""

LOWER_DEVIATIONS: dict[str, tuple[int, ...]] = {
    "k": (1, 1, 1, 2, 2, 2, 3),
    "m": (4, 6, 7, 8, 9, 11, 13),
    "n": (8, 10, 12, 15, 17, 20, 23),
    "p": (12, 15, 18, 22, 26, 32, 37),
}
"""Lower deviation ei [µm] of the shafts that stand above it; k holds for grades up to 7."""

FINE_BANDS = (3, 6, 10, 18, 30, 50, 65, 80, 100, 120)
FINE_DEVIATIONS: dict[str, tuple[int, ...]] = {
    "r": (15, 19, 23, 28, 34, 41, 43, 51, 54),
    "s": (19, 23, 28, 35, 43, 53, 59, 71, 79),
}
"""Lower deviation ei [µm] of the shafts whose bands are divided."""

LETTERS = ("H", *UPPER_DEVIATIONS, "js", *LOWER_DEVIATIONS, *FINE_DEVIATIONS)

_CLASS = re.compile(r"\s*[ØøDd⌀]?\s*([0-9][0-9.,]*)\s*(?:mm)?\s*([A-Za-z]{1,2})\s*([0-9]{1,2})\s*")
_FIT = re.compile(r"(.*[0-9])\s*/\s*([A-Za-z]{1,2}\s*[0-9]{1,2})\s*")


class Limits(NamedTuple):
    """Smallest and largest size allowed [mm]."""

    lower: float
    upper: float


def standard_tolerance(size: float, grade: int) -> int:
    """Width of a tolerance grade [µm] for a nominal `size` [mm].

    Raises ValueError outside grades 5 to 8 or sizes over 3 to 120 mm.

    >>> standard_tolerance(30.0, 7), standard_tolerance(30.001, 7)
    (21, 25)
    """
    if grade not in GRADES:
        raise ValueError(f"grade {grade} is not in the table, which holds grades 5 to 8")
    return GRADES[grade][_band(size, BANDS)]


def deviations(size: float, letter: str, grade: int) -> tuple[Decimal, Decimal]:
    """Lower and upper deviation [µm] of a class such as H7 or g6 for a nominal `size` [mm].

    Raises ValueError for a letter, grade or size the table does not hold.

    >>> deviations(25.0, "g", 6)
    (Decimal('-20'), Decimal('-7'))
    """
    width = Decimal(standard_tolerance(size, grade))
    if letter == "H":
        return Decimal(0), width
    if letter == "js":
        return -width / 2, width / 2
    if letter in UPPER_DEVIATIONS:
        upper = Decimal(UPPER_DEVIATIONS[letter][_band(size, BANDS)])
        return upper - width, upper
    if letter in LOWER_DEVIATIONS:
        lower = 0 if letter == "k" and grade > 7 else LOWER_DEVIATIONS[letter][_band(size, BANDS)]
        return Decimal(lower), lower + width
    if letter in FINE_DEVIATIONS:
        lower = FINE_DEVIATIONS[letter][_band(size, FINE_BANDS)]
        return Decimal(lower), lower + width
    raise ValueError(f"letter {letter!r} is not in the table, which holds {', '.join(LETTERS)}")


def limits(text: str) -> Limits:
    """The limits [mm] of a size stated as a class: "36 H7", "Ø36 h6", "40,5 g6".

    A capital letter is a hole, a small one a shaft. Raises NotANumber (a ValueError) with what
    would be right.

    >>> limits("36 H7")
    Limits(lower=36.0, upper=36.025)
    """
    match = _CLASS.fullmatch(text) if len(text) <= 40 else None
    if match is None:
        raise NotANumber(f"{shown(text)} is not a tolerance class", "write it like 36 H7")
    size = read_decimal(match[1])
    try:
        lower, upper = deviations(float(size), match[2], int(match[3]))
    except ValueError as error:
        raise NotANumber(
            f"{shown(text)}: {error}", "give the limits as numbers from the manual"
        ) from error
    return Limits(float(size + lower / 1000), float(size + upper / 1000))


def clearance(text: str) -> Limits:
    """Least and greatest clearance [mm] of a fit such as "25 H7/g6"; below 0 is interference.

    Raises NotANumber with what would be right.

    >>> clearance("25 H7/g6")
    Limits(lower=0.007, upper=0.041)
    """
    match = _FIT.fullmatch(text) if len(text) <= 40 else None
    first = _CLASS.fullmatch(match[1]) if match else None
    if match is None or first is None or first[2] != "H":
        raise NotANumber(f"{shown(text)} is not a fit on an H hole", "write it like 25 H7/g6")
    hole, shaft = limits(match[1]), limits(f"{first[1]} {match[2]}")
    # Differences of sizes near 25 mm carry rounding in the 16th figure; a picometre has none.
    return Limits(round(hole.lower - shaft.upper, 9), round(hole.upper - shaft.lower, 9))


def _band(size: float, ends: tuple[int, ...]) -> int:
    for index, end in enumerate(ends[1:]):
        if ends[0] < size <= end:
            return index
    raise ValueError(f"size {size:g} mm is not in the table, which holds over 3 to 120 mm")
