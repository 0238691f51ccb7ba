"""Starters: a sheet for a layout, with every feature present and every limit blank."""

from gudgeon.sheet.starters.rows import Choice
from gudgeon.sheet.starters.write import LAYOUTS, shims_only, starter

__all__ = ["LAYOUTS", "Choice", "shims_only", "starter"]
