"""The whole answer about shells: for each place the pick, its sum, its chance and the advice."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from gudgeon.faults import Fault
from gudgeon.fit.joint import Forecast, joint_chance
from gudgeon.fit.settings import ShellSettings, shell_settings
from gudgeon.fit.shells.advice import advice, ground_question, refusal, strip, strip_text
from gudgeon.fit.shells.agree import Agreement, Case, agreement, common_shift
from gudgeon.fit.shells.bearing import Bearing
from gudgeon.fit.shells.choose import Option, best, by_measurement, options, wanted_wall
from gudgeon.fit.shells.gather import Group, groups, journal_bounds, journal_limit
from gudgeon.fit.shells.sums import Sums, cross_check, sum_of
from gudgeon.log.job import Job, Shop
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.readings import Table
from gudgeon.metrology.suspicions import Suspicions, suspicions
from gudgeon.sheet.select import Shells

Half = Literal["upper", "lower"]
HALVES: Final[tuple[Half, Half]] = ("upper", "lower")


@dataclass(frozen=True, slots=True)
class ShellPick:
    """The choice at one place.

    Attributes:
        bearing: what is known of the place. options: all allowed pairs, thinnest first.
        pick: the pair to fit; None where none is legal or nothing can be said.
        measured: the pair by measurement alone. wanted: the wall by measurement alone [mm].
        agreement: whether code and measurement agree.
        advice: what to do, in order. refused: why no pair was picked; empty where one was.
        sum, sum_measured: the clearance of the pick as it is expected, and by the measurements as
            they stand. cross: what the second route, bore with shells in, says.
        strip: what a plastic strip should show, and its expanded uncertainty [mm].
        expect: the same in words. sources: where each half comes from, `drawer` or `buy`.
    """

    bearing: Bearing
    options: tuple[Option, ...]
    pick: Option | None
    measured: Option | None
    wanted: Measured | None
    agreement: Agreement
    advice: tuple[str, ...]
    refused: str
    sum: Sums | None
    sum_measured: Sums | None
    cross: str
    strip: tuple[float, float] | None
    expect: str
    sources: Mapping[Half, str]

    @property
    def place(self) -> str:
        """Address."""
        return self.bearing.place

    @property
    def group(self) -> str:
        """Name of the group of shells."""
        return self.bearing.group


@dataclass(frozen=True, slots=True)
class ShellBuy:
    """Halves to buy.

    Attributes:
        group: of shells. grade: which. half: upper or lower.
        undersize: of the journal [mm]. count: how many. places: for which. price: of one.
    """

    group: str
    grade: str
    half: Half
    undersize: float
    count: int
    places: tuple[str, ...]
    price: float | None


@dataclass(frozen=True, slots=True)
class GroupPicks:
    """One group of shells: its picks and what is said of it as a whole.

    Attributes:
        group: what it was made from. picks: in the order of the places.
        chance_all: that all its clearances land in the window, shared errors counted; None where
            a place has no pick or there is no window.
        notes: what concerns all places, such as a gauge that seems wrongly set.
    """

    group: Group
    picks: tuple[ShellPick, ...]
    chance_all: float | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShellPicks:
    """Everything about the shells of one engine.

    Attributes:
        groups: by group. buy: halves to buy. faults: what could not be used.
        chance_all: that all clearances land in their windows; None where it can't be said.
    """

    groups: tuple[GroupPicks, ...]
    buy: tuple[ShellBuy, ...]
    faults: tuple[Fault, ...]
    chance_all: float | None

    @property
    def picks(self) -> tuple[ShellPick, ...]:
        """The picks of all groups."""
        return tuple(pick for group in self.groups for pick in group.picks)


def shell_picks(
    job: Job,
    table: Table,
    shop: Shop,
    settings: ShellSettings | None = None,
    asked: Suspicions | None = None,
) -> ShellPicks:
    """Choose shells for every place of the engine that takes them. Changes nothing.

    The diameter at a place is the mean of its spots, at its latest epoch, unless something done
    since has made it stale.

    Args:
        job: sheet and log together. table: its readings, from `read_all`.
        shop: what the engines share: the drawer.
        settings: by default those the job and the shop set.
        asked: what is questioned in the job, and how its strings of marks fit, where that was
            worked out before.
    """
    settings = settings or shell_settings(job.settings, shop.settings)
    asked = asked or suspicions(job, table)
    drawer = _drawer(shop)
    found = [_group(job, group, settings, drawer) for group in groups(job, table, asked)]
    picks = [pick for group in found for pick in group.picks]
    faults = [*settings.faults, *(fault for group in found for fault in group.group.faults)]
    return ShellPicks(tuple(found), tuple(_buy(found)), tuple(faults), _chance(picks))


def _group(
    job: Job, group: Group, settings: ShellSettings, drawer: Counter[tuple[str, str]]
) -> GroupPicks:
    limit, bounds = journal_limit(job, group.spec), journal_bounds(job, group)
    picks = []
    for bearing in group.bearings:
        found = options(group.spec, bearing, settings)
        wanted = wanted_wall(bearing)
        by_size = by_measurement(found, wanted)
        case = Case(
            group.spec,
            bearing,
            found,
            best(found, bearing, settings, by_size),
            by_size,
            limit,
            group.tests,
            settings.strip_spread,
        )
        picks.append(_pick(case, wanted, ground_question(case, bounds), drawer))
    shifts = [
        common_shift([b.housing for b in group.bearings], "housing"),
        common_shift([b.journal for b in group.bearings], "journal"),
    ]
    notes = (*(shift for shift in shifts if shift), *group.assumed.values())
    return GroupPicks(group, tuple(picks), _chance(picks), notes)


def _pick(
    case: Case, wanted: Measured | None, question: str, drawer: Counter[tuple[str, str]]
) -> ShellPick:
    bearing = case.bearing
    steps = advice(case)
    return ShellPick(
        bearing,
        case.options,
        case.pick,
        case.measured,
        wanted,
        agreement(case),
        tuple(step for step in (*_unused(bearing), question, *steps) if step),
        refusal(case) if case.pick is None else "",
        None if case.pick is None else sum_of(bearing, case.pick),
        None if case.pick is None else sum_of(bearing, case.pick, measured_only=True),
        cross_check(bearing),
        strip(case),
        strip_text(case),
        _sources(case.spec, bearing, case.pick, drawer),
    )


def _unused(bearing: Bearing) -> tuple[str, ...]:
    return *bearing.housing.read.unused, *bearing.journal.read.unused


def _chance(picks: Sequence[ShellPick]) -> float | None:
    """The chance that all land in their windows, errors in common counted."""
    forecasts = []
    for pick in picks:
        if pick.pick is None or pick.pick.chance is None:
            return None
        low, high = pick.bearing.window
        clearance = pick.pick.clearance
        forecasts.append(
            Forecast(
                clearance.value,
                -math.inf if low is None else low,
                math.inf if high is None else high,
                clearance.parts,
            )
        )
    return joint_chance(forecasts, tolerance=5e-4).all if forecasts else None


def _drawer(shop: Shop) -> Counter[tuple[str, str]]:
    """Sound shells in the drawer, by group and grade."""
    held: Counter[tuple[str, str]] = Counter()
    for piece in shop.drawer:
        if piece.mark and piece.condition == "good":
            held[(piece.group, piece.mark)] += piece.count
    return held


def _sources(
    spec: Shells, bearing: Bearing, pick: Option | None, drawer: Counter[tuple[str, str]]
) -> dict[Half, str]:
    """Where each half comes from; what is taken from the drawer is gone from it.

    The drawer does not say whether a shell is an upper or a lower, nor its undersize: where that
    matters, halves are bought.
    """
    if pick is None:
        return {}
    found: dict[Half, str] = {}
    for half, grade in zip(HALVES, pick.halves, strict=True):
        key = (bearing.group, grade)
        if drawer[key] > 0 and not spec.halves_marked and not bearing.undersize:
            drawer[key] -= 1
            found[half] = "drawer"
        else:
            found[half] = "buy"
    return found


def _buy(found: Sequence[GroupPicks]) -> Iterator[ShellBuy]:
    for group in found:
        spec = group.group.spec
        lines: dict[tuple[str, Half, float], list[str]] = {}
        for pick in group.picks:
            if pick.pick is None:
                continue
            for half, grade in zip(HALVES, pick.pick.halves, strict=True):
                if pick.sources[half] == "buy":
                    key = (grade, half, pick.bearing.undersize)
                    lines.setdefault(key, []).append(pick.place)
        order = list(group.group.form.walls)
        for grade, half, undersize in sorted(
            lines, key=lambda k: (order.index(k[0]), k[1] != "upper")
        ):
            places = lines[(grade, half, undersize)]
            own = spec.grades[grade].price
            price = own if own is not None else spec.price
            yield ShellBuy(
                group.group.name, grade, half, undersize, len(places), tuple(places), price
            )
