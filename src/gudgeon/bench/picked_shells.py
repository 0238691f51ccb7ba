"""The shells of an engine as its page shows them: each place with its sum, its landing, advice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gudgeon.bench.addresses import place_of
from gudgeon.bench.drawing.small import Landing, landing
from gudgeon.bench.page import drawn
from gudgeon.bench.words import Words, words_of
from gudgeon.record.figures import percent
from gudgeon.record.said import listed, money, span, spoken, spoken_in, with_u

if TYPE_CHECKING:
    from gudgeon.fit.shells.report import GroupPicks, ShellBuy, ShellPick
    from gudgeon.log.job import Job


@dataclass(frozen=True, slots=True)
class ShellLine:
    """One place's shells. marks: as stamped. notes: what to do, in order."""

    place: str
    spoken: str
    to: str
    pick: str
    marks: str
    by_code: str
    by_measurement: str
    sum: str
    clearance: str
    window: str
    chance: str
    sources: str
    agreement: str
    notes: tuple[str, ...]
    figure: str = drawn()


@dataclass(frozen=True, slots=True)
class ShellPart:
    """One group of shells. strings: what was found of the strings of marks. notes: of the whole."""

    name: str
    chance: str
    lines: tuple[ShellLine, ...]
    strings: tuple[str, ...]
    notes: tuple[str, ...]
    buy: tuple[str, ...]
    page: str


def shell_part(job: Job, group: GroupPicks, bought: Sequence[ShellBuy]) -> ShellPart:
    """One group of shells, ready to be shown; `bought` is what is to be bought for the engine."""
    words, spec, layout = words_of("picks"), group.group.spec, job.sheet.layout
    sides = {"housing": words("on-case"), "journal": words("on-crank")}
    sources = [spec.source, spec.case and spec.case.source, spec.crank and spec.crank.source]
    currency = job.sheet.currency
    return ShellPart(
        group.group.name,
        "" if group.chance_all is None else percent(group.chance_all),
        tuple(_shell(job, pick, words) for pick in group.picks),
        tuple(f"{sides[role]}: {test.text}" for role, test in group.group.tests.items()),
        tuple(spoken_in(note, layout) for note in group.notes if note),
        tuple(
            words(
                "buy-shell-unpriced" if item.price is None else "buy-shell",
                n=item.count,
                grade=item.grade,
                half=item.half,
                price=money(item.price, currency),
                places=listed(spoken(place) for place in item.places),
            )
            for item in bought
            if item.group == group.group.name
        ),
        listed(dict.fromkeys(source for source in sources if source)),
    )


def _shell(job: Job, pick: ShellPick, words: Words) -> ShellLine:
    bearing, taken = pick.bearing, pick.pick
    low, high = bearing.window
    chance = percent(taken.chance) if taken is not None and taken.chance is not None else ""
    parts = (bearing.housing, bearing.journal)
    marks = listed(part.read.mark or words("no-mark") for part in parts)
    figure = ""
    if low is not None and high is not None:
        value = taken.clearance.value if taken else None
        u = taken.clearance.u if taken else 0.0
        named = words("landing", place=spoken(pick.place), chance=chance or words("not-known"))
        figure = landing(Landing(low, high, bearing.aim, value, u), named)
    sources = [words(f"from-{where}") for where in dict.fromkeys(pick.sources.values())]
    notes = [*pick.advice, pick.cross, pick.refused]
    if pick.expect:
        notes.append(words("prove", what=pick.expect))
    agreed = pick.agreement.word == "agree"
    return ShellLine(
        pick.place,
        spoken(pick.place),
        place_of(job.name, pick.place, "shells"),
        " / ".join(taken.halves) if taken else "",
        marks,
        str(bearing.by_code or ""),
        str(pick.measured.halves) if pick.measured else "",
        pick.sum.text if pick.sum else "",
        with_u(taken.clearance.value, taken.clearance.u) if taken else "",
        span(low, high),
        chance,
        listed(sources),
        "" if agreed else pick.agreement.text,
        tuple(spoken_in(note, job.sheet.layout) for note in notes if note),
        figure,
    )
