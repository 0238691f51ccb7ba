"""Going on from a folded job says what folding the whole log says, or says nothing."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from gudgeon.bench.folding import folded_on
from gudgeon.log.codec import read_bodies
from gudgeon.log.entries import Entry, Note, StrikeOut
from gudgeon.log.fold import fold
from gudgeon.store.sqlite import SqliteStore


@pytest.fixture(scope="module")
def entries(laid_out: Path) -> list[Entry]:
    """The log of the demo's main job."""
    return read_bodies(SqliteStore(laid_out).read("triple"), "triple", "job")


def test_any_run_of_readings_is_as_the_whole_fold(entries: list[Entry]) -> None:
    chance, went = random.Random(3), 0
    for _ in range(40):
        first = chance.randrange(2, len(entries) - 1)
        upto = min(len(entries), first + chance.randrange(1, 30))
        before = fold("triple", entries[:first])
        new = entries[first:upto]
        chance.shuffle(new)
        more = folded_on(before, new)
        if more is not None:
            went += 1
            assert more == fold("triple", entries[:upto])
    assert went > 10


def test_what_may_change_the_rest_is_not_added(entries: list[Entry]) -> None:
    job = fold("triple", entries)
    late = "2027-01-01T08:00:00Z"
    strike = StrikeOut(id="s", at=late, target=entries[-1].id)
    early = Note(id="n", at="2020-01-01T08:00:00Z", text="early")
    nowhere = Note(id="n", at=late, text="nowhere", place="main/99")
    good = Note(id="n", at=late, text="good")
    for new in (strike, early, nowhere):
        assert folded_on(job, [new]) is None
    assert folded_on(job, [good, good]) is None
    struck_first = fold("triple", [*entries, strike.model_copy(update={"target": "n"})])
    assert folded_on(struck_first, [good.model_copy(update={"at": "2027-01-02T08:00:00Z"})]) is None
    assert folded_on(fold("none", []), [good]) is None
    more = folded_on(job, [good])
    assert more == fold("triple", [*entries, good])
