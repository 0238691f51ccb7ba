"""Valve events and lobe centres, in crank degrees as the trade writes them.

An inlet opens before top dead centre and closes after bottom; an exhaust opens before bottom and
closes after top. An event on the other side of its dead centre is negative. All events of one cam
belong to one lift, and that lift goes with them wherever they are written.
"""

from __future__ import annotations

import math
from typing import Final, Literal

from gudgeon.formulas import Size

Cam = Literal["in", "ex"]
CAMS: Final[tuple[Cam, ...]] = ("in", "ex")


def duration(opens: Size, closes: Size) -> Size:
    """How long a valve stays beyond the lift its events are read at: O + 180 + C [degrees].

    `opens` [degrees] before its dead centre, `closes` [degrees] after the other.

    Source: elementary arithmetic of the cycle.

    >>> duration(18.0, 46.0)
    244.0
    """
    return opens + closes + 180.0


def lobe_centre(cam: Cam, opens: Size, closes: Size) -> Size:
    """The lobe's centre from its events at equal lift [degrees].

    Inlet: (O + 180 + C) / 2 − O after top dead centre; exhaust: (O + 180 + C) / 2 − C before it.
    `opens` [degrees] and `closes` [degrees] as for `duration`. For symmetric lobes: on others
    the middle between two equal lifts is not the peak, so compare the events at a stated lift
    with the maker's instead.

    Source: elementary arithmetic of the cycle; common in degreeing instructions.

    >>> lobe_centre("in", 18.0, 46.0), lobe_centre("ex", 50.0, 12.0)
    (104.0, 109.0)
    """
    if cam == "in":
        return (closes - opens) / 2.0 + 90.0
    return (opens - closes) / 2.0 + 90.0


def events(cam: Cam, centre: Size, length: Size) -> tuple[Size, Size]:
    """The events a lobe centre and a duration give: opens, closes [degrees].

    `centre` [degrees] after (inlet) or before (exhaust) top dead centre, `length` [degrees] the
    duration. For symmetric lobes.

    Source: `lobe_centre`, solved for the events.

    >>> events("in", 104.0, 244.0), events("ex", 109.0, 242.0)
    ((18.0, 46.0), (50.0, 12.0))
    """
    near = length / 2.0 - centre
    far = length / 2.0 + centre - 180.0
    return (near, far) if cam == "in" else (far, near)


def centre_by_equal_lift(first: Size, second: Size) -> Size:
    """The lobe's centre from two disc readings at equal lift or equal drop: their mean [degrees].

    `first` [degrees] and `second` [degrees] from the same dead centre, in one sense. For
    symmetric lobes; the follower must be taken up from the same side both times.

    Source: symmetry of the lobe.

    >>> centre_by_equal_lift(61.0, 147.5)
    104.25
    """
    return (first + second) / 2.0


def overlap(inlet_opens: Size, exhaust_closes: Size) -> Size:
    """How long both valves stand open about top dead centre: the two events added [degrees].

    `inlet_opens` [degrees] before top dead centre, `exhaust_closes` [degrees] after it. Below 0
    there is none.

    Source: US Army TM 9-8000, p. 2-35.

    >>> overlap(28.0, 45.0)
    73.0
    """
    return inlet_opens + exhaust_closes


def lobe_separation(inlet_centre: Size, exhaust_centre: Size) -> Size:
    """The angle between the two lobes on the cam [cam degrees]: half of the centres' sum.

    `inlet_centre` [degrees of crank] after top dead centre, `exhaust_centre` [degrees of crank]
    before it.

    Source: elementary arithmetic; a cam turns at half the crank's speed.

    >>> lobe_separation(104.0, 109.0)
    106.5
    """
    return (inlet_centre + exhaust_centre) / 2.0


def slot_arc(radius: float, change: Size) -> Size:
    """How far a slotted cam wheel moves at its bolts for a change of timing: R (Δ / 2) π / 180.

    `radius` [mm] of the bolts, `change` [degrees of crank]; the result [mm] is along the arc.

    Source: elementary geometry; a cam turns at half the crank's speed.

    >>> round(slot_arc(22.0, 3.0), 3)
    0.576
    """
    return change * (math.radians(radius) / 2.0)


def lobe_lift(height: Size, base: Size) -> Size:
    """Lift of a lobe from two micrometer readings: height over the nose − base circle [mm].

    `height` [mm] through nose and heel, `base` [mm] the diameter of the base circle across it.
    Where the flanks reach past half of the lobe, the base circle can't be read so.

    Source: US Army TM 5-3805-258-24-1, p. 4-28.

    >>> round(lobe_lift(36.20, 28.05), 3)
    8.15
    """
    return height - base
