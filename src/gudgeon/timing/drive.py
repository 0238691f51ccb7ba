"""Wheels and chains between crank and cam: one tooth, marks that return, skims and stretch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from gudgeon.formulas import Size


def tooth_error(teeth: int, turns_per_crank_turn: Fraction | float) -> float:
    """What one tooth at a mesh does to the timing behind it [degrees of crank].

    360 / (Z n). `teeth` is the count of either wheel of the mesh, `turns_per_crank_turn`
    [no unit] how often that wheel turns while the crank turns once; both wheels give the same.
    For a chain or a simple train it comes to 720 / Z of the cam wheel.

    Raises ValueError for fewer than 1 tooth, or turns of 0 or less.

    Source: elementary arithmetic.

    >>> tooth_error(20, 1), tooth_error(24, Fraction(20, 30)), tooth_error(32, Fraction(1, 2))
    (18.0, 22.5, 22.5)
    """
    if teeth < 1 or not 0 < turns_per_crank_turn < math.inf:
        raise ValueError("a mesh needs at least 1 tooth, and a wheel that turns with the crank")
    return float(360 / (teeth * turns_per_crank_turn))


def mark_return(teeth: Sequence[int]) -> int:
    """Turns of the crank after which every mark of a simple train is back where it was.

    lcm(Z₁, Z₂, …) / Z₁, `teeth` in the order of the train, the crank's first. A chain counts as a
    wheel with as many teeth as it has links.

    Raises ValueError for fewer than two wheels, or a wheel without teeth.

    Source: elementary number theory; agrees with Brown, 507 Mechanical Movements (1868), no. 264.

    >>> mark_return([20, 35, 40]), mark_return([20, 37, 40]), mark_return([1, 100, 101])
    (14, 74, 10100)
    """
    if len(teeth) < 2:
        raise ValueError("a train has two wheels or more")
    if min(teeth) < 1:
        raise ValueError("every wheel has 1 tooth or more")
    return math.lcm(*teeth) // teeth[0]


def mesh_return(first: int, second: int) -> tuple[int, int]:
    """Turns of each wheel after which the same two teeth meet again.

    lcm / Z for `first` and `second`, two counts of teeth. In a hunting pair every tooth meets
    every other before that.

    Raises ValueError for a wheel without teeth.

    Source: elementary number theory.

    >>> mesh_return(28, 56), mesh_return(31, 87)
    ((2, 1), (87, 31))
    """
    if min(first, second) < 1:
        raise ValueError("every wheel has 1 tooth or more")
    both = math.lcm(first, second)
    return both // first, both // second


def shaft_rates(meshes: Sequence[tuple[int, int]]) -> list[Fraction]:
    """Turns of each shaft of a train for one turn of the crank, the crank's own 1 first.

    `meshes` are pairs of teeth, driver and driven, from the crank on; the wheels of a compound
    idler belong to two meshes, and may differ. The sense of rotation is left out.

    Raises ValueError for a wheel without teeth.

    Source: elementary arithmetic.

    >>> shaft_rates([(20, 30), (24, 32)])
    [Fraction(1, 1), Fraction(2, 3), Fraction(1, 2)]
    """
    rates = [Fraction(1)]
    for driver, driven in meshes:
        if min(driver, driven) < 1:
            raise ValueError("every wheel has 1 tooth or more")
        rates.append(rates[-1] * Fraction(driver, driven))
    return rates


def train_return(meshes: Sequence[tuple[int, int]]) -> int:
    """Turns of the crank after which every mark of any train, simple or compound, is back.

    The least whole number that makes whole turns of every shaft; `meshes` as for `shaft_rates`.

    Raises ValueError as `shaft_rates` does.

    Source: elementary number theory.

    >>> train_return([(20, 30), (24, 32)]), train_return([(20, 35), (35, 40)])
    (6, 14)
    """
    return math.lcm(*(rate.denominator for rate in shaft_rates(meshes)))


def teeth_off(teeth: Sequence[int], turns: int) -> list[int]:
    """How many teeth each mark of a simple train stands from its place after some crank turns.

    `teeth` as for `mark_return`; the nearer way round, positive where the mark has gone too far.
    After the usual two turns an idler's mark is normally off, and that is no mistake.

    Raises ValueError as `mark_return` does.

    Source: elementary number theory.

    >>> teeth_off([20, 35, 40], 2)
    [0, 5, 0]
    """
    mark_return(teeth)
    passed = turns * teeth[0]
    return [(passed + count // 2) % count - count // 2 for count in teeth]


def pitch_radius(pitch: float, teeth: int) -> float:
    """Radius of a chain wheel to the pins of its chain [mm]: p / (2 sin(π / Z)).

    `pitch` [mm] of the chain, `teeth` of the wheel.

    Raises ValueError for a pitch of 0 or less, or fewer than 3 teeth.

    Source: elementary geometry; the pins are corners of a regular polygon.

    >>> round(pitch_radius(6.35, 34), 2)
    34.41
    """
    if not 0.0 < pitch < math.inf or teeth < 3:
        raise ValueError("a chain wheel has a pitch above 0 and 3 teeth or more")
    return pitch / (2.0 * math.sin(math.pi / teeth))


def skim_retard(skim: Size, radius: float, tilt: float = 0.0) -> Size:
    """How late a skim makes chain-driven cams: 2 s cos β / r, in degrees of crank.

    `skim` [mm] off head or block, or a thinner gasket, negative for a thicker one; `radius` [mm]
    of the cam wheel to the chain's pins; `tilt` [degrees] between the tight run and the way the
    head moves. Both cams go late: the inlet gains room over its piston, the exhaust loses it.

    Source: elementary geometry; small against the run's length.

    >>> round(skim_retard(0.30, 34.41), 2)
    1.0
    """
    return skim * (math.degrees(2.0 * math.cos(math.radians(tilt))) / radius)


def stretch_retard(run: float, elongation: Size, radius: float) -> Size:
    """How late a worn chain makes the cam: 2 l ε / r, in degrees of crank.

    `run` [mm] of the tight side, `elongation` [mm per mm] of the chain, `radius` [mm] of the cam
    wheel to the chain's pins.

    Source: elementary geometry.

    >>> round(stretch_retard(210.0, 0.005, 34.41), 1)
    3.5
    """
    return elongation * (math.degrees(2.0 * run) / radius)


def backlash_change(centres: Size, pressure_angle: float = 20.0) -> Size:
    """What a change of centre distance does to the backlash of a gear pair: 2 Δa tan φ [mm].

    `centres` [mm] is that change, negative where a skim brings them together;
    `pressure_angle` [degrees] of the teeth. Along the pitch circle. Below the backlash there is,
    the gears bind.

    Raises ValueError for a pressure angle outside 0 to 45 degrees.

    Source: elementary gear geometry, to first order.

    >>> round(backlash_change(-0.15), 3)
    -0.109
    """
    if not 0.0 < pressure_angle < 45.0:
        raise ValueError(f"a pressure angle of {pressure_angle:g} degrees is none of a gear")
    return centres * (2.0 * math.tan(math.radians(pressure_angle)))


def gear_shift(skim: Size, tilt: float, radius: float) -> Size:
    """What a skim across a gear mesh does to the timing: 2 s sin β / r, in degrees of crank.

    `skim` [mm], `tilt` [degrees] between the line of centres and the way the head moves, `radius`
    [mm] of the driven wheel's pitch circle, which turns at half the crank's speed. Early or late
    depends on the side; small beside what the skim does to the backlash.

    Source: elementary geometry, to first order.

    >>> round(gear_shift(0.15, 20.0, 32.0), 2)
    0.18
    """
    return skim * (math.degrees(2.0 * math.sin(math.radians(tilt))) / radius)
