"""Slips: found when they are there, silent when they are not, on simulated worn engines.

The engines are invented: bores worn at the top across the thrust axis, one of them often much more
than the others, journals and stems worn one by one, normal scatter, a zero error each instrument.
"""

from __future__ import annotations

import random
import time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.metrology.engine import SHEET, job, measured, moved, reading, retyped, shop, spots

from gudgeon.log.entries import Reading
from gudgeon.metrology.findings import findings
from gudgeon.metrology.hypotheses import exchanged, hypotheses_of
from gudgeon.metrology.priors import PRIORS, SHOWN_FROM
from gudgeon.metrology.readings import read_all
from gudgeon.metrology.slips import Slip, find_slips
from gudgeon.metrology.suspicions import suspicions

#: Features whose readings are held together by siblings or a new range.
HELD = ("bore", "piston", "housing", "journal", "stem", "lobe")


def slips(entries: list[Reading]) -> tuple[Slip, ...]:
    return find_slips(SHEET, read_all(job(*entries), shop()))


def pick(entries: list[Reading], feature: str, chance: random.Random) -> int:
    return chance.choice([n for n, entry in enumerate(entries) if entry.feature == feature])


@pytest.mark.parametrize("inch", [False, True])
def test_good_readings_raise_fewer_than_two_questions_in_a_thousand(inch: bool) -> None:
    asked = total = 0
    for seed in range(40):
        entries = measured(seed, inch)
        total += len(entries)
        asked += len(suspicions(job(*entries), read_all(job(*entries), shop())).slips)
    assert total > 8000
    assert asked / total < 0.002


@pytest.mark.parametrize(("inch", "turn"), [(False, 0.5), (True, 0.025)])
def test_a_thimble_turn_is_found_99_times_in_100(inch: bool, turn: float) -> None:
    found = planted = elsewhere = 0
    for seed in range(18):
        good = measured(seed, inch)
        chance = random.Random(seed)
        for feature in HELD:
            at = pick(good, feature, chance)
            entries = list(good)
            entries[at] = moved(good[at], turn * chance.choice([1, -1]))
            planted += 1
            asked = slips(entries)
            found += any(s.entry == entries[at].id and s.kind == "turn" for s in asked)
            elsewhere += sum(s.entry != entries[at].id for s in asked)
    assert planted >= 100
    assert found >= 0.99 * planted
    assert elsewhere <= 1


def test_the_question_gives_the_corrected_number_as_it_would_be_typed() -> None:
    entries = measured(2)
    at = next(n for n, entry in enumerate(entries) if entry.id == "journal.main-3.90.rear")
    entries[at] = moved(entries[at], -0.5)
    (slip,) = slips(entries)
    typed = float(entries[at].typed)
    assert slip.as_read == pytest.approx(typed)
    assert slip.corrected == pytest.approx(typed + 0.5)
    assert slip.posterior > 0.9
    assert slip.question.startswith(f"journal at main/3 (90 rear): {typed:.3f} mm?")
    assert f"{typed + 0.5:.3f} mm" in slip.question


def test_a_whole_place_a_turn_out_is_one_group_of_questions() -> None:
    good = measured(5)
    entries = [moved(e, 0.5) if (e.feature, e.place) == ("bore", "cylinder/2") else e for e in good]
    asked = slips(entries)
    assert {slip.entry for slip in asked} == {
        e.id for e in entries if (e.feature, e.place) == ("bore", "cylinder/2")
    }
    assert len({slip.group for slip in asked}) == 1
    assert {slip.kind for slip in asked} == {"turn"}


def test_a_whole_feature_a_turn_out_is_seen_by_its_new_range() -> None:
    entries = [moved(e, -0.5) if e.feature == "journal" else e for e in measured(6)]
    asked = slips(entries)
    assert len(asked) == 20
    assert {slip.explanation for slip in asked} == {"one turn of the thimble more (0.50 mm)"}


def test_two_turns_are_told_from_one() -> None:
    entries = measured(7)
    at = pick(entries, "journal", random.Random(1))
    entries[at] = moved(entries[at], 1.0)
    (slip,) = slips(entries)
    assert slip.kind == "two-turns"
    assert slip.corrected == pytest.approx(float(entries[at].typed) - 1.0)


