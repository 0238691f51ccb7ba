"""A log taken out and in again is the same log, and what happened to the file on the way shows."""

from __future__ import annotations

import json
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.log.helpers import bore, entry, opened

from gudgeon.faults import Conflict, Unusable
from gudgeon.log.canon import canonical, check_chain
from gudgeon.log.codec import body_of, read_bodies
from gudgeon.log.exchange import export_log, import_log
from gudgeon.log.fold import fold
from gudgeon.log.merging import chained, news, said_already, same_job

START = [body_of(item) for item in opened()]
WORDS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30)


def notes(*texts: str, prefix: str = "n") -> list[str]:
    return [body_of(entry("note", f"{prefix}{i}", text=text)) for i, text in enumerate(texts)]


def a_log(count: int = 8) -> list[str]:
    """A log of two devices, and two entries outside any chain."""
    first = chained((), START + notes(*"abc"), "bench")
    second = chained(first, notes(*"x" * count, prefix="t"), "tablet")
    return [*first, *second, *notes("y", "z", prefix="row")]


@given(st.lists(WORDS, max_size=8))
def test_out_and_in_again_byte_for_byte(texts: list[str]) -> None:
    bodies = chained((), START + notes(*texts), "bench")
    text = export_log("triple", bodies)
    found = import_log(text, "log.jsonl")
    assert (found.job, found.sealed) == ("triple", True)
    assert sorted(found.bodies) == sorted(bodies)
    assert export_log("triple", found.bodies) == text
    assert fold("j", read_bodies(found.bodies, "j")) == fold("j", read_bodies(bodies, "j"))


@given(st.randoms(use_true_random=False))
def test_the_order_of_storing_makes_no_difference(chance: Random) -> None:
    log = a_log()
    assert export_log("j", chance.sample(log, len(log))) == export_log("j", log)


def test_a_text_of_separators_stays_one_line() -> None:
    bodies = notes("a\u2028b\u2029c\x85d\x0be\nf\rg\x00h")
    found = import_log(export_log("j", bodies), "x")
    assert list(found.bodies) == bodies


def test_windows_line_ends_and_a_byte_order_mark_are_read() -> None:
    text = export_log("j", notes("a", "b")).replace("\n", "\r\n")
    assert len(import_log("\ufeff" + text, "x").bodies) == 2


def test_a_log_by_hand_needs_little() -> None:
    text = (
        '{"version": 1, "gudgeon": "log"}\n\n'
        '{"kind": "note", "text": "blue", "id": "n", "at": "2026-03-01T14:05:00+01:00"}\n'
    )
    found = import_log(text, "x")
    assert not found.sealed
    assert [json.loads(body)["device"] for body in found.bodies] == ["bench"]
    assert found.lines == {"n": 3}


def test_every_changed_bit_is_found_and_its_line_named() -> None:
    """Of the lines of entries each bit; a changed name of the job alone is nobody's to know."""
    log = a_log(3)
    text = export_log("j", [body for body in log if '"sheet"' not in body])
    data = text.encode()
    start = data.index(b"\n") + 1
    for position in range(start, len(data) - 1):
        line = data[:position].count(b"\n") + 1
        for bit in range(8):
            changed = bytearray(data)
            changed[position] ^= 1 << bit
            try:
                said = import_log(changed.decode("utf-8"), "x")
            except UnicodeDecodeError:
                continue  # the reader of files names the line
            except Unusable as refused:
                places = {fault.where.split(":")[1] for fault in refused.faults}
                assert str(line) in places or data[position] in b"\n", (position, bit, places)
            else:
                pytest.fail(f"bit {bit} of byte {position} went unseen: {said}")


@pytest.mark.parametrize("key", ["entries", "tips", "version", "gudgeon"])
def test_a_changed_header_is_found(key: str) -> None:
    first, _, rest = export_log("j", notes("a", "b")).partition("\n")
    header = json.loads(first)
    header[key] = {"entries": 3, "tips": ["0" * 64], "version": 0, "gudgeon": "lag"}[key]
    with pytest.raises(Unusable):
        import_log(f"{canonical(header)}\n{rest}", "x")


@pytest.mark.parametrize("keep", [0.2, 0.5, 0.9, 0.999])
def test_a_file_cut_off_is_refused_whole(keep: float) -> None:
    text = export_log("j", a_log(200))
    with pytest.raises(Unusable):
        import_log(text[: int(len(text) * keep)], "x")


@pytest.mark.parametrize("gone", range(1, 6))
def test_a_line_taken_out_is_found(gone: int) -> None:
    lines = export_log("j", a_log()).splitlines(keepends=True)
    with pytest.raises(Unusable, match="promises"):
        import_log("".join(lines[:gone] + lines[gone + 1 :]), "x")


def test_entries_of_the_wrong_log() -> None:
    stock = body_of(entry("stock", "p", group="shim", mark="178"))
    text = export_log("@shop", [stock])
    assert import_log(text, "x", "shop").bodies == (stock,)
    with pytest.raises(Unusable, match="does not belong in the log of a job"):
        import_log(text, "x")


class TestMerging:
    def test_what_is_there_is_not_new(self) -> None:
        log = a_log()
        assert news(log, log) == ((), len(log))
        more = notes("new", prefix="m")
        assert news(log, [*log[:3], *more, *more]) == (tuple(more), 4)

    def test_the_same_row_at_another_time_is_the_same(self) -> None:
        row = entry("note", "row", text="a")
        later = entry("note", "row", text="a", at="2026-04-01T00:00:00Z", device="other")
        assert news([body_of(row)], [body_of(later)]) == ((), 1)

    def test_another_text_under_one_id_is_a_conflict_with_its_place(self) -> None:
        with pytest.raises(Conflict, match=r"f\.csv:3: the log has another entry with the id 'r'"):
            news(
                [body_of(bore("r"))],
                [body_of(bore("n")), body_of(bore("r", "58.02"))],
                {"r": "f.csv:3"},
            )

    def test_what_is_said_under_another_id(self) -> None:
        log = [body_of(bore("r1")), body_of(bore("r2", "58.02"))]
        coming = [body_of(bore("s1")), body_of(bore("s2", "58.03")), body_of(bore("r2", "58.02"))]
        assert said_already(log, coming) == {"s1"}

    def test_copies_of_a_job_and_other_jobs(self) -> None:
        other = [body_of(entry("opened", "o2"))]
        assert same_job(START, a_log())
        assert not same_job(START, other)
        assert same_job(START, [*other, START[0]])
        assert same_job(START, notes("a"))

    @given(st.lists(WORDS, max_size=4), st.lists(WORDS, max_size=4))
    @settings(deadline=None)
    def test_two_copies_merge_to_one_log_either_way(self, a: list[str], b: list[str]) -> None:
        common = chained((), START, "bench")
        here = [*common, *chained(common, notes(*a, prefix="a"), "bench")]
        there = [*common, *chained(common, notes(*b, prefix="b"), "tablet")]
        one = [*here, *news(here, there).bodies]
        two = [*there, *news(there, here).bodies]
        assert export_log("j", one) == export_log("j", two)
        assert news(one, two).bodies == ()
        assert check_chain(one) == ()
        assert import_log(export_log("j", one), "x").sealed

    def test_a_chain_goes_on_where_the_device_left_off(self) -> None:
        log = a_log(2)
        grown = [*log, *chained(log, notes("later", prefix="l"), "bench")]
        assert check_chain(grown) == ()
        (before,) = (b for b in grown if '"l0"' in b)
        assert check_chain([body for body in grown if '"n2"' not in body])[0].where == "l0"
        assert json.loads(before)["prev"]
