"""Volumes of cylinders."""

from __future__ import annotations

import math


def displacement(bore: float, stroke: float, cylinders: int = 1) -> float:
    """Swept volume [cm³] of an engine: π/4 B² S n.

    `bore` [mm], `stroke` [mm], `cylinders` a whole number.

    Raises ValueError for a size or count of 0 or less.

    Source: FAA-H-8083-32B (2023), Aviation Maintenance Technician Handbook - Powerplant, p. 1-28.

    >>> round(displacement(58.0, 50.0, 4), 1)
    528.4
    """
    if not (0.0 < bore < math.inf and 0.0 < stroke < math.inf and cylinders >= 1):
        raise ValueError("bore, stroke and the number of cylinders must be above 0")
    return math.pi / 4.0 * bore * bore * stroke * cylinders / 1000.0
