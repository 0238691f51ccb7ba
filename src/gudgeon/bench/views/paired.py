"""Let in: what this device may do, and the name it gives itself.

The device's cookie does not come with the first request after a link was followed from elsewhere,
so this page says the same to a device that is not known.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.bench.page import Page
from gudgeon.bench.state import Ask


@dataclass(frozen=True, slots=True)
class LetIn:
    """The page. known: whether the device's cookie came along."""

    known: bool
    name: str
    role: str


def view(ask: Ask) -> LetIn:
    """What the device may do from now on."""
    return LetIn(ask.who.kind != "stranger", ask.who.name, ask.who.role)


PAGE: Final = Page("paired", "/paired", view, rule="anyone", script=True)