@pytest.mark.parametrize("feature", ["bore", "journal", "stem", "piston"])
def test_inches_typed_as_millimetres_and_the_other_way_round(feature: str) -> None:
    for seed in range(5):
        entries = measured(seed)
        at = pick(entries, feature, random.Random(seed))
        mm = float(entries[at].typed)
        as_inch = list(entries)
        as_inch[at] = retyped(entries[at], f"{mm / 25.4:.4f}")
        as_mm = list(entries)
        as_mm[at] = retyped(entries[at], f"{mm:.3f}", unit="in")
        for wrong in (as_inch, as_mm):
            (slip,) = slips(wrong)
            assert (slip.entry, slip.kind) == (entries[at].id, "inch")
            assert slip.corrected == pytest.approx(mm, abs=0.002)


def test_digits_exchanged_are_found_where_wear_could_not_have_done_it() -> None:
    found = planted = 0
    for seed in range(30):
        entries = measured(seed)
        chance = random.Random(seed)
        at = pick(entries, chance.choice(HELD), chance)
        right = entries[at].typed
        far = [t for t in exchanged(right) if abs(float(t) - float(right)) > 0.25]
        if not far:
            continue
        entries[at] = retyped(entries[at], chance.choice(far))
        planted += 1
        found += any(
            slip.entry == entries[at].id
            and slip.kind == "digits"
            and slip.corrected == pytest.approx(float(right), abs=1e-6)
            for slip in slips(entries)
        )
    assert planted >= 20
    assert found >= 0.9 * planted


def test_a_badly_worn_cylinder_is_no_slip() -> None:
    """0.4 mm of wear at the top of one cylinder, tapering down: terrible, and real."""
    good = measured(8)
    share = {"top": 1.0, "mid": 0.5, "foot": 0.1}
    entries = [
        moved(e, 0.4 * share[e.spot["height"]])
        if (e.feature, e.place) == ("bore", "cylinder/4")
        else e
        for e in good
    ]
    assert not slips(entries)


def test_without_anything_to_hold_it_against_nothing_is_asked() -> None:
    assert not slips([reading("piston-mass", "cylinder/1", "168.4")])
    assert not slips([reading("tip", "valve/1/in/L", "38.21")])


def test_a_seated_height_is_held_against_the_one_found() -> None:
    tips = [
        reading("tip", place, f"{38.2 + 0.01 * n:.2f}", id=f"f{n}")
        for n, place in enumerate(SHEET.layout.of("valve"))
    ]
    seated = [
        e.model_copy(
            update={"id": f"s{n}", "epoch": "seated", "typed": f"{float(e.typed) + 0.1:.2f}"}
        )
        for n, e in enumerate(tips)
    ]
    assert not slips([*tips, *seated])
    seated[4] = moved(seated[4], 0.5)
    (slip,) = slips([*tips, *seated])
    assert (slip.entry, slip.kind) == ("s4", "turn")


@given(st.decimals(min_value="0.001", max_value="999", places=3))
def test_an_exchange_undone_is_the_number(number: Any) -> None:
    typed = str(number)
    for text in exchanged(typed):
        assert sorted(text) == sorted(typed)
        assert text.index(".") == typed.index(".")
        assert typed in exchanged(text)


@given(st.integers(0, 40), st.integers(0, 205))
def test_every_slip_moves_the_value_and_the_priors_leave_room_for_none(seed: int, at: int) -> None:
    entry = measured(seed)[at]
    taken = read_all(job(entry), shop()).taken[entry.id]
    assert taken.value is not None
    tried = hypotheses_of(taken, taken.value.value)
    assert all(item.value != pytest.approx(taken.value.value, abs=1e-9) for item in tried)
    assert 0.0 < sum(item.prior for item in tried) < 0.02


def test_every_prior_says_why_and_questions_are_shown_from_even_odds() -> None:
    assert all(0 < prior.chance < 0.5 and prior.per and prior.why for prior in PRIORS.values())
    assert SHOWN_FROM == 0.5


def test_a_job_of_five_hundred_readings_takes_little_time() -> None:
    """Sizes, verdicts and slips: 45 ms of processor time where this was written."""
    entries = [*measured(1), *(e.model_copy(update={"id": f"b{n}", "attempt": 2})
                               for n, e in enumerate(measured(1))),
               *(e.model_copy(update={"id": f"c{n}", "attempt": 3})
                 for n, e in enumerate(measured(1)[:90]))]  # fmt: skip
    assert len(entries) > 500
    made, owned = job(*entries), shop()
    best = min(_timed(lambda: findings(made, owned)) for _ in range(5))
    assert best < 0.120


def _timed(run: Any) -> float:
    start = time.process_time()
    run()
    return time.process_time() - start


def test_spots_of_the_simulated_engine_are_those_of_the_sheet() -> None:
    entries = measured(0)
    assert len(entries) == sum(
        len(SHEET.layout.of(SHEET.features[f].at)) * sum(1 for _ in spots(f))
        for f in {e.feature for e in entries}
    )
