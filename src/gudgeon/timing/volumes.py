"""Volumes over and under the piston: displacement, compression ratio, squish, two-stroke ports."""

from __future__ import annotations

import math

from gudgeon.formulas import Size
from gudgeon.timing.crank import Crank


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
    return disc(bore, stroke) * cylinders


def disc(diameter: float, depth: float) -> float:
    """Volume [cm³] of a flat disc: π/4 D² h.

    `diameter` [mm], `depth` [mm]; below 0 where a piston stands proud.

    Source: elementary geometry.

    >>> round(disc(59.5, 0.65), 3)
    1.807
    """
    return math.pi / 4.0 * diameter * diameter * depth / 1000.0


def clearance_volume(
    bore: float,
    chamber: float,
    dome: float = 0.0,
    gasket: float = 0.0,
    gasket_bore: float | None = None,
    deck: float = 0.0,
) -> float:
    """What is left over the piston at its top [cm³]: head + gasket + deck − dome.

    `bore` [mm]; `chamber` [cm³] in the head, plug and valves in; `dome` [cm³] of the crown above
    its flat, negative for a dish; `gasket` [mm] as crushed, `gasket_bore` [mm] (the bore where
    left out); `deck` [mm] from the block's face down to the crown's flat, negative where the
    piston stands proud. The ring land's crevice is left out.

    Raises ValueError where nothing would be left.

    Source: elementary geometry.

    >>> round(clearance_volume(58.255, 11.2, 2.0, 0.65, 59.5, 0.20), 3)
    11.54
    """
    hole = bore if gasket_bore is None else gasket_bore
    left = chamber - dome + disc(hole, gasket) + disc(bore, deck)
    if not 0.0 < left < math.inf:
        raise ValueError(f"{left:.3g} cm³ would be left over the piston: check dome and chamber")
    return left


def compression_ratio(
    bore: float,
    stroke: float,
    chamber: float,
    dome: float = 0.0,
    gasket: float = 0.0,
    gasket_bore: float | None = None,
    deck: float = 0.0,
) -> float:
    """Compression ratio of one cylinder [no unit]: 1 + V_swept / V_left.

    `bore` [mm], `stroke` [mm]; `chamber` [cm³], `dome` [cm³], `gasket` [mm], `gasket_bore` [mm]
    and `deck` [mm] as for `clearance_volume`. Geometric, over the full stroke.

    Raises ValueError as `displacement` and `clearance_volume` do.

    Source: FAA-H-8083-32B (2023), p. 1-29 (volume at the bottom over volume at the top).

    >>> round(compression_ratio(76.0, 55.0, 22.0, 3.0, 0.8, 78.0, 0.5), 5)
    10.94405
    """
    left = clearance_volume(bore, chamber, dome, gasket, gasket_bore, deck)
    return 1.0 + displacement(bore, stroke) / left


def skim_for_ratio(ratio: float, swept: float, chamber_volume: float, area: float) -> float:
    """What to skim off for a compression ratio [mm]: (V_left − V_swept / (CR − 1)) / A.

    `ratio` [no unit] wanted, `swept` [cm³] of one cylinder, `chamber_volume` [cm³] all that is
    left over the piston now (head, gasket, deck, less the dome), `area` [mm²] of the chamber at
    the face that is cut. Below 0: the ratio is higher already, and the gasket would have to be
    thicker by that. Right as long as the chamber's wall stands square to the face.

    Raises ValueError for a ratio of 1 or less, or a volume or area of 0 or less.

    Source: `compression_ratio`, solved for the volume.

    >>> round(skim_for_ratio(12.7, 133.27, 11.540, 0.9 * 2665.3), 3)
    0.062
    """
    if not ratio > 1.0:
        raise ValueError(f"a compression ratio is more than 1; {ratio:g} is not")
    if not (swept > 0.0 and chamber_volume > 0.0 and area > 0.0):
        raise ValueError("swept volume, chamber volume and area must be above 0")
    return (chamber_volume - swept / (ratio - 1.0)) * 1000.0 / area


def squish(deck: Size, gasket: Size | float, recess: Size | float = 0.0) -> Size:
    """Gap between crown and head at the squish band [mm]: deck + gasket + recess.

    `deck` [mm] and `gasket` [mm] as for `clearance_volume`; `recess` [mm] of the band in the
    head's face. Cold and static: rods stretch and pistons rock, so the least that is safe is the
    maker's to say. Prove it with soft wire or clay.

    Source: elementary geometry.

    >>> round(squish(0.20, 0.65), 6)
    0.85
    """
    return deck + gasket + recess


def sunk_valves(diameter: float, recession: Size, valves: int) -> Size:
    """What valves that sink add to the chamber [cm³]: n π/4 d² ρ.

    `diameter` [mm] of the heads, `recession` [mm] along the stem, `valves` their number.

    Source: elementary geometry.

    >>> round(sunk_valves(20.8, 0.12, 4), 2)
    0.16
    """
    return recession * (disc(diameter, 1.0) * valves)


def port_duration(crank: Crank, port: float) -> float:
    """How long a two-stroke's exhaust or transfer port stays open [degrees of crank].

    All of the turn but the part where the crown stands higher than `port` [mm], the top edge of
    the port below the crown's edge at top dead centre.

    Raises ValueError for an edge outside the stroke.

    Source: elementary geometry.

    >>> round(port_duration(Crank(27.0, 105.0), 27.4), 1)
    193.1
    """
    before, after = crank.angles_at(port)
    return 360.0 - before - after


def trapped_ratio(bore: float, port: float, left: float) -> float:
    """Compression ratio of a two-stroke from where its exhaust closes [no unit].

    1 + π/4 B² h / V_left with `bore` [mm], `port` [mm] as for `port_duration` and `left` [cm³]
    over the piston at its top.

    Raises ValueError for a bore, port or volume of 0 or less.

    Source: elementary geometry.

    >>> round(trapped_ratio(54.0, 27.4, 10.5), 2)
    6.98
    """
    if not (bore > 0.0 and port > 0.0 and left > 0.0):
        raise ValueError("bore, port and the volume left must be above 0")
    return 1.0 + disc(bore, port) / left
