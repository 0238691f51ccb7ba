"""What a record holds, as plain values: texts as they are printed, and figures as SVG.

The page builder sees nothing else, so that a record can be made from an invented fixture in a test
just as from a job.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing with the words for a reader who can't see it, and a line under it."""

    svg: str
    alt: str
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Title:
    """The title block.

    Attributes:
        engine: name of the engine type. job: name of the job. job_title: the owner's words.
        sheet_file, sheet_hash: the sheet judged by. date: of the record, ISO 8601.
        facts: short facts of the engine, such as (`bore`, `81.0`).
        invented: whether the engine does not exist.
    """

    engine: str
    job: str
    sheet_file: str
    sheet_hash: str
    date: str
    job_title: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    invented: bool = False


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One size against its limits, as printed.

    Attributes:
        place, what: of what. value: with its unit's digits. u: expanded uncertainty.
        new, service: limits. page: where they come from. word: verdict word. chance: of conforming
        to the service limit, printed. strip: SVG of value and limits. unit: mm
        or g. formula: how it came about. notes: anything odd. shared: what
        holds for all places of this size.
    """

    place: str
    what: str
    value: str
    u: str
    new: str
    service: str
    page: str
    word: str
    chance: str = ""
    strip: str = ""
    unit: str = "mm"
    formula: str = ""
    notes: tuple[str, ...] = ()
    shared: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadingTable:
    """Readings as typed: a column for each spot, a row for each place; weights: widths."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    note: str = ""
    weights: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PartSection:
    """The findings of one part, the readings behind them, and figures."""

    name: str
    findings: tuple[FindingRow, ...] = ()
    readings: tuple[ReadingTable, ...] = ()
    figures: tuple[Figure, ...] = ()
    not_measured: str = ""


@dataclass(frozen=True, slots=True)
class Slip:
    """A reading that may be a slip: an open question, nothing was changed."""

    place: str
    as_read: str
    question: str
    corrected: str
    chance: str
    entry: str


@dataclass(frozen=True, slots=True)
class ShimRow:
    """One valve's shim, with its sums: the size wanted, and what the one picked leaves."""

    place: str
    total: str
    shim: str
    source: str
    clearance: str
    window: str
    chance: str
    leaves: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BuiltRow:
    """What was read after the build, beside what was forecast."""

    place: str
    shim: str
    read: str
    window: str
    verdict: str
    chance: str
    forecast: str


@dataclass(frozen=True, slots=True)
class ShimPart:
    """The choice of shims for the whole head.

    Attributes:
        chance_all: that all valves named by `chance_of` land in their windows the first time.
        measure_again: valve, what to do, chance of the whole head then. frontier: what is bought,
        for how much, with what chance. stops: crank angle, where that is, valves to read there.
        turning: how to turn it there.
    """

    rows: tuple[ShimRow, ...]
    chance_all: str = ""
    chance_of: str = "every valve"
    words: tuple[str, ...] = ()
    measure_again: tuple[tuple[str, str, str], ...] = ()
    frontier: tuple[tuple[str, str, str], ...] = ()
    page: str = ""
    figure: Figure | None = None
    built: tuple[BuiltRow, ...] = ()
    stops: tuple[tuple[str, str, str], ...] = ()
    turning: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShellRow:
    """One place's shells: by code, by measurement, and what is to be fitted."""

    place: str
    marks: str
    by_code: str
    by_measurement: str
    pick: str
    clearance: str
    window: str
    chance: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShellPart:
    """The choice of shells at one kind of place."""

    name: str
    rows: tuple[ShellRow, ...]
    words: tuple[str, ...] = ()
    page: str = ""
    figure: Figure | None = None


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One line of the order, as printed."""

    what: str
    size: str
    count: str
    places: str
    price: str
    total: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class OrderPart:
    """The order list with its sum."""

    rows: tuple[OrderRow, ...] = ()
    total: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RecordData:
    """Everything a record prints.

    Attributes:
        drawings: rows of figures for page one. drawing_key: what stands at the places.
        exceptions: what a reader must know before anything else; printed on page one.
        counts: verdict word -> how many. undecided: places and what would decide them.
        slips: open questions. stale: results that no longer stand, with the reason.
        departures: where this engine is not as its sheet says.
        struck: struck-out entries: what it said, and why it was struck.
        notes: remarks of the log. cautions: of the sheet's manual. rules: how verdicts
        were reached. unusable: entries that could not be used.
    """

    title: Title
    drawings: tuple[tuple[Figure, ...], ...] = ()
    drawing_key: str = ""
    exceptions: tuple[str, ...] = ()
    counts: tuple[tuple[str, int], ...] = ()
    undecided: tuple[tuple[str, str], ...] = ()
    slips: tuple[Slip, ...] = ()
    stale: tuple[str, ...] = ()
    parts: tuple[PartSection, ...] = ()
    shims: ShimPart | None = None
    shells: tuple[ShellPart, ...] = ()
    order: OrderPart = field(default_factory=OrderPart)
    departures: tuple[tuple[str, str], ...] = ()
    struck: tuple[tuple[str, str], ...] = ()
    notes: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    unusable: tuple[str, ...] = ()
