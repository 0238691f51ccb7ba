"""Formulas of the trade, one small function each.

Every one is pure and takes plain floats; those that are sums and multiples take `Measured` values
as well and then carry the error sources through, so that what two readings share cancels.
Lengths are in mm, angles in degrees.
"""

from __future__ import annotations

from typing import TypeVar

from gudgeon.metrology.measured import Measured

Size = TypeVar("Size", float, Measured)
"""A plain number or one that carries its error sources; a call uses one kind throughout."""
