"""The cautions every record and measuring sheet carries, in one place.

They are reminders in plain words, not instructions: the maker's manual and local codes come first.
Common practice, no source; nothing here is a limit.
"""

from __future__ import annotations

from typing import Final, NamedTuple


class Caution(NamedTuple):
    """A caution: what it is about, and what it asks."""

    about: str
    words: str


FIRST: Final = Caution(
    "Manual and codes first",
    "The maker's manual and local codes come before this paper. A limit printed here is only what"
    " was typed from the page beside it: check that page before you act on it.",
)
QUALIFIED: Final = Caution(
    "Machining and welding",
    "Boring, grinding, line boring and structural welding are work for qualified people with the"
    " right machine. Give them the sizes to reach, and measure what comes back.",
)
CAUTIONS: Final[tuple[Caution, ...]] = (
    FIRST,
    QUALIFIED,
    Caution(
        "Lifting and supporting",
        "Know the weight before you lift. Hang the engine from points made for it, hold the machine"
        " so that it can't tip when the engine leaves it, and never reach under a load.",
    ),
    Caution(
        "Springs under load",
        "Valve springs, cam-chain tensioners, clutch and starter springs let go without warning."
        " Use a compressor that can't slip, keep your face out of line, and wear eye protection.",
    ),
    Caution(
        "Turning the engine",
        "Turn it by hand only, the right way round, plugs out, with fingers and tools clear of"
        " gears, chain and ports. Stop at the first resistance: a valve may be on a piston.",
    ),
    Caution(
        "Solvents and blasting media",
        "Work with air moving and gloves on; read the label. Blasting media hides in oilways and"
        " pores and ruins bearings: keep it out of an engine, or treat the part as contaminated"
        " until every gallery is proved clean.",
    ),
    Caution(
        "Brake cleaner, fuel and fire",
        "Vapour finds flames, heaters and sparks across the room. Some cleaners give off poison"
        " when heated: never weld or heat a part that is still wet. Keep an extinguisher at hand.",
    ),
    Caution(
        "Bolts tightened by angle",
        "A bolt tightened beyond its yield is stretched for good. Renew it wherever the manual"
        " says so, and use the lubricant the manual names: another one changes the load.",
    ),
    Caution(
        "First start",
        "Prime the oil before the first firing, watch the pressure, and stop at once if there is"
        " none. Be ready for fuel leaks, hot parts and turning shafts. Clearances read after the"
        " build must stand in this record before it runs.",
    ),
)
SHORT: Final = (
    "The maker's manual and local codes come first. Springs under load, solvents and lifting hurt"
    " people: read the manual's cautions. Machining and structural welding by qualified people."
)
INVENTED: Final = (
    "INVENTED ENGINE: every figure here is made up for demonstration. Build nothing by it."
)
