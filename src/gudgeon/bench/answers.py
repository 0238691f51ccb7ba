"""The answers to a question, each with the entries that it writes.

Nothing typed is changed: an answer adds entries. They come without `id` and `at`, which the device
that answers gives them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from gudgeon.bench.asking import Question, asked
from gudgeon.bench.words import words_of
from gudgeon.metrology.answered import PREFIX
from gudgeon.record.figures import percent
from gudgeon.record.said import spoken_in

if TYPE_CHECKING:
    from gudgeon.bench.asking import Instead
    from gudgeon.bench.desk import Desk
    from gudgeon.log.job import Job, Shop
    from gudgeon.metrology.findings import Findings

#: What the device that answers fills in.
_FILLED: Final = {"id", "at", "device", "prev"}


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer. words: on its key. entries: what it writes, in order."""

    words: str
    entries: tuple[dict[str, Any], ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A question with its answers.

    Attributes:
        key: what `right as read` remembers. place: of the first reading; empty for the engine.
        why: the explanation. text: as one would ask it. chance: of the explanation, in words.
        posterior: the same, from 0 to 1.
        answers: to it.
    """

    key: str
    place: str
    why: str
    text: str
    chance: str
    posterior: float
    answers: tuple[Answer, ...]


def open_questions(desk: Desk, name: str) -> tuple[Asked, ...]:
    """Every open question of a job, likeliest first, worked out once for each state of its log.

    Raises:
        Missing: there is no such job.
    """

    def make() -> tuple[Asked, ...]:
        return questions(desk.job(name), desk.shop(name), desk.findings(name))

    return desk.result(name, "open questions", make)


def questions(job: Job, shop: Shop, found: Findings) -> tuple[Asked, ...]:
    """Every open question of a job, likeliest first.

    Those of the measuring page, feature by feature, and those that only the whole engine raises:
    a string of marks read from its wrong end, a shim whose mark disagrees with the micrometer.
    """
    every: dict[str, Question] = {}
    for feature in job.sheet.features:
        for question in asked(job, shop, feature):
            every.setdefault(question.key, question)
    known = {item.entry for question in every.values() for item in question.readings}
    told = [_asked(job, question) for question in every.values()]
    for slip in found.slips:
        if slip.entry not in known and slip.group not in every and slip.entry not in every:
            told.append(
                Asked(
                    slip.entry,
                    slip.place,
                    slip.explanation,
                    spoken_in(slip.question, job.sheet.layout),
                    percent(slip.posterior),
                    slip.posterior,
                    tuple(_stand_or_strike(slip.entry, slip.explanation)),
                )
            )
    return tuple(sorted(told, key=lambda item: -item.posterior))


def _asked(job: Job, question: Question) -> Asked:
    return Asked(
        question.key,
        question.readings[0].place if question.readings else "",
        question.why,
        spoken_in(question.text, job.sheet.layout),
        percent(question.posterior),
        question.posterior,
        tuple(_answers(job, question)),
    )


def _answers(job: Job, question: Question) -> Iterator[Answer]:
    words = words_of("answers")
    ids = [item.entry for item in question.readings]
    if question.kind == "twice":
        yield Answer(words("both-stand"), (right_as_read(question.key),))
        for item in question.readings:
            strike = strike_of(item.entry, question.why)
            yield Answer(words("strike", v=item.as_read), (strike,))
        return
    written = {entry.id: entry for entry in (*job.readings, *job.feelers)}
    instead = [item for item in question.readings if item.typed and item.entry in written]
    if instead:
        first = f"{instead[0].typed} {instead[0].unit}".strip()
        many = f" (× {len(instead)})" if len(instead) > 1 else ""
        entries = [
            entry
            for item in instead
            for entry in _taken(written[item.entry].model_dump(mode="json"), item, question.why)
        ]
        yield Answer(words("take", v=first + many), tuple(entries))
    elif question.departure:
        yield Answer(words("take-departure"), (dict(question.departure),))
    yield Answer(words("right-as-read"), tuple(right_as_read(key) for key in ids or [question.key]))
    if ids:
        reason = words("reason-again")
        strikes = tuple(strike_of(entry, reason) for entry in ids)
        yield Answer(words("measure-again"), strikes)


def _taken(old: dict[str, Any], item: Instead, why: str) -> Iterator[dict[str, Any]]:
    """The same reading with another number in its place, the old one struck, and why."""
    words = words_of("answers")
    kept = {key: value for key, value in old.items() if key not in _FILLED and value is not None}
    yield strike_of(item.entry, why)
    yield {**kept, "typed": item.typed, "unit": item.unit}
    text = words("note-taken", v=f"{item.typed} {item.unit}", read=item.as_read, why=why)
    yield {"kind": "note", "place": item.place, "text": text}


def _stand_or_strike(entry: str, why: str) -> Iterator[Answer]:
    words = words_of("answers")
    yield Answer(words("right-as-read"), (right_as_read(entry),))
    yield Answer(words("strike-it"), (strike_of(entry, why),))


def strike_of(target: str, reason: str) -> dict[str, Any]:
    """The entry that strikes another out."""
    return {"kind": "strike", "target": target, "reason": reason}


def right_as_read(key: str) -> dict[str, Any]:
    """The entry that says that what was questioned is right as read.

    >>> right_as_read("m-07")["value"]
    'm-07'
    """
    name = PREFIX + hashlib.sha256(key.encode()).hexdigest()[:12]
    return {"kind": "setting", "name": name, "value": key}
