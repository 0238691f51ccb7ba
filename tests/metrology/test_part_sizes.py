"""The size of a part at a place: what counts in it, and what does not."""

from __future__ import annotations

from typing import Any

import pytest
from tests.metrology.engine import SHEET, job, moved, reading, shop, spots

from gudgeon.metrology.part_sizes import PartSize, part_size
from gudgeon.metrology.readings import read_all

SIZES = ("32.990", "32.991", "32.992", "32.991")


def read() -> list[Any]:
    return [
        reading("journal", "main/1", size, spot=spot)
        for size, spot in zip(SIZES, spots("journal"), strict=True)
    ]


def size_of(*entries: Any, questioned: tuple[str, ...] = ()) -> PartSize:
    return part_size(SHEET, read_all(job(*entries), shop()), "journal", "main/1", questioned)


def test_the_mean_of_all_spots() -> None:
    found = size_of(*read())
    assert found.value is not None
    assert found.value.value == pytest.approx(32.991)
    assert (found.questioned, found.unused) == ((), "")


def test_a_reading_under_a_question_does_not_count() -> None:
    entries = read()
    found = size_of(moved(entries[0], 0.5), *entries[1:], questioned=(entries[0].id, "other"))
    assert found.value is not None
    assert found.value.value == pytest.approx((32.991 + 32.992 + 32.991) / 3)
    assert (found.questioned, found.unused) == ((entries[0].id,), "")


def test_where_all_are_questioned_there_is_no_size() -> None:
    entries = read()
    found = size_of(*entries, questioned=tuple(entry.id for entry in entries))
    assert found.value is None
    assert found.questioned == tuple(entry.id for entry in entries)


def test_one_far_off_that_nobody_questions_is_named_and_does_not_count() -> None:
    entries = read()
    found = size_of(moved(entries[0], 0.3), *entries[1:])
    assert found.value is not None
    assert found.value.value == pytest.approx((32.991 + 32.992 + 32.991) / 3)
    assert found.unused.startswith("33.290 of journal at main/1 lies more than 0.1 from")


def test_what_is_not_measured_or_is_no_feature_has_no_size() -> None:
    table = read_all(job(), shop())
    for feature in ("journal", "mistyped", None):
        assert part_size(SHEET, table, feature, "main/1", ()) == PartSize()
