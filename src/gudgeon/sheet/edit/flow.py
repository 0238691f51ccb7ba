"""Values as YAML in one line, so that they are read back exactly as they were given."""

from __future__ import annotations

import json
import re
from typing import Any, Final

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown
from gudgeon.sheet.yamltext import read_yaml

#: Texts that mean the same within brackets and without, unquoted.
_PLAIN: Final = re.compile(r"[^\W_][^\n\r\t,\[\]{}#:\"'&*!|>%@`\\]*|[+.-][0-9][0-9.]*", re.UNICODE)
_BLANKS: Final = frozenset(("", "~", "null", "Null", "NULL"))


def one_line(value: Any) -> str:
    """A value as YAML in one line; nothing is `~`.

    >>> one_line({"A": ["36.000", "36.006"], "note": "read: twice", "b": None})
    '{A: [36.000, 36.006], note: "read: twice", b: ~}'
    """
    if value is None:
        return "~"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{word(str(k))}: {one_line(v)}" for k, v in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(one_line(item) for item in value) + "]"
    return word(str(value))


def word(text: str) -> str:
    """A text as a scalar: as it stands where that is safe, else in double quotes.

    >>> word("1.417 in"), word("p. 3-21"), word("~"), word("a: b"), word("-0.03")
    ('1.417 in', 'p. 3-21', '"~"', '"a: b"', '-0.03')
    """
    plain = _PLAIN.fullmatch(text) is not None and text == text.strip()
    return text if plain and text not in _BLANKS else json.dumps(text, ensure_ascii=False)


def from_line(text: str, where: str) -> Any:
    """What a person typed as YAML in one line; nothing is None.

    Raises:
        Unusable: it is no YAML.
    """
    return read_yaml(text, where).value if text.strip() else None


def clean(text: str, where: str) -> str:
    """A text as typed into a field, without what no sheet holds.

    Raises:
        Unusable: it has characters that move a cursor or can't be printed.
    """
    text = text.replace("\r\n", "\n").strip()
    if not all(character.isprintable() or character == "\n" for character in text):
        raise Unusable(
            Fault(where, f"{shown(text)} has characters that no sheet holds", "type it anew")
        )
    return text
