"""ISO metric threads and the property classes of steel bolts.

Only metric ISO threads are known. Inch and pipe threads, and threads for sheet metal, wood and
inserts, have other shapes; stainless bolts (ISO 3506) have other classes.

References
----------
.. [1] ISO 261:1998, general plan: diameters with their pitches, of which ISO 262 is a choice. From
   memory; pitches to M24 agree with three public tables.
.. [2] ISO 724:1993 and ISO 68-1: basic dimensions from the 60° profile.
.. [3] ISO 898-1:2013, Table 3, mechanical properties, by way of two public copies that agree.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from typing import Final, NamedTuple

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

#: Pitches [mm] by nominal diameter [mm], the coarse one first; [1]_.
PITCHES: Final[dict[float, tuple[float, ...]]] = {
    1.6: (0.35, 0.2),
    2.0: (0.4, 0.25),
    2.5: (0.45, 0.35),
    3.0: (0.5, 0.35),
    3.5: (0.6, 0.35),
    4.0: (0.7, 0.5),
    5.0: (0.8, 0.5),
    6.0: (1.0, 0.75),
    7.0: (1.0, 0.75),
    8.0: (1.25, 1.0, 0.75),
    9.0: (1.25, 1.0, 0.75),
    10.0: (1.5, 1.25, 1.0, 0.75),
    11.0: (1.5, 1.0, 0.75),
    12.0: (1.75, 1.5, 1.25, 1.0),
    14.0: (2.0, 1.5, 1.25, 1.0),
    16.0: (2.0, 1.5, 1.0),
    18.0: (2.5, 2.0, 1.5, 1.0),
    20.0: (2.5, 2.0, 1.5, 1.0),
    22.0: (2.5, 2.0, 1.5, 1.0),
    24.0: (3.0, 2.0, 1.5, 1.0),
    27.0: (3.0, 2.0, 1.5, 1.0),
    30.0: (3.5, 3.0, 2.0, 1.5, 1.0),
    33.0: (3.5, 3.0, 2.0, 1.5),
    36.0: (4.0, 3.0, 2.0, 1.5),
    39.0: (4.0, 3.0, 2.0, 1.5),
}
_THREAD: Final = re.compile(
    r"\s*[Mm]\s*([0-9]{1,3}(?:[.,][0-9]{1,3})?)"
    r"(?:\s*[x×X*-]\s*([0-9]{1,2}(?:[.,][0-9]{1,4})?))?\s*(?:mm)?\s*",
    re.ASCII,
)
_HIGH: Final = math.sqrt(3.0) / 2.0  # height of the sharp triangle for a pitch of 1


@dataclass(frozen=True, slots=True)
class Thread:
    """A metric thread of the ISO 68-1 profile: nominal `diameter` [mm] and `pitch` [mm].

    >>> str(Thread(8.0, 1.25)), round(Thread(8.0, 1.25).stress_area, 3)
    ('M8x1.25', 36.609)
    """

    diameter: float
    pitch: float

    def __str__(self) -> str:
        return f"M{self.diameter:g}x{self.pitch:g}"

    @property
    def pitch_diameter(self) -> float:
        """d₂ [mm]: d − 3/4 H, with H = √3/2 p.

        Source: ISO 724.

        >>> round(Thread(6.0, 1.0).pitch_diameter, 3)
        5.35
        """
        return self.diameter - 0.75 * _HIGH * self.pitch

    @property
    def minor_diameter(self) -> float:
        """D₁ [mm] of the nut thread: d − 5/4 H. Also the widest hole to tap, less its tolerance.

        Source: ISO 724.

        >>> round(Thread(6.0, 1.0).minor_diameter, 3)
        4.917
        """
        return self.diameter - 1.25 * _HIGH * self.pitch

    @property
    def root_diameter(self) -> float:
        """d₃ [mm] of the bolt's rounded root: d − 17/12 H.

        Source: ISO 898-1, clause on the stress area; ISO 68-1.

        >>> round(Thread(6.0, 1.0).root_diameter, 3)
        4.773
        """
        return self.diameter - 17.0 / 12.0 * _HIGH * self.pitch

    @property
    def stress_area(self) -> float:
        """A_s [mm²]: π/4 ((d₂ + d₃) / 2)², which is π/4 (d − 0.9382 p)².

        Source: ISO 898-1:2013.

        >>> round(Thread(6.0, 1.0).stress_area, 1)
        20.1
        """
        mean = (self.pitch_diameter + self.root_diameter) / 2.0
        return math.pi / 4.0 * mean * mean


def thread_named(text: str, where: str = "thread") -> Thread:
    """The thread in `text`: "M6x1", "m6 × 1,0", or "M6" for the coarse pitch.

    Raises Unusable, naming `where` and the nearest threads that are known.

    Source: [1]_ for the pitches, and for the way a thread is written.

    >>> str(thread_named("m10 x 1,25")), str(thread_named("M8"))
    ('M10x1.25', 'M8x1.25')
    """
    found = _THREAD.fullmatch(text) if len(text) <= 40 else None
    if found is None:
        right = "write a metric ISO thread like M6x1; inch threads are not known"
        raise Unusable(Fault(where, f"{shown(text)} is not a thread", right))
    diameter = float(found[1].replace(",", "."))
    pitch = float(found[2].replace(",", ".")) if found[2] else None
    pitches = PITCHES.get(diameter)
    if pitches is None:
        near = sorted(PITCHES, key=lambda known: abs(known - diameter))[:2]
        names = " or ".join(str(Thread(known, PITCHES[known][0])) for known in sorted(near))
        wrong = f"{shown(text)} is not a thread of ISO 261 from M1.6 to M39"
        raise Unusable(Fault(where, wrong, f"the nearest are {names}"))
    if pitch is None:
        return Thread(diameter, pitches[0])
    if pitch not in pitches:
        names = " or ".join(str(Thread(diameter, known)) for known in pitches)
        wrong = f"{shown(text)} has a pitch that ISO 261 does not give an M{diameter:g}"
        raise Unusable(Fault(where, wrong, f"use {names}"))
    return Thread(diameter, pitch)


class PropertyClass(NamedTuple):
    """A property class [MPa]: least tensile strength, least yield (0.2 %), proof stress.

    `above` holds the same three for diameters over 16 mm: None where they stay, empty where the
    class ends there.
    """

    name: str
    tensile: float
    yields: float
    proof: float
    above: tuple[float, ...] | None = None

    def __str__(self) -> str:
        return self.name


#: By name; [3]_. "600 for 8.8" is the proof stress over 16 mm: smaller bolts have 580.
CLASSES: Final[dict[str, PropertyClass]] = {
    item.name: item
    for item in (
        PropertyClass("4.6", 400, 240, 225),
        PropertyClass("4.8", 420, 340, 310),
        PropertyClass("5.6", 500, 300, 280),
        PropertyClass("5.8", 520, 420, 380),
        PropertyClass("6.8", 600, 480, 440),
        PropertyClass("8.8", 800, 640, 580, (830, 660, 600)),
        PropertyClass("9.8", 900, 720, 650, ()),
        PropertyClass("10.9", 1040, 940, 830),
        PropertyClass("12.9", 1220, 1100, 970),
    )
}


def class_named(text: str, where: str = "class") -> PropertyClass:
    """The property class in `text`, as stamped on the head: "8.8", "10,9".

    Raises Unusable, naming `where` and the nearest classes that are known.

    Source: [3]_.

    >>> class_named("8.8").proof
    580
    """
    plain = text.strip().replace(",", ".")
    if plain in CLASSES:
        return CLASSES[plain]
    near = difflib.get_close_matches(plain[:20], CLASSES, n=2, cutoff=0.5) or list(CLASSES)
    wrong = f"{shown(text)} is not a property class of ISO 898-1"
    right = f"use {' or '.join(near)}; stainless and inch grades are not known"
    raise Unusable(Fault(where, wrong, right))


def strengths(property_class: PropertyClass, diameter: float) -> tuple[float, float, float]:
    """Least tensile strength, least yield and proof stress [MPa] at that `diameter` [mm].

    Raises ValueError where the class does not exist at that diameter.

    Source: ISO 898-1:2013, Table 3.

    >>> strengths(CLASSES["8.8"], 8.0), strengths(CLASSES["8.8"], 20.0)
    ((800, 640, 580), (830, 660, 600))
    """
    if diameter <= 16.0 or property_class.above is None:
        return property_class.tensile, property_class.yields, property_class.proof
    if not property_class.above:
        raise ValueError(f"class {property_class} ends at M16; M{diameter:g} is larger")
    tensile, yields, proof = property_class.above
    return tensile, yields, proof


def proof_load(thread: Thread, property_class: PropertyClass) -> float:
    """The load a bolt bears without lasting stretch [N]: proof stress × stress area.

    Raises ValueError as `strengths` does.

    Source: ISO 898-1:2013; its tables of loads are this, rounded down.

    >>> round(proof_load(Thread(8.0, 1.25), CLASSES["8.8"]))
    21233
    """
    return strengths(property_class, thread.diameter)[2] * thread.stress_area


def tensile_load(thread: Thread, property_class: PropertyClass) -> float:
    """The load a bolt must bear before it breaks [N]: tensile strength × stress area.

    Raises ValueError as `strengths` does.

    Source: ISO 898-1:2013.

    >>> round(tensile_load(Thread(8.0, 1.25), CLASSES["8.8"]))
    29287
    """
    return strengths(property_class, thread.diameter)[0] * thread.stress_area
