"""Valve clearance: shims, screws, and what seat work does to them."""

from __future__ import annotations

import math
from typing import Final, Literal

from gudgeon.formulas import Size

ReadAt = Literal["cam", "stem"]
AngleFrom = Literal["face", "axis"]
ANGLE_FROM: Final[tuple[AngleFrom, ...]] = ("face", "axis")
READ_AT: Final[tuple[ReadAt, ...]] = ("cam", "stem")


def rise(before: Size, after: Size) -> Size:
    """How far the valve sits further up after seat work: ρ = H_after − H_before.

    Heights `before` [mm] and `after` [mm] run from a fixed face to the stem tip, the valve held
    shut. This route includes everything that was done: seat, valve face and tip.

    Source: elementary geometry.

    >>> round(rise(36.42, 36.53), 6)
    0.11
    """
    return after - before


def rise_by_parts(
    seat_cut: Size, face_cut: Size, seat_angle: float, tip_ground: Size | float = 0.0
) -> Size:
    """How far the valve sits further up, from what was cut: ρ = seat + t / cos α − tip.

    `seat_cut` [mm] along the valve axis, `face_cut` [mm] square to the valve's face, `seat_angle`
    [degrees] from the head face, `tip_ground` [mm] off the stem tip. A new valve of another
    length is not in it; measure the height instead.

    Raises ValueError for an angle outside 0 to 90 degrees.

    Source: elementary geometry; narrowing cuts move the band, not the valve.

    >>> round(rise_by_parts(0.05, 0.02, 45.0, 0.01), 4)
    0.0683
    """
    return seat_cut + axial_from_normal(face_cut, seat_angle) - tip_ground


def half_angle(seat_angle: float, angle_from: AngleFrom) -> float:
    """The seat's angle from the valve axis [degrees].

    `seat_angle` [degrees] is quoted by most manuals from the head face ("a 30° seat"), by
    some drawings from the valve axis; a 30° seat by the first is a 60° one by the second. Only
    at 45° are they the same.

    Raises ValueError for an angle outside 0 to 90 degrees.

    Source: elementary geometry.

    >>> half_angle(30.0, "face"), half_angle(30.0, "axis")
    (60.0, 30.0)
    """
    if not 0.0 < seat_angle < 90.0:
        raise ValueError(f"a seat angle must lie between 0 and 90 degrees; {seat_angle:g} does not")
    return 90.0 - seat_angle if angle_from == "face" else seat_angle


def axial_from_normal(normal: Size, seat_angle: float, angle_from: AngleFrom = "face") -> Size:
    """How far a valve sinks when its seat or face loses metal: axial = normal / sin(half-angle).

    `normal` [mm] is taken off square to the seat, `seat_angle` [degrees] from the head face or
    from the valve axis as `angle_from` says. On a direct bucket the clearance falls by the axial
    recession.

    Raises ValueError for an angle outside 0 to 90 degrees.

    Source: elementary geometry.

    >>> round(axial_from_normal(0.050, 45.0), 6), round(axial_from_normal(0.050, 30.0), 6)
    (0.070711, 0.057735)
    """
    return normal / math.sin(math.radians(half_angle(seat_angle, angle_from)))


def clearance_after(clearance: Size, recession: Size | float, lever: float = 1.0) -> Size:
    """The clearance to expect with the same shim after seat work: c − ρ / R.

    `clearance` [mm] before, `recession` [mm] (the rise of the stem tip), `lever` [no unit] is
    movement at the valve tip over movement at the cam where the gap is read at the cam, 1 where
    it is read at the stem. Below 0 the valve is held open, and nothing can be read.

    Raises ValueError for a lever ratio of 0 or less.

    Source: elementary geometry.

    >>> round(clearance_after(0.14, 0.11), 6)
    0.03
    """
    _check_lever(lever)
    return clearance - recession / lever


def shim(
    old: Size,
    clearance: Size,
    target: Size | float,
    recession: Size | float = 0.0,
    lever: float = 1.0,
    read_at: ReadAt = "cam",
) -> Size:
    """The shim that brings the clearance to its target: S = S_old + R (c − target) − ρ.

    `old` [mm] is the shim that was in when `clearance` [mm] was read, `target` [mm] the clearance
    wanted, `recession` [mm] the rise of the stem tip since, `lever` [no unit] the movement at the
    valve tip over the movement at the cam. For a direct bucket R is 1, and so it is where a
    lever's gap is read at the stem (`read_at`). For a shim at a lever's pivot find the ratio by
    trial.

    Raises ValueError for a lever ratio of 0 or less.

    Source: elementary geometry; common in workshop manuals.

    >>> round(shim(1.850, 0.14, 0.13, 0.11), 6)
    1.75
    >>> round(shim(1.850, 0.09, 0.15, lever=1.45), 6)
    1.763
    """
    _check_lever(lever)
    factor = lever if read_at == "cam" else 1.0
    return old + (clearance - target) * factor - recession


def clearance_with(
    new: Size,
    old: Size,
    clearance: Size,
    recession: Size | float = 0.0,
    lever: float = 1.0,
    read_at: ReadAt = "cam",
) -> Size:
    """The clearance a shim on the shelf would give: c + (S_old − S_new − ρ) / R.

    `new` [mm] is that shim; `old` [mm], `clearance` [mm], `recession` [mm], `lever` [no unit] and
    `read_at` as for `shim`.

    Raises ValueError for a lever ratio of 0 or less.

    Source: `shim`, solved for the clearance.

    >>> round(clearance_with(1.750, 1.850, 0.14, 0.11), 6)
    0.13
    """
    _check_lever(lever)
    factor = lever if read_at == "cam" else 1.0
    return clearance + (old - new - recession) / factor


def shim_from_dry_build(checking: Size, clearance: Size, target: Size | float) -> Size:
    """The shim to fit after a trial build with a thin one: S = S_checking + c − target.

    `checking` [mm] is the thin shim put in for the trial, `clearance` [mm] what was read over it,
    `target` [mm] the clearance wanted. For a direct bucket. Right whatever was done before, and
    the only way where the old shim would hold the valve open.

    Source: elementary geometry.

    >>> round(shim_from_dry_build(1.200, 0.68, 0.13), 6)
    1.75
    """
    return checking + clearance - target


def screw_turns(clearance: Size, target: Size | float, pitch: float, lever: float = 1.0) -> Size:
    """Turns inwards of a screw adjuster: (c − target) / pitch, times R where read elsewhere.

    `clearance` [mm] as read, `target` [mm] wanted, `pitch` [mm] of the screw, `lever` [no unit]
    the movement at the screw over the movement where the gap was read. Negative: outwards.

    Raises ValueError for a pitch or lever ratio of 0 or less.

    Source: elementary geometry.

    >>> round(360 * screw_turns(0.15, 0.10, 0.5), 6)
    36.0
    """
    _check_lever(lever)
    if not 0.0 < pitch < math.inf:
        raise ValueError(f"a screw's pitch must be above 0; {pitch:g} is not")
    return (clearance - target) * lever / pitch


def _check_lever(lever: float) -> None:
    if not 0.0 < lever < math.inf:
        raise ValueError(f"a lever ratio must be above 0; {lever:g} is not")
