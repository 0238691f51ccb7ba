"""Whether readings are of another engine: told when they are, silent when they may be its own."""

from __future__ import annotations

import random
from statistics import fmean

from gudgeon.metrology.ranges import Expected
from gudgeon.metrology.whose import Known, Read, whose

NEW = Expected(57.990, 58.010, 0.06)


def engine(rng: random.Random, mean: float, count: int) -> Known:
    """An engine with so many readings at its four places."""
    places = [f"cylinder/{1 + number % 4}" for number in range(count)]
    return Known([Read(place, rng.gauss(mean, 0.012)) for place in places], NEW)


def readings(rng: random.Random, mean: float, count: int) -> list[Read]:
    return [Read(f"cylinder/{rng.randint(1, 4)}", rng.gauss(mean, 0.012)) for _ in range(count)]


def test_another_size_is_noticed_at_the_third_reading() -> None:
    """Even where neither engine has been measured: their sheets tell."""
    mine, other = Known([], NEW), Known([], Expected(66.990, 67.010, 0.06))
    rng = random.Random(1)
    taken = readings(rng, 67.02, 3)
    assert whose(taken[:2], mine, {"twin": other}) is None
    found = whose(taken, mine, {"twin": other})
    assert found is not None
    assert found.job == "twin"
    assert found.posterior > 0.9


def test_engines_of_one_kind_seldom_raise_the_question_in_vain() -> None:
    """Six alike engines in the shop, worn alike: 0.4 % at the most of 1,000 sittings."""
    rng = random.Random(2)
    vain = 0
    for _ in range(1000):
        mine = engine(rng, rng.uniform(58.0, 58.06), rng.choice([0, 0, 6, 12]))
        others = {str(n): engine(rng, rng.uniform(58.0, 58.06), 12) for n in range(6)}
        mean = fmean(r.value for r in mine.earlier) if mine.earlier else rng.uniform(58.0, 58.06)
        vain += whose(readings(rng, mean, rng.randint(3, 8)), mine, others) is not None
    assert vain <= 10


def test_an_engine_a_millimetre_away_is_mostly_noticed() -> None:
    """Of one kind, but on another oversize."""
    rng = random.Random(3)
    noticed = 0
    for _ in range(200):
        mine = engine(rng, 58.02, 12)
        others = {"a": engine(rng, 58.52, 12), "b": engine(rng, 58.03, 12)}
        found = whose(readings(rng, 58.52, 4), mine, others)
        noticed += found is not None and found.job == "a"
    assert noticed >= 190


def test_readings_that_fit_nobody_ask_nothing_about_the_engine() -> None:
    """A gauge set wrong, an oversize: other questions are for those."""
    mine, other = Known([], NEW), Known([], Expected(66.990, 67.010, 0.06))
    assert whose([Read("cylinder/1", 60.5)] * 6, mine, {"twin": other}) is None
    assert whose([Read("cylinder/1", 67.0)] * 6, mine, {}) is None
    assert whose([Read("cylinder/1", 67.0)] * 6, Known(), {"twin": other}) is None
