"""The measuring page: one position at a time, and the number that is read there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Final

from gudgeon.bench.desk import Desk
from gudgeon.bench.page import Page, drawn, plain
from gudgeon.bench.rounds import Round, rounds
from gudgeon.bench.state import Ask
from gudgeon.log.entries import Feeler, Reading
from gudgeon.metrology.answered import right_as_read
from gudgeon.record.spot_drawing import spot_drawing
from gudgeon.record.svg import SCREEN

#: Fields of an entry that the page needs to know a reading by.
_SHOWN: Final = (
    "id", "at", "device", "kind", "place", "feature", "epoch", "attempt", "spot",
    "typed", "unit", "goes", "wont", "feel", "instrument", "part_temp", "gauge_temp",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Measuring:
    """The page: every round of the job, so that it can go on where there is no link to the bench.

    Attributes:
        job, engine: names. count: entries the log had. rounds: what there is to read.
        readings: what was read and counts. answered: questions that somebody has answered.
        feature, epoch, place: where to begin, if the address says.
        drawings: by feature, where its spots lie. plan: the same values, for the page's script.
    """

    job: str
    engine: str
    invented: bool
    unit: str
    count: int
    rounds: tuple[Round, ...]
    readings: tuple[dict[str, Any], ...]
    answered: tuple[str, ...]
    feature: str
    epoch: str
    place: str
    drawings: dict[str, str] = drawn()
    plan: dict[str, Any] = drawn()


def view(ask: Ask) -> Measuring:
    """The rounds of the job in the address, and what was read of them."""
    desk, name = ask.bench.desk, ask.parts["job"]
    count = desk.state(name).job
    job = desk.job(name)
    every = desk.result(name, "rounds", lambda: rounds(job, desk.shop(name)))
    made = Measuring(
        name,
        job.sheet.engine.name,
        bool(job.sheet.engine.invented),
        job.sheet.unit,
        count,
        every,
        (*map(_shown, job.readings), *map(_shown, job.feelers)),
        tuple(sorted(right_as_read(job.settings))),
        ask.query.get("feature", "")[:40],
        ask.query.get("epoch", "")[:10],
        ask.query.get("place", "")[:60],
        _drawings(desk, name, every),
    )
    return replace(made, plan=plain(made))


def _shown(entry: Reading | Feeler) -> dict[str, Any]:
    fields = entry.model_dump(mode="json", exclude_none=True)
    return {key: fields[key] for key in _SHOWN if key in fields}


def _drawings(desk: Desk, name: str, every: tuple[Round, ...]) -> dict[str, str]:
    def make() -> dict[str, str]:
        made = {}
        for item in every:
            wears = desk.job(name).sheet.features[item.feature].wears
            made[item.feature] = spot_drawing(dict(item.axes), item.kind, item.at, wears, SCREEN)
        return made

    return desk.result(name, "spot drawings", make)


PAGE: Final = Page("measure", "/jobs/{job}/measure", view, script=True, tab="job")
