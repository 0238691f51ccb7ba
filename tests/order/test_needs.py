"""The order of the demo's jobs holds what the picks buy and the sheet renews, and no more."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.record.test_assemble import folded

from gudgeon.fit.shells.agree import Agreement
from gudgeon.order.doubts import early
from gudgeon.order.needs import order


@pytest.mark.parametrize("name", ["triple", "twin"])
def test_shims_shells_and_renewals_are_all_there(name: str) -> None:
    job, _, picked = folded(name)
    told = order(job, picked)
    counts = {"shim": 0, "shell": 0, "other": 0}
    for line in told.lines:
        kind = "shim" if line.what == "shim" else "shell" if "-shell" in line.what else "other"
        counts[kind] += line.count or 0
    assert picked.shims is not None
    assert counts == {
        "shim": sum(count for _, count, _ in picked.shims.buy),
        "shell": sum(item.count for item in picked.shells.buy),
        "other": sum(part.count or 0 for part in job.sheet.renew),
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


def test_what_is_open_behind_the_picks_is_said() -> None:
    """The triple's string read from the wrong end, its mis-marked shim and its thimble turn."""
    job, found, picked = folded("triple")
    notes = order(job, picked, found).notes
    assert sum(note.startswith("Open question under ") for note in notes) == len(found.slips)
    string = next(note for note in notes if "fits better from the other end" in note)
    assert all(f"main-shell for main/{number}" in string for number in range(1, 5))
    shim = next(note for note in notes if "its mark 185" in note)
    assert "the shim for valve/1/ex/R, the shim for valve/2/in/R:" in shim
    assert order(job, picked).notes == tuple(note for note in notes if not _of_findings(note))


def test_what_is_beyond_service_and_not_on_order_is_listed() -> None:
    job, found, picked = folded("triple")
    told = next(note for note in order(job, picked, found).notes if "not on this order" in note)
    for item in found.standing:
        named = f"{item.size.name} at {item.size.place}"
        if item.word == "beyond service" and item.size.feature != "clearance":
            assert named in told


def test_a_guide_beyond_service_comes_before_its_valves_shim() -> None:
    job, found, picked = folded("triple")
    assert early(job.sheet, picked, found) == {
        "valve/2/ex/R": "guide-size beyond service; replace the guide first: its seat must be"
        " recut and the valve measured again"
    }


def test_what_is_not_decided_or_disagrees_stands_beside_its_shells() -> None:
    job, found, picked = folded("triple")
    items = tuple(
        replace(item, word="not decided")
        if item.size.place == "main/2" and item.size.feature == "journal"
        else item
        for item in found.items
    )
    notes = order(job, picked, replace(found, items=items)).notes
    assert any(note.startswith("main-shell for main/2: not decided is ") for note in notes)
    first = picked.shells.groups[0].picks[0]
    odd = replace(first, agreement=Agreement("disagree", "code and bore disagree"))
    groups = (replace(picked.shells.groups[0], picks=(odd,)),)
    shells = replace(picked.shells, groups=groups)
    notes = order(job, replace(picked, shells=shells), found).notes
    assert f"main-shell for {first.place}: code and bore disagree." in notes


def _of_findings(note: str) -> bool:
    return note.startswith(("Open question", "Beyond service", "Shim for"))
