"""From the wrench to the clamp load: T = K F d, what K is worth, and adapters.

A torque is a poor ruler for a clamp load: most of it is friction. K holds all of that in one
number and is always assumed, so no load from it stands without its scatter. Bolts that are
tightened by angle or to yield are never judged or tightened by torque alone.

References
----------
.. [1] Shigley's Mechanical Engineering Design, 9th ed., section 8-8, equation 8-27, Tables 8-14
   and 8-15.
.. [2] NASA-STD-5020 (2012), Table 3, typical preload variation, as quoted elsewhere; the standard
   itself was not seen.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from gudgeon.clamp.threads import PropertyClass, Thread, proof_load
from gudgeon.formulas import Size


class TorqueFactor(NamedTuple):
    """A torque factor K [no unit] for a condition of the thread, and where it comes from."""

    condition: str
    k: float
    source: str


_SHIGLEY: Final = "Shigley, 9th ed., Table 8-15"
_PRACTICE: Final = "common practice, no source"

#: Sources disagree: "lubricated" is 0.18 to one, "oiled" 0.15 to another. None knows your bolt.
TORQUE_FACTORS: Final = (
    TorqueFactor("condition not stated", 0.20, _SHIGLEY),
    TorqueFactor("black finish, not plated", 0.30, _SHIGLEY),
    TorqueFactor("zinc plated", 0.20, _SHIGLEY),
    TorqueFactor("lubricated", 0.18, _SHIGLEY),
    TorqueFactor("cadmium plated", 0.16, _SHIGLEY),
    TorqueFactor("oiled", 0.15, _PRACTICE),
    TorqueFactor("anti-seize", 0.12, _SHIGLEY),
    TorqueFactor("molybdenum grease", 0.11, _PRACTICE),
)
ASSUMED_K: Final = 0.20

#: Share by which the load of one torque varies from bolt to bolt; [2]_. Not a standard deviation.
SCATTER: Final[dict[str, float]] = {"dry": 0.35, "lubricated": 0.25}


def clamp_load(torque: Size, diameter: float, k: float = ASSUMED_K) -> Size:
    """The clamp load of a torque [N]: F = T / (K d).

    `torque` [N·m], `diameter` [mm] nominal, `k` [no unit] the torque factor, 0.20 where nothing is
    known. For dry or oiled steel threads short of yield. Always give it with `load_range`.

    Raises ValueError for a diameter or factor of 0 or less.

    Source: [1]_ eq. 8-27.

    >>> round(clamp_load(25.0, 8.0)), round(clamp_load(25.0, 8.0, 0.15))
    (15625, 20833)
    """
    if not (diameter > 0.0 and k > 0.0):
        raise ValueError("diameter and torque factor must be above 0")
    return torque * (1000.0 / (k * diameter))


def torque_for(load: Size, diameter: float, k: float = ASSUMED_K) -> Size:
    """The torque for a clamp load [N·m]: T = K F d.

    `load` [N], `diameter` [mm] nominal, `k` [no unit]. For checking a torque that a manual gives,
    never for making one up.

    Source: [1]_ eq. 8-27.

    >>> round(torque_for(22783.5, 8.0), 3)
    36.454
    """
    return load * (k * diameter / 1000.0)


def load_range(load: float, condition: str = "dry") -> tuple[float, float]:
    """The loads one and the same torque may give from bolt to bolt [N].

    `load` [N] as forecast; `condition` a name in `SCATTER`.

    Raises ValueError for another condition.

    Source: [2]_.

    >>> load_range(10000.0)
    (6500.0, 13500.0)
    """
    if condition not in SCATTER:
        raise ValueError(f"{condition!r} is none of {', '.join(SCATTER)}")
    share = SCATTER[condition]
    return load * (1.0 - share), load * (1.0 + share)


def proof_share(
    torque: Size, thread: Thread, property_class: PropertyClass, k: float = ASSUMED_K
) -> Size:
    """Clamp load over proof load [no unit]: T / (K d S_p A_s).

    `torque` [N·m], `k` [no unit]. Of the bolt alone: a thread in an aluminium boss usually gives
    way first (`bolts.strip_load`).

    Raises ValueError for a class that does not exist at that diameter.

    Source: [1]_ eq. 8-27; ISO 898-1:2013.

    >>> from gudgeon.clamp.threads import class_named, thread_named
    >>> round(proof_share(36.454, thread_named("M8x1.25"), class_named("10.9")), 4)
    0.7498
    """
    return clamp_load(torque, thread.diameter, k) / proof_load(thread, property_class)


def arm_ratio(wrench: float, adapter: float, angle: float = 0.0) -> float:
    """Torque at the fastener over torque on the wrench [no unit]: (L + E cos θ) / L.

    `wrench` [mm] from the centre of its drive to the middle of the grip, `adapter` [mm] from the
    centre of the drive to the centre of the fastener, `angle` [degrees] between them: **0 straight
    out, away from the hand; 90 square to the wrench, no correction; 180 folded back**, toward the
    hand. The pull is square to the wrench and at the middle of its grip. Some public pages have 0
    and 90 the wrong way round; the geometry decides.

    Raises ValueError for a wrench of 0 or less, an adapter below 0, or one folded back as far as
    the hand.

    Source: moments about the fastener; US Army TM 1-1500-204-23-9 for 0°, NAVEDTRA 14008 for 90°.

    >>> [round(arm_ratio(380.0, 45.0, angle), 4) for angle in (0, 90, 180)]
    [1.1184, 1.0, 0.8816]
    """
    if not (wrench > 0.0 and adapter >= 0.0):
        raise ValueError("the wrench must be longer than 0, the adapter not below it")
    arm = wrench + adapter * math.cos(math.radians(angle))
    if not arm > 0.0:
        raise ValueError("the fastener would lie under the hand: no torque could reach it")
    return arm / wrench


def adapter_setting(torque: Size, wrench: float, adapter: float, angle: float = 0.0) -> Size:
    """What to set a wrench with an adapter on it to [N·m]: T L / (L + E cos θ).

    `torque` [N·m] wanted at the fastener; `wrench` [mm], `adapter` [mm] and `angle` [degrees] as
    for `arm_ratio`: 0 straight out, 90 no correction, 180 folded back.

    Raises ValueError as `arm_ratio` does.

    Source: `arm_ratio`.

    >>> [round(adapter_setting(25.0, 380.0, 45.0, angle), 2) for angle in (0, 45, 90, 180)]
    [22.35, 23.07, 25.0, 28.36]
    """
    return torque / arm_ratio(wrench, adapter, angle)


def torque_through(setting: Size, wrench: float, adapter: float, angle: float = 0.0) -> Size:
    """The torque at the fastener when a wrench with an adapter clicks [N·m]: S (L + E cos θ) / L.

    `setting` [N·m] of the wrench; `wrench` [mm], `adapter` [mm] and `angle` [degrees] as for
    `arm_ratio`.

    Raises ValueError as `arm_ratio` does.

    Source: `arm_ratio`.

    >>> round(torque_through(25.0, 380.0, 45.0), 2)
    27.96
    """
    return setting * arm_ratio(wrench, adapter, angle)


def angle_travel(pitch: float, angle: Size) -> Size:
    """How far an angle stage drives the nut along its thread [mm]: p angle / 360.

    `pitch` [mm], `angle` [degrees]. Bolt and joint share it: the bolt's stretch is less.

    Source: elementary geometry.

    >>> angle_travel(1.25, 90.0)
    0.3125
    """
    return angle * (pitch / 360.0)
