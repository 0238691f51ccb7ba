"""Starting a sheet from a layout, with the figures that shims need if they are at hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from gudgeon.bench.page import Page
from gudgeon.bench.state import Ask
from gudgeon.sheet.starters import LAYOUTS

#: Choice -> its words, the usual one first.
CHOICES: Final = {
    "gear": ("under-bucket", "over-bucket", "finger", "rocker-screw"),
    "big_ends": ("plain", "roller"),
    "bores": ("iron", "plated"),
    "cooling": ("liquid", "air"),
    "unit": ("mm", "in"),
}


@dataclass(frozen=True, slots=True)
class Starting:
    """The page: what may be chosen."""

    layouts: tuple[str, ...]
    choices: dict[str, tuple[str, ...]]
    valves: tuple[str, ...] = ("4", "2", "3", "5")


def view(ask: Ask) -> Starting:
    """The choices of a starter."""
    usual = "inline4"
    return Starting((usual, *(item for item in LAYOUTS if item != usual)), dict(CHOICES))


PAGE: Final = Page("newsheet", "/new-sheet", view)
