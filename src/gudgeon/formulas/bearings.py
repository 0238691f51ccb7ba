"""Oil clearance of plain bearings, and the shell walls that give it. Clearance is on diameter."""

from __future__ import annotations

from gudgeon.formulas import Size


def oil_clearance(housing: Size, journal: Size, upper_wall: Size, lower_wall: Size) -> Size:
    """Diametral oil clearance with two shells: c = D − d − t_upper − t_lower.

    `housing` [mm] bore, torqued and without shells, `journal` [mm], `upper_wall` [mm] and
    `lower_wall` [mm] at the thickest, which is away from the split.

    Source: elementary geometry.

    >>> round(oil_clearance(36.003, 32.991, 1.490, 1.490), 6)
    0.032
    """
    return housing - journal - upper_wall - lower_wall


def wanted_wall(housing: Size, journal: Size, clearance: Size | float) -> Size:
    """The wall that gives the clearance with two like halves: t = (D − d − c) / 2.

    `housing` [mm], `journal` [mm], `clearance` [mm] wanted, on diameter.

    Source: `oil_clearance`, solved for the wall.

    >>> round(wanted_wall(36.003, 32.991, 0.032), 6)
    1.49
    """
    return (housing - journal - clearance) / 2.0


def installed_clearance(shell_bore: Size, journal: Size) -> Size:
    """Diametral oil clearance by the other route: shells in, torqued, c = D_shells − d.

    `shell_bore` [mm] is read at 90° to the split, where the shells are thickest; `journal` [mm].

    Source: elementary geometry.

    >>> round(installed_clearance(33.023, 32.991), 6)
    0.032
    """
    return shell_bore - journal


def undersize_wall(standard: Size, undersize: float) -> Size:
    """The wall of a shell for a ground journal: t + undersize / 2.

    `standard` [mm] wall, `undersize` [mm] nominal, which is on the diameter; each of the two
    walls grows by half of it.

    Raises ValueError for an undersize below 0.

    Source: US Army TM 5-4320-300-14 p. 6-83, whose table it reproduces.

    >>> round(undersize_wall(1.500, 0.25), 6)
    1.625
    """
    if not undersize >= 0.0:
        raise ValueError(f"an undersize must be 0 or more; {undersize:g} is not")
    return standard + undersize / 2.0
