"""A strike-out takes out, a strike-out of it brings back, whatever the order."""

from __future__ import annotations

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from gudgeon.log.strikes import Strike, struck_by


def test_a_chain_of_strike_outs_alternates() -> None:
    chain = [Strike(f"s{n}", f"s{n - 1}" if n else "r") for n in range(9)]
    struck, circle = struck_by(chain)
    assert set(struck) == {"r", "s1", "s3", "s5", "s7"}
    assert circle == frozenset()


def test_a_circle_strikes_nothing_and_is_named() -> None:
    struck, circle = struck_by([Strike("a", "b"), Strike("b", "a"), Strike("c", "r")])
    assert struck == {"r": ""}
    assert circle == {"a", "b"}
    assert struck_by([Strike("a", "a")]) == ({}, frozenset("a"))


def test_a_strike_out_from_outside_opens_a_circle() -> None:
    struck, circle = struck_by([Strike("a", "b"), Strike("b", "a"), Strike("c", "a", "why")])
    assert set(struck) == {"a"}
    assert circle == frozenset()


def test_two_strike_outs_of_one_entry_and_the_first_reason_stands() -> None:
    both = [Strike("s1", "r", "first"), Strike("s2", "r", "second")]
    assert struck_by(both)[0] == {"r": "first"}
    assert struck_by([*both, Strike("s3", "s1")])[0] == {"r": "second", "s1": ""}


def test_a_very_long_chain_is_no_trouble() -> None:
    chain = [Strike(f"s{n}", f"s{n - 1}") for n in range(20_000)]
    assert len(struck_by(chain)[0]) == 10_000


IDS = st.sampled_from([f"s{n}" for n in range(6)])
STRIKES = st.dictionaries(IDS, IDS | st.just("r"), max_size=6).map(
    lambda found: [Strike(key, target) for key, target in found.items()]
)


@given(STRIKES, st.randoms(use_true_random=False))
def test_the_order_makes_no_difference(strikes: list[Strike], chance: Random) -> None:
    shuffled = chance.sample(strikes, len(strikes))
    assert struck_by(shuffled) == struck_by(strikes)


@given(STRIKES)
def test_what_counts_follows_the_rule(strikes: list[Strike]) -> None:
    struck, circle = struck_by(strikes)
    for strike in strikes:
        if strike.id in circle:
            continue
        takes_it_out = [s for s in strikes if s.target == strike.id and s.id not in circle]
        assert (strike.id in struck) == any(s.id not in struck for s in takes_it_out)


@given(STRIKES)
def test_striking_every_free_strike_out_undoes_it(strikes: list[Strike]) -> None:
    targets = {strike.target for strike in strikes}
    free = [strike for strike in strikes if strike.id not in targets]
    undone = [*strikes, *(Strike(f"u-{strike.id}", strike.id) for strike in free)]
    without = [strike for strike in strikes if strike not in free]
    assert set(struck_by(undone)[0]) - {s.id for s in free} == set(struck_by(without)[0])
