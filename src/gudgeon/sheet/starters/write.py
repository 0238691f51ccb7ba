"""Writing a starter: the rows that an engine's layout calls for, as a sheet to fill in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from gudgeon.sheet.starters.bottom import CRANK, DRIVE, PUMPS
from gudgeon.sheet.starters.cylinders import CYLINDERS
from gudgeon.sheet.starters.figures import written
from gudgeon.sheet.starters.head import CAMS, HEAD
from gudgeon.sheet.starters.rows import Choice, Clearance, Ends, Measure, Section, Value, wanted

#: Layouts a sheet can be started from.
LAYOUTS: Final = (*(f"inline{count}" for count in range(1, 7)), "v2", "flat2")
_SECTIONS: Final = (HEAD, CAMS, CYLINDERS, CRANK, DRIVE, PUMPS)
_VALVES: Final = {
    2: ("[1]", "[1]"),
    3: ("[L, R]", "[1]"),
    4: ("[L, R]", "[L, R]"),
    5: ("[L, M, R]", "[L, R]"),
}
_ENDS: Final[dict[Ends, str]] = {
    "max": "{max: }",
    "min": "{min: }",
    "both": "{min: , max: }",
}
Lines = Iterator[str]


def starter(choice: Choice) -> str:
    """A sheet for an engine of that layout, complete and blank.

    >>> text = starter(Choice(layout="inline1", valves=2))
    >>> text.splitlines()[0]
    '# Engine sheet, to be filled in from the manual. What you leave blank is recorded, not judged.'
    """
    parts: tuple[Callable[[Choice], Lines], ...] = (
        _head,
        _places,
        _turning,
        _features,
        _derive,
        _fits,
        _select,
        _oversizes,
        _rest,
    )
    return "".join(f"{line}\n" for part in parts for line in part(choice))


def shims_only(choice: Choice) -> str:
    """The smallest sheet that gets shims picked: places, the clearance, its window, the series."""
    return "".join(f"{line}\n" for part in _SHORT for line in part(choice))


def _head(choice: Choice) -> Lines:
    yield (
        "# Engine sheet, to be filled in from the manual. What you leave blank is recorded, not"
        " judged."
    )
    yield "# Beside each limit goes its page, as source: p. 3-21. Check with: gudgeon sheet check"
    yield "sheet: 1"
    yield f"unit: {choice.unit} # unit of every length that names none; others as 1.417 in"
    yield "currency: # shown before prices"
    yield ""
    yield "engine:"
    yield "  name: # what you call this engine type"
    yield "  code: # the letters before the engine number, so that another one's sheet shows"
    yield "  capacity: # stated swept volume, as 599 cc"
    yield "  bore: # nominal bore"
    yield "  stroke: # stroke"
    yield "  layout:"
    yield from _layout(choice)
    yield "  notes: # anything a reader should know"


def _layout(choice: Choice) -> Lines:
    kind = {"v": "v", "f": "flat"}.get(choice.layout[0], "inline")
    yield f"    kind: {kind}"
    if kind == "v":
        yield "    angle: # angle between the banks, degrees"
        yield "    banks: {front: [1], rear: [2]} # which cylinder stands in which"
    elif kind == "flat":
        yield "    banks: {left: [1], right: [2]} # which cylinder stands in which"
    yield f"    bore-kind: {choice.bores} # iron can be rebored; plated cannot"
    yield f"    big-ends: {choice.big_ends} # plain run in shells; roller have none"


def _places(choice: Choice) -> Lines:
    count = choice.cylinders
    mains = count + 1 if choice.layout.startswith("inline") else 2
    yield ""
    yield "places:"
    yield "  end: # which end is 1 counted from, as: 1 = left, sitting on the machine"
    yield f"  cylinder: {count}"
    yield _valve_line(choice)
    cams = "[in, ex]"
    if choice.two_heads:
        cams = "[1in, 1ex, 2in, 2ex]"
    yield f"  cam: {cams} # strike out what the engine has not got"
    yield f"  head: {2 if choice.two_heads else 1}"
    yield f"  cam-journal: {{each: cam, names: {max(2, count // 2 + 1)}}} # count those of one cam"
    yield f"  pin: {count} # big ends, one for each rod"
    yield f"  main: {mains} # count them"
    yield "  gear-shaft: [input, output]"
    yield "  fork: 3 # count them"


def _valve_line(choice: Choice) -> str:
    inlet, exhaust = _VALVES[choice.valves]
    return f"  valve: {{each: cylinder, in: {inlet}, ex: {exhaust}}} # seen from above, end 1 left"


def _turning(choice: Choice) -> Lines:
    firing = ", ".join(f"{number + 1}: " for number in range(choice.cylinders))
    yield ""
    yield "turning:"
    yield f"  firing: {{{firing}}} # crank degrees after cylinder 1's firing TDC, over 720"
    yield "  direction: # which way the crank turns, seen from where"
    yield "  mark: # the mark that shows TDC of cylinder 1"
    yield "  in: {opens: , closes: } # degrees before TDC, after BDC"
    yield "  ex: {opens: , closes: } # degrees before BDC, after TDC"
    yield f"  max-temperature: # warmest {_CLEARANCE[choice.cooling]}, degrees C"
    yield "  source:"


_CLEARANCE: Final = {
    "liquid": "coolant at which clearances may be read",
    "air": "head at which clearances may be read",
}


def _kept(section: Section, choice: Choice) -> set[str]:
    return {row.name for row in section.measures if wanted(row.only, choice)}


def _features(choice: Choice) -> Lines:
    yield ""
    yield "# What is measured. new is the range of a new part, where the manual gives one."
    yield "features:"
    for section in _SECTIONS:
        yield f"  # --- {section.title}"
        for row in section.measures:
            if wanted(row.only, choice):
                yield from _feature(row, section.part, choice)


def _feature(row: Measure, part: str, choice: Choice) -> Lines:
    yield f"  {row.name}: # {row.note}"
    yield f"    at: {row.at}"
    yield f"    part: {part}"
    material = row.of
    if row.name == "bore":
        material = "aluminium" if choice.bores == "plated" else "iron"
    for key, value in (
        ("kind", "" if row.kind == "size" else row.kind),
        ("plan", row.plan),
        ("of", material),
        ("by", row.by),
        ("state", row.state),
        ("wears", row.wears),
        ("epochs", row.epochs),
    ):
        if value:
            yield f"    {key}: {value}"
    if row.kind == "size":
        yield "    new: {min: , max: }"
        yield "    source:"


def _derive(choice: Choice) -> Lines:
    yield ""
    yield "# Values derived from the readings, with their limits: new is what you build to,"
    yield "# service is what you may refit."
    yield "derive:"
    for section in _SECTIONS:
        kept = _kept(section, choice)
        yield f"  # --- {section.title}"
        for row in section.values:
            if row.of in kept:
                yield from _value(row, section.part)


def _value(row: Value, part: str) -> Lines:
    yield f"  {row.name}: # {row.note}"
    yield f"    from: {row.of}"
    yield f"    rule: {row.rule}"
    yield f"    part: {part}"
    yield f"    new: {_ENDS[row.ends]}"
    yield f"    service: {_ENDS[row.ends]}"
    yield "    source:"


def _fits(choice: Choice) -> Lines:
    yield ""
    yield "# Clearances between two features at one place: hole less shaft."
    yield "fits:"
    for section in _SECTIONS:
        kept = _kept(section, choice)
        for row in section.fits:
            if row.hole in kept and row.shaft in kept:
                yield from _fit(row, section.part)


def _fit(row: Clearance, part: str) -> Lines:
    yield f"  {row.name}: # {row.note}"
    yield f"    hole: {row.hole}"
    yield f"    take: {row.take}"
    yield f"    shaft: {row.shaft}"
    yield f"    less: {row.less}"
    yield f"    part: {part}"
    yield "    new: {min: , max: }"
    yield "    service: {max: }"
    yield "    source:"


def _select(choice: Choice) -> Lines:
    yield ""
    yield "# What is chosen by size."
    yield "select:"
    yield from _shims(choice)
    if choice.big_ends == "plain":
        yield "  shells:"
        yield from _shells("main-shell", "main", "main-housing", "main-journal", "main-fitted")
        yield from _shells("rod-shell", "pin", "rod-housing", "crank-pin", "rod-fitted")


def _shims(choice: Choice) -> Lines:
    yield "  shims:"
    yield "    at: valve"
    yield "    gap: gap"
    yield "    tip: tip"
    yield f"    gear: {choice.gear}"
    if choice.gear in ("finger", "rocker-screw"):
        yield "    ratio: # movement at the valve for each unit at the cam"
        yield "    read-at: # where the blade goes: cam or stem"
    if choice.gear == "rocker-screw":
        yield "    screw-pitch: # pitch of the adjusting screw"
    yield "    window: # clearance allowed, cold"
    for name, ends in (("in", choice.inlet), ("ex", choice.exhaust)):
        low, high = (written(text, choice.unit) for text in ends)
        yield f"      {name}: {{min: {low}, max: {high}}}"
    if choice.gear != "rocker-screw":
        yield "    series: # sizes that can be bought; add a line for each family"
        thin, thick, step = (written(text, choice.unit) for text in choice.series)
        yield f"      - {{from: {thin}, to: {thick}, step: {step}, tolerance: , price: }}"
        yield "    diameter: # so that only the right family is used"
        yield (
            f"    marking: {choice.marking}".rstrip()
            + " # quarters (178 is 1.775), hundredths (175), thousandths (1775) or millimetres"
        )
    yield "    aim: {in: , ex: } # clearance to aim at; blank is the middle of the window"
    yield "    bedding: {min: , max: } # change in the first hours, as -0.03 to -0.01"
    yield "    source:"


def _shells(name: str, at: str, housing: str, journal: str, fitted: str) -> Lines:
    yield f"    {name}:"
    yield f"      at: {at}"
    yield f"      housing: {housing}"
    yield f"      journal: {journal}"
    yield f"      fitted: {fitted}"
    yield "      window: {min: , max: } # oil clearance, new"
    yield "      service: {max: } # oil clearance, worn"
    yield "      aim: # blank is the middle of the window"
    yield "      case: # marks of the housings: the end they are read from, range of each mark"
    yield "        reads-from:"
    yield "        marks: # {A: [36.000, 36.006], B: [36.006, 36.012]}"
    yield "        source:"
    yield "      crank: # marks of the journals"
    yield "        reads-from:"
    yield "        marks:"
    yield "        source:"
    yield "      scheme: # table, difference, sum or halves"
    yield "        kind:"
    yield "        cells: # table: {A: {1: brown, 2: green}, B: {1: green, 2: black}}"
    yield "      grades: # thickness of one wall: {brown: 1.490, green: 1.493}"
    yield "      wall-tolerance: # greatest departure of a wall, plus or minus"
    yield "      mixing: # never, adjacent or table: may the two halves differ"
    yield "      undersizes: # undersizes of the journal for which shells are made"
    yield "      price: # price of one half"
    yield "      source:"


def _oversizes(choice: Choice) -> Lines:
    if choice.bores != "iron" and choice.big_ends != "plain":
        return
    yield ""
    yield "# Sizes a part may be cut to."
    yield "oversizes:"
    if choice.bores == "iron":
        yield from _oversize("rebore", "bore", "piston", "steps on the diameter, as [0.25, 0.50]")
    if choice.big_ends == "plain":
        for name, feature in (("main-regrind", "main-journal"), ("pin-regrind", "crank-pin")):
            yield from _oversize(name, feature, "", "steps taken off the diameter")


def _oversize(name: str, feature: str, along: str, note: str) -> Lines:
    yield f"  {name}:"
    yield f"    feature: {feature}"
    if along:
        yield f"    with: {along}"
    yield f"    steps: # {note}"
    yield "    largest: # the size it may be cut to at the most (of a journal, at the least)"
    yield "    price:"
    yield "    source:"


def _rest(choice: Choice) -> Lines:
    yield ""
    yield "# Parts that are always renewed, for the order."
    yield "renew:"
    for what in ("head gasket", "gaskets and seals", "gudgeon pin clips", "copper washers"):
        yield f"  - {{what: {what}, count: , price: , where: , source: }}"
    yield ""
    yield "# Cautions of the manual that belong in the record, one line each."
    yield "cautions:"
    yield "  -"


def _short_head(choice: Choice) -> Lines:
    yield "# A sheet for valve shims alone. Fill in the window; the rest as far as you have it."
    yield "sheet: 1"
    yield f"unit: {choice.unit}"
    yield "engine:"
    yield "  name: # what you call this engine type"
    yield "places:"
    yield "  end: # which end is 1 counted from, as: 1 = left, sitting on the machine"
    yield f"  cylinder: {choice.cylinders}"
    yield _valve_line(choice)
    yield "features:"
    yield "  gap: {at: valve, kind: gap, by: feeler, epochs: [found, dry, built]}"
    yield "  # tip: stem height, before and after the seats are cut; not read where they are not."
    yield "  tip: {at: valve, kind: height, by: depth-micrometer, epochs: [found, seated]}"
    yield "select:"


_SHORT: Final[tuple[Callable[[Choice], Lines], ...]] = (_short_head, _shims)
