"""Typing the code that lets this device in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from starlette.responses import RedirectResponse, Response

from gudgeon.bench.page import Page
from gudgeon.bench.state import Ask


@dataclass(frozen=True, slots=True)
class Asked:
    """The page: whether a device can be let in here at all."""

    lan: bool


def view(ask: Ask) -> Asked | Response:
    """The code, from a device that is not known yet; others go to the shop."""
    if ask.who.may("look"):
        return RedirectResponse("/", 303)
    return Asked(ask.bench.config.lan)


PAGE: Final = Page("pair", "/pair", view, rule="anyone", script=True)
