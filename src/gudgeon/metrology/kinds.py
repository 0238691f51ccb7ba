"""What each kind of instrument can tell, and what is known of the shop's own ones.

An instrument's error has two parts. The *setting* (zero, setting master, the hand that holds it)
is one for all readings of that instrument, so it cancels in a difference; the *reading* (division,
feel) is new each time. All figures here are common practice, no source: what a careful hand in an
unheated workshop reaches with a good instrument whose zero was checked. The shop's own figures go
before them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, NamedTuple


class Figures(NamedTuple):
    """Standard uncertainties of one instrument [mm; g for scales].

    Attributes:
        setting: of what all its readings share. reading: of each reading alone.
        division: the smallest step it is read to.
    """

    setting: float
    reading: float
    division: float


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of instrument.

    Attributes:
        name: as sheets and logs write it. words: as people say it.
        bands: up to which size [mm] -> half-width U that holds 95 % [mm; g for scales].
        share: which share of U² belongs to the setting; the rest is each reading's own.
        division: the smallest step it is read to.
        turn: what one thimble turn is worth [mm], 0 where there is no thimble in its chain.
        shared: what its readings share.
    """

    name: str
    words: str
    bands: tuple[tuple[float, float], ...]
    share: float
    division: float
    turn: float = 0.0
    shared: str = "zero"

    def expanded(self, size_mm: float) -> float:
        """Half-width U [mm] that holds 95 % at a size [mm].

        >>> KINDS["micrometer-0.01"].expanded(57.9)
        0.008
        """
        return next((u for up_to, u in self.bands if abs(size_mm) <= up_to), self.bands[-1][1])

    def figures(self, size_mm: float) -> Figures:
        """The two parts at a size [mm], U taken as twice the standard uncertainty."""
        u = self.expanded(size_mm) / 2.0
        return Figures(u * math.sqrt(self.share), u * math.sqrt(1.0 - self.share), self.division)


_ANY = math.inf
# Setting : reading = 3 : 4 for a micrometer, whose zero was checked; 4 : 3 for a bore gauge, whose
# setting master decides; half and half where two instruments are chained.
_MIC, _SET, _EVEN = 0.36, 0.64, 0.5

KINDS: Final[dict[str, Kind]] = {
    kind.name: kind
    for kind in (
        Kind("feeler", "feeler blades", ((_ANY, 0.012),), 4.0 / 9.0, 0.01, shared="feel"),
        Kind(
            "micrometer-0.01",
            "micrometer, 0.01 thimble",
            ((25.0, 0.005), (50.0, 0.006), (_ANY, 0.008)),
            _MIC,
            0.01,
            0.5,
        ),
        Kind(
            "micrometer-0.001",
            "micrometer, 0.001",
            ((25.0, 0.003), (50.0, 0.004), (_ANY, 0.006)),
            _MIC,
            0.001,
            0.5,
        ),
        Kind("caliper", "caliper", ((_ANY, 0.030),), _MIC, 0.01),
        Kind(
            "bore-gauge",
            "dial bore gauge set to a micrometer",
            ((40.0, 0.006), (60.0, 0.008), (_ANY, 0.010)),
            _SET,
            0.001,
            0.5,
            "setting master",
        ),
        Kind(
            "telescopic",
            "telescopic gauge and micrometer",
            ((40.0, 0.012), (60.0, 0.018), (_ANY, 0.025)),
            _EVEN,
            0.01,
            0.5,
        ),
        Kind(
            "ball-gauge",
            "small-hole gauge and micrometer",
            ((6.0, 0.008), (_ANY, 0.012)),
            _EVEN,
            0.001,
            0.5,
        ),
        Kind("plunger-dial", "plunger dial, 0.01", ((_ANY, 0.012),), _MIC, 0.01),
        Kind("lever-dial", "lever test dial, 0.002", ((_ANY, 0.004),), _MIC, 0.002),
        Kind("depth-micrometer", "depth micrometer", ((_ANY, 0.006),), _MIC, 0.01, 0.5),
        Kind(
            "straight-edge",
            "straight-edge and feeler",
            ((_ANY, 0.015),),
            4.0 / 9.0,
            0.01,
            shared="feel",
        ),
        Kind("plastic-strip", "plastic gauging strip", ((_ANY, 0.008),), _EVEN, 0.005),
        Kind("scales", "scales, 0.1 g", ((_ANY, 0.15),), _EVEN, 0.1),
    )
}
#: Other names by which a kind may be written.
ALSO: Final[dict[str, str]] = {
    "feelers": "feeler",
    "blade": "feeler",
    "blades": "feeler",
    "mic": "micrometer-0.01",
    "micrometer": "micrometer-0.01",
    "micrometer-fine": "micrometer-0.001",
    "digital-micrometer": "micrometer-0.001",
    "bore-mic": "micrometer-0.001",
    "vernier": "caliper",
    "calipers": "caliper",
    "dial-bore-gauge": "bore-gauge",
    "telescopic-gauge": "telescopic",
    "small-hole-gauge": "ball-gauge",
    "hole-gauge": "ball-gauge",
    "dial": "plunger-dial",
    "dial-gauge": "plunger-dial",
    "test-dial": "lever-dial",
    "depth": "depth-micrometer",
    "depth-mic": "depth-micrometer",
    "straightedge": "straight-edge",
    "strip": "plastic-strip",
    "scale": "scales",
    "balance": "scales",
}
_BY_READING: Final[dict[str, str]] = {
    "gap": "feeler",
    "height": "depth-micrometer",
    "flatness": "straight-edge",
    "run-out": "plunger-dial",
    "mass": "scales",
}


def kind_named(name: str | None) -> Kind | None:
    """The kind of that name, under any of the names in use; none for one that is not known.

    >>> kind_named("depth").name
    'depth-micrometer'
    """
    if name is None:
        return None
    plain = name.strip().lower()
    return KINDS.get(plain) or KINDS.get(ALSO.get(plain, ""))


def usual_kind(reading: str, wears: str | None) -> Kind:
    """The kind one would take for a sort of reading where neither sheet nor entry says.

    >>> usual_kind("size", "larger").name, usual_kind("gap", None).name
    ('bore-gauge', 'feeler')
    """
    if reading == "size":
        return KINDS["bore-gauge" if wears == "larger" else "micrometer-0.01"]
    return KINDS[_BY_READING[reading]]
