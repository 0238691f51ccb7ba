"""How a record writes numbers, limits and places."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Final

from gudgeon.sheet.base import Limits
from gudgeon.sheet.places import Places

_ADDRESS: Final = re.compile(r"\b[A-Za-z][A-Za-z-]*(?:/\w+)+")

#: More names than this are counted.
_MOST_NAMED: Final = 8
#: Epoch -> how it is said.
EPOCHS: Final = {
    "found": "as found",
    "seated": "after seat work",
    "dry": "dry build",
    "built": "as built",
}


def spoken(address: str) -> str:
    """An address as it is said.

    >>> spoken("valve/3/in/L"), spoken("engine")
    ('valve 3 in L', 'engine')
    """
    return address.replace("/", " ")


def spoken_in(text: str, places: Places) -> str:
    """A text with every address of this engine as it is said."""
    return _ADDRESS.sub(lambda found: spoken(found[0]) if found[0] in places else found[0], text)


def every(addresses: Sequence[str], places: Places) -> str:
    """Places by name, or in a word where they are all of their kind.

    >>> from gudgeon.sheet.places import Places
    >>> engine = Places("1 = left", {"main": ("main/1", "main/2", "main/3")})
    >>> every(["main/1", "main/2"], engine), every(["main/1", "main/2", "main/3"], engine)
    ('main 1, main 2', 'every main')
    """
    kinds = {places.kind(address) for address in addresses}
    if len(kinds) == 1 and len(addresses) > 2:
        kind = kinds.pop()
        if set(addresses) == set(places.of(kind)):
            return f"every {kind}"
    return listed(spoken(address) for address in addresses)


def mm(value: float, decimals: int = 3) -> str:
    """A number with so many decimals and a true minus sign, never −0.

    >>> mm(-0.0204), mm(-0.0001), mm(1.75, 2)
    ('−0.020', '0.000', '1.75')
    """
    text = f"{value:.{decimals}f}"
    if text.startswith("-"):
        text = text[1:] if not text.strip("-0.") else f"−{text[1:]}"
    return text


def with_u(value: float, u: float, decimals: int = 3) -> str:
    """A value and its expanded uncertainty (k = 2) [mm].

    >>> with_u(0.1304, 0.0121)
    '0.130 ± 0.024'
    """
    return f"{mm(value, decimals)} ± {mm(2.0 * u, decimals)}"


def span(low: float | None, high: float | None, decimals: int = 3) -> str:
    """A range, or the one limit that is given; nothing where there is none.

    >>> span(0.02, 0.044), span(None, 81.1), span(4.9, None, 2), span(None, None)
    ('0.020 to 0.044', '≤ 81.100', '≥ 4.90', '')
    """
    if low is not None and high is not None:
        return f"{mm(low, decimals)} to {mm(high, decimals)}"
    if high is not None:
        return f"≤ {mm(high, decimals)}"
    return "" if low is None else f"≥ {mm(low, decimals)}"


def limits(given: Limits | None) -> str:
    """Limits as the sheet's author typed them, in the sheet's unit.

    >>> from gudgeon.numbers import Length
    >>> limits(Limits(min=Length(0.11, "0.11"), max=Length(0.17, "0.17")))
    '0.11 to 0.17'
    """
    if given is None or given.blank:
        return ""
    if given.min is not None and given.max is not None:
        return f"{given.min} to {given.max}"
    return f"≤ {given.max}" if given.max is not None else f"≥ {given.min}"


def counted(number: int, one: str, many: str) -> str:
    """A count with its word.

    >>> counted(1, "shim", "shims"), counted(3, "shim", "shims")
    ('1 shim', '3 shims')
    """
    return f"{number} {one if number == 1 else many}"


def money(amount: float | None, currency: str) -> str:
    """A price with its currency; nothing where it is not known."""
    return "" if amount is None else f"{currency} {amount:.2f}".strip()


def listed(words: Iterable[str]) -> str:
    """Places or words with commas between."""
    return ", ".join(words)


def shortened(names: Sequence[str]) -> str:
    """Names, all of them where they are few; else the first of them and how many more.

    >>> shortened(["main 1", "main 2"])
    'main 1, main 2'
    """
    if len(names) <= _MOST_NAMED:
        return listed(names)
    return f"{listed(names[:_MOST_NAMED])} and {len(names) - _MOST_NAMED} more"


def page(source: str | None) -> str:
    """Where a limit comes from; empty where the sheet does not say."""
    return source or ""
