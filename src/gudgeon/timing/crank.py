"""The slider-crank mechanism, exact, with pin offset, both ways; and top dead centre by a stop.

Angles are crank degrees from true top dead centre, where the piston stands highest, positive in
the direction of rotation. Without an offset that is also where the throw stands in line with the
bore; with one, the top comes earlier or later than that by `Crank.top_angle`.

References
----------
.. [1] Heywood, Internal Combustion Engine Fundamentals (1988), section 2.2, equations 2.4 to 2.6:
   the same mechanism without an offset.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gudgeon.formulas import Size

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Crank:
    """A crank throw, its rod and its piston.

    `radius` [mm] is half the crank's throw, `rod` [mm] the distance between the rod's centres,
    `pin_offset` [mm] how far the line of the gudgeon pin runs beside the crank's axis, positive
    toward the thrust side: the side that the crank pin leaves after top dead centre, which is the
    usual way. An offset of the cylinder itself adds to it.

    Raises ValueError for a radius or rod of 0 or less, or a rod no longer than radius and offset
    together: such a crank can't turn.

    >>> round(Crank(25.0, 100.0).depth(90.0), 4)
    28.1754
    """

    radius: float
    rod: float
    pin_offset: float = 0.0

    def __post_init__(self) -> None:
        if not (0.0 < self.radius < math.inf and 0.0 < self.rod < math.inf):
            raise ValueError("the crank radius and the rod must be above 0")
        if not self.rod > self.radius + abs(self.pin_offset):
            raise ValueError(
                f"a rod of {self.rod:g} mm is too short for a crank radius of {self.radius:g} mm "
                f"and an offset of {self.pin_offset:g} mm: the crank could not turn"
            )

    @property
    def top(self) -> float:
        """Height of the gudgeon pin over the crank's axis at the top [mm]: √((L + r)² − e²).

        Source: elementary geometry; rod and throw in one line.

        >>> Crank(25.0, 100.0).top
        125.0
        """
        return math.sqrt((self.rod + self.radius) ** 2 - self.pin_offset**2)

    @property
    def stroke(self) -> float:
        """The stroke [mm]: √((L + r)² − e²) − √((L − r)² − e²), a little over 2 r with an offset.

        Source: elementary geometry.

        >>> Crank(25.0, 100.0).stroke, round(Crank(25.0, 100.0, 1.0).stroke, 5)
        (50.0, 50.00267)
        """
        return self.top - math.sqrt((self.rod - self.radius) ** 2 - self.pin_offset**2)

    @property
    def top_angle(self) -> float:
        """How far the throw stands before the line of the bore at the top [degrees].

        asin(e / (L + r)); positive: the top comes before the throw is in line.

        Source: elementary geometry.

        >>> round(Crank(25.0, 100.0, 1.0).top_angle, 4)
        0.4584
        """
        return math.degrees(math.asin(self.pin_offset / (self.rod + self.radius)))

    def depth(self, angle: float) -> float:
        """How far the piston stands below its top [mm].

        x = top − (r cos φ + √(L² − (r sin φ + e)²)) with φ = `angle` [degrees, after top dead
        centre; negative before] less `top_angle`. Exact: two-term approximations miss it by 0.003
        mm at 30° and must not be used for work at the top.

        Source: elementary geometry; without an offset [1]_ eq. 2.5.

        >>> round(Crank(22.5, 90.0).depth(30.0), 6)
        3.720322
        """
        throw = math.radians(angle - self.top_angle)
        aside = self.radius * math.sin(throw) + self.pin_offset
        return self.top - self.radius * math.cos(throw) - math.sqrt(self.rod**2 - aside**2)

    def depths(self, angles: NDArray[float64]) -> NDArray[float64]:
        """`depth` at many angles at once [mm].

        `angles` [degrees] is an array of any shape.

        Source: as `depth`.

        >>> import numpy as np
        >>> Crank(22.5, 90.0).depths(np.array([0.0, 30.0, 180.0])).round(6).tolist()
        [0.0, 3.720322, 45.0]
        """
        import numpy as np

        throw = np.radians(angles - self.top_angle)
        aside = self.radius * np.sin(throw) + self.pin_offset
        return np.asarray(self.top - self.radius * np.cos(throw) - np.sqrt(self.rod**2 - aside**2))

    def rate(self, angle: float) -> float:
        """How fast the piston goes down there [mm per degree of crank].

        The derivative of `depth` at `angle` [degrees]; 0 at the top and at the bottom.

        Source: elementary calculus.

        >>> round(Crank(25.0, 100.0).rate(10.0), 4)
        0.0944
        """
        throw = math.radians(angle - self.top_angle)
        aside = self.radius * math.sin(throw) + self.pin_offset
        lean = aside / math.sqrt(self.rod**2 - aside**2)
        slope = self.radius * (math.sin(throw) + math.cos(throw) * lean)
        return math.radians(slope)

    def angles_at(self, depth: float) -> tuple[float, float]:
        """The two crank angles at a piston `depth` [mm]: before and after the top [degrees].

        Both are positive; without an offset they are alike. The crank centre, the crank pin and
        the gudgeon pin make a triangle with sides r, L and D; its angle at the crank centre is
        taken from half-angle tangents, which stay exact at the top and at the bottom.

        Raises ValueError for a depth above the top or below the bottom.

        Source: law of cosines.

        >>> [round(angle, 3) for angle in Crank(27.0, 105.0).angles_at(27.4)]
        [83.441, 83.441]
        """
        if not -1e-9 <= depth <= self.stroke + 1e-9:
            raise ValueError(
                f"a depth of {depth:g} mm does not lie within the stroke, 0 to {self.stroke:g} mm"
            )
        depth = min(max(depth, 0.0), self.stroke)
        high = self.top - depth
        reach = math.hypot(high, self.pin_offset)
        both = self.rod + self.radius
        short = depth * (2.0 * self.top - depth) / (both + reach)  # L + r − D without cancelling
        sine = short * (self.rod + reach - self.radius)
        cosine = (reach + self.radius - self.rod) * (reach + self.radius + self.rod)
        spread = 2.0 * math.atan2(math.sqrt(max(sine, 0.0)), math.sqrt(max(cosine, 0.0)))
        lean = math.atan2(-self.pin_offset, high) + math.radians(self.top_angle)
        return math.degrees(spread - lean), math.degrees(spread + lean)

    def dwell(self, resolution: float) -> float:
        """Half the crank angle over which a dial can't tell the piston from its top [degrees].

        `resolution` [mm] is what the dial and the hand can see. This is why a dial at its dwell
        can't find top dead centre: 0.01 mm is ±1.4° on a stroke of 50 mm.

        Raises ValueError as `angles_at` does.

        Source: `angles_at`.

        >>> round(Crank(25.0, 100.0).dwell(0.01), 2)
        1.45
        """
        before, after = self.angles_at(resolution)
        return (before + after) / 2.0

    def stop_bias(self, depth: float) -> float:
        """How far after the true top the middle of the two stop readings lies [degrees].

        `depth` [mm] is where the stop meets the piston. 0 without an offset; with one, the
        readings are not quite alike on both sides. Take it off what `zero_error` gives.

        Raises ValueError as `angles_at` does.

        Source: `angles_at`.

        >>> round(Crank(25.0, 100.0, 1.0).stop_bias(5.0), 3)
        -0.019
        """
        before, after = self.angles_at(depth)
        return (after - before) / 2.0


def piston_depth(crank_radius: float, rod: float, angle: float, pin_offset: float = 0.0) -> float:
    """How far a piston stands below its top [mm], from `crank_radius` [mm] and `rod` [mm].

    `angle` [degrees] after true top dead centre, negative before; `pin_offset` [mm] positive
    toward the thrust side.

    Raises ValueError for a crank that can't turn.

    Source: `Crank.depth`.

    >>> round(piston_depth(29.0, 103.0, 10.0), 6)
    0.563752
    """
    return Crank(crank_radius, rod, pin_offset).depth(angle)


def zero_error(before: Size, after: Size) -> Size:
    """How far after the disc's zero the true top lies, by a positive stop: (after − before) / 2.

    Disc readings where the piston meets the stop: `before` [degrees] the zero and `after`
    [degrees] it, both positive. The piston moves fast there, so each reading is sharp; turn the
    crank to the stop by hand and lightly. With a pin offset see `Crank.stop_bias`.

    Source: symmetry of the motion about its top.

    >>> round(zero_error(31.0, 33.4), 6)
    1.2
    """
    return (after - before) / 2.0


def stop_reading(before: Size, after: Size) -> Size:
    """What the disc must read on both sides once its zero is right: (before + after) / 2.

    `before` [degrees] and `after` [degrees] as for `zero_error`.

    Source: symmetry of the motion about its top.

    >>> stop_reading(28.5, 33.5)
    31.0
    """
    return (before + after) / 2.0


def mean_piston_speed(stroke: float, speed: float) -> float:
    """Mean piston speed [m/s]: 2 S n.

    `stroke` [mm], `speed` [rev/min].

    Source: definition.

    >>> mean_piston_speed(45.0, 10_000.0)
    15.0
    """
    return 2.0 * stroke / 1000.0 * speed / 60.0
