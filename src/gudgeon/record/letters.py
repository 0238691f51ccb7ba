"""Which letters a record can print: what its faces hold, so that a PDF/A never lacks a glyph."""

from __future__ import annotations

import unicodedata
from typing import Final

#: Stands for a letter that can't be printed; the log keeps the text as typed.
STAND_IN: Final = "□"
#: Letters of B612, and of DejaVu Sans Mono where B612 has none: Latin, Greek, Cyrillic, some signs.
_RANGES: Final = (
    (0x20, 0x7E),
    (0xA1, 0xAC),
    (0xAE, 0xFF),
    (0x100, 0x17F),
    (0x391, 0x3A1),
    (0x3A3, 0x3A9),
    (0x3AC, 0x3CE),
    (0x400, 0x45F),
    (0x2013, 0x2014),
    (0x2018, 0x201A),
    (0x201C, 0x201E),
    (0x2190, 0x2193),
    (0x2212, 0x2212),
    (0x2264, 0x2265),
)
_MORE: Final = frozenset("•…‰€Δ√∞≈≠‹›□")
#: Signs that read the same as one a face holds.
_SAME: Final = str.maketrans(
    {
        "\t": " ",
        "\n": " ",
        "\r": " ",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\u2002": " ",
        "\u2003": " ",
        "\u2010": "-",
        "\u2011": "-",
        "\u2015": "—",
        "⌀": "Ø",
        "″": '"',
        "′": "'",
        "\u2126": "Ω",
        "\u212b": "Å",
    }
)


def _has(letter: str) -> bool:
    code = ord(letter)
    return letter in _MORE or any(low <= code <= high for low, high in _RANGES)


def printable(text: str, longest: int = 4000) -> str:
    """A text with every letter the record can print, and a stand-in for each it can't.

    Marks that print nothing (joiners, direction marks, controls) are left out; a text too long to
    print is cut and says so.

    >>> printable("Łódź 81,000 µm"), printable("中 ok")
    ('Łódź 81,000 µm', '□ ok')
    """
    plain = unicodedata.normalize("NFC", text.translate(_SAME))
    if len(plain) > longest:
        plain = plain[:longest] + " … (cut; the log holds all of it)"
    return "".join(
        letter if _has(letter) else STAND_IN
        for letter in plain
        if unicodedata.category(letter) not in {"Cc", "Cf", "Mn", "Me", "Cs"}
    )


def figure_text(text: str) -> str:
    """The text of a figure: as `printable`, short."""
    return printable(text, 120)
