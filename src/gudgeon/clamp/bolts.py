"""Whether a bolt fits its hole: what stands proud, how much of it holds, whether it bottoms.

References
----------
.. [1] FED-STD-H28/2B, thread shear areas, as used in NSTS 08307 rev. A, appendix A; taken at the
   basic profile.
"""

from __future__ import annotations

import math
from typing import Final, Literal, NamedTuple

from gudgeon.clamp.threads import Thread
from gudgeon.formulas import Size

Into = Literal["aluminium", "cast iron", "steel"]

#: Engagement wanted, in diameters; common practice, no source. The maker's bolt comes first.
LEAST_ENGAGEMENT: Final[dict[Into, float]] = {"aluminium": 1.5, "cast iron": 1.25, "steel": 1.0}
ROOM_BELOW: Final = 2.0
"""Free thread below the tip [mm]; common practice, no source."""


def projection(
    length: Size, boss: Size | float, washer: Size | float = 0.0, gasket: Size | float = 0.0
) -> Size:
    """How far a bolt stands out below what it holds: L − boss − washer − gasket [mm].

    `length` [mm] under the head, `boss` [mm] the height of what is clamped, `washer` [mm],
    `gasket` [mm] as crushed. Bolts of one cover stand nearly equally proud; one that doesn't is in
    the wrong hole.

    Source: elementary geometry.

    >>> round(projection(25.0, 14.0, 1.6, 0.5), 6)
    8.9
    """
    return length - boss - washer - gasket


class Fit(NamedTuple):
    """How a bolt sits in its hole.

    `engaged` [mm] of thread, `wanted` [mm] of it, `room` [mm] left below the tip (negative: it
    bottoms, and clamps nothing). `short`: less engaged than wanted. `close`: less room than is
    usual. `bottoms`: no room at all.
    """

    engaged: float
    wanted: float
    room: float
    short: bool
    close: bool
    bottoms: bool


def fit(
    proud: float, diameter: float, hole: float, into: Into = "aluminium", counterbore: float = 0.0
) -> Fit:
    """How a bolt that stands `proud` [mm] sits in a threaded hole.

    `diameter` [mm] of the thread, `hole` [mm] the depth to which it is threaded, from the joint
    face, `into` the metal, `counterbore` [mm] at its mouth without thread. A bolt that bottoms
    jacks its cover off, or breaks through into what lies below, while the wrench clicks as ever.

    Raises ValueError for a diameter of 0 or less, or a counterbore deeper than the hole.

    Source: elementary geometry; engagement and room are common practice, no source.

    >>> fit(4.9, 6.0, 12.0).short, fit(13.9, 6.0, 12.0).bottoms
    (True, True)
    """
    if not diameter > 0.0 or not 0.0 <= counterbore <= hole:
        raise ValueError("the diameter must be above 0, the counterbore within the hole")
    engaged = max(0.0, min(proud, hole) - counterbore)
    wanted = LEAST_ENGAGEMENT[into] * diameter
    room = hole - proud
    return Fit(engaged, wanted, room, engaged < wanted, room < ROOM_BELOW, room < 0.0)


def shear_area(thread: Thread, engaged: float) -> float:
    """The area along which the thread in the hole shears [mm²]: 7/8 π d l.

    `engaged` [mm] of whole turns. At the basic profile: a worn bolt, a wide hole or a loose class
    of fit leaves less.

    Source: [1]_, with all tolerances 0.

    >>> round(shear_area(Thread(6.0, 1.0), 9.0), 1)
    148.4
    """
    return 0.875 * math.pi * thread.diameter * engaged


def strip_load(thread: Thread, engaged: float, shear_strength: float) -> float:
    """The load at which the thread in the hole strips at the earliest [N]: τ 7/8 π d l.

    `engaged` [mm] of whole turns, `shear_strength` [MPa] of the metal of the boss, which is the
    user's to know: castings vary, and a thread that has been used many times has lost some.

    Source: [1]_.

    >>> round(strip_load(Thread(6.0, 1.0), 9.0, 150.0))
    22266
    """
    return shear_area(thread, engaged) * shear_strength
