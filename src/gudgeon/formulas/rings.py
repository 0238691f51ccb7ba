"""Piston ring end gaps, and what they tell about the bore."""

from __future__ import annotations

import math

from gudgeon.formulas import Size


def gap_growth(bore_growth: Size) -> Size:
    """How much a ring's end gap opens when the bore grows: Δg = π ΔD.

    `bore_growth` [mm] on diameter.

    Source: elementary geometry; US Army TM 5-3805-261-34 gives 0.003 in per 0.001 in.

    >>> round(gap_growth(0.05), 6)
    0.15708
    """
    return bore_growth * math.pi


def taper_from_gaps(top: Size, bottom: Size) -> Size:
    """Bore taper on diameter from one ring's gap at two heights: T = (g_top − g_bottom) / π.

    Gaps `top` [mm] and `bottom` [mm], the ring square in the bore. Positive: wider at the top.

    Source: `gap_growth`, turned round.

    >>> round(taper_from_gaps(0.42, 0.27), 3)
    0.048
    """
    return (top - bottom) / math.pi


def least_gap(bore: Size, factor: float) -> Size:
    """The least end gap by a share of the bore: g = f D.

    `bore` [mm] at its smallest, `factor` [no unit] from the ring's maker; 0.0035 to 0.0055 is
    common practice for road engines, no source. The maker's figure comes first.

    Raises ValueError for a factor outside 0 to 0.05.

    Source: ring makers' fitting instructions in general.

    >>> round(least_gap(58.255, 0.0040), 3)
    0.233
    """
    if not 0.0 < factor < 0.05:
        raise ValueError(f"a gap factor must lie between 0 and 0.05; {factor:g} does not")
    return bore * factor
