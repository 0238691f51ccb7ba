"""The order of the demo's jobs holds what the picks buy and the sheet renews, and no more."""

from __future__ import annotations

import pytest
from tests.record.test_assemble import folded

from gudgeon.order.needs import order


@pytest.mark.parametrize("name", ["triple", "twin"])
def test_shims_shells_and_renewals_are_all_there(name: str) -> None:
    job, _, picked = folded(name)
    told = order(job, picked)
    counts = {"shim": 0, "shell": 0, "other": 0}
    for line in told.lines:
        kind = "shim" if line.what == "shim" else "shell" if "-shell" in line.what else "other"
        counts[kind] += line.count
    assert picked.shims is not None
    assert counts == {
        "shim": sum(count for _, count, _ in picked.shims.buy),
        "shell": sum(item.count for item in picked.shells.buy),
        "other": sum(part.count for part in job.sheet.renew),
    }
    assert told.currency == "EUR"


def test_every_half_shell_names_its_place_and_half() -> None:
    job, _, picked = folded("triple")
    for line in order(job, picked).lines:
        if "-shell" in line.what:
            assert len(line.places) == line.count
            assert all(place.split()[1] in ("upper", "lower") for place in line.places)
            assert all(place.split()[0] in job.sheet.layout for place in line.places)


def test_halves_that_differ_are_ordered_apart_and_alike_ones_together() -> None:
    job, _, picked = folded("triple")
    what = {line.what for line in order(job, picked).lines}
    assert {"main-shell, upper half", "main-shell, lower half", "pin-shell, half"} <= what
    assert "pin-shell, upper half" not in what


def test_places_without_a_pick_are_named_with_the_reason() -> None:
    job, _, picked = folded("twin")
    told = " ".join(order(job, picked).notes)
    for place in ("valve/2/in/L", "valve/2/ex/R"):
        assert place in told
    assert "No shim on order for" in told
