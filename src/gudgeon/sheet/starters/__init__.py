"""Starters: a sheet for a layout, with every feature present and every limit blank."""

from gudgeon.sheet.starters.figures import checked, prove
from gudgeon.sheet.starters.rows import Choice
from gudgeon.sheet.starters.write import LAYOUTS, shims_only, starter

__all__ = ["LAYOUTS", "Choice", "checked", "prove", "shims_only", "starter"]
