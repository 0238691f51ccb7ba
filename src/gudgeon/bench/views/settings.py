"""How this screen shows the bench: true sizes, light or dark, which hand. Kept in the browser."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.bench.page import Page
from gudgeon.bench.state import Ask

#: Width of a bank card [mm]: ISO/IEC 7810, ID-1 is 85.60 mm x 53.98 mm.
CARD: Final = 85.6
CARD_HEIGHT: Final = 53.98


@dataclass(frozen=True, slots=True)
class ScreenSettings:
    """The page: the card to hold against the screen [mm], and who this device is."""

    card_mm: float
    card_height_mm: float
    device: str
    role: str


def view(ask: Ask) -> ScreenSettings:
    """The settings of a screen; the browser itself holds their values."""
    return ScreenSettings(CARD, CARD_HEIGHT, ask.who.name, ask.who.role)


PAGE: Final = Page("settings", "/settings", view, script=True, tab="shop")
