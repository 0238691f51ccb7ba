"""What goes stale when something is done: the table, its roles and its places."""

from __future__ import annotations

import pytest
from tests.metrology.engine import SHEET, event

from gudgeon.metrology.stale import EVENTS, roles, stale


@pytest.mark.parametrize(
    ("what", "places", "feature", "place", "rests"),
    [
        ("seat-recut", ("valve/1/in/L",), "gap", "valve/1/in/L", True),
        ("seat-recut", ("valve/1/in/L",), "tip", "valve/1/in/L", True),
        ("seat-recut", ("valve/1/in/L",), "gap", "valve/1/in/R", False),
        ("seat-recut", ("cylinder/1",), "gap", "valve/1/ex/R", True),
        ("seat-recut", (), "gap", "valve/3/ex/R", True),
        ("seat-recut", (), "stem", "valve/3/ex/R", False),
        ("valve-replaced", ("valve/1/in/L",), "stem", "valve/1/in/L", True),
        ("new-cam", (), "lobe", "valve/2/in/L", True),
        ("new-cam", (), "tip", "valve/2/in/L", False),
        ("rebore", ("cylinder/2",), "bore", "cylinder/2", True),
        ("rebore", ("cylinder/2",), "ring-gap", "cylinder/2", True),
        ("rebore", ("cylinder/2",), "piston", "cylinder/1", False),
        ("rebore", ("cylinder/2",), "piston-mass", "cylinder/2", True),
        ("regrind", (), "journal", "main/3", True),
        ("regrind", (), "housing", "main/3", False),
        ("case-replaced", (), "housing", "main/3", True),
        ("rod-moved", (), "housing", "main/3", False),
        ("new-part", ("cylinder/1",), "bore", "cylinder/1", True),
        ("new-part", ("cylinder/1",), "gap", "valve/1/in/L", True),
    ],
)
def test_what_rests_on_what(
    what: str, places: tuple[str, ...], feature: str, place: str, rests: bool
) -> None:
    done = stale(SHEET, [event(what, *places)])
    assert (done.last(feature, place) is not None) == rests


def test_a_new_part_named_in_the_text_touches_that_alone() -> None:
    done = stale(SHEET, [event("new-part", "cylinder/1", text="A piston from stock")])
    assert done.last("piston", "cylinder/1") is not None
    assert done.last("bore", "cylinder/1") is None


def test_the_last_event_counts() -> None:
    first = event("hone", at="2026-03-02T10:00:00Z")
    second = event("rebore", at="2026-03-04T10:00:00Z")
    last = stale(SHEET, [second, first]).last("bore", "cylinder/1")
    assert last is not None
    assert last.row is EVENTS["rebore"]


def test_an_event_nobody_knows_is_told() -> None:
    done = stale(SHEET, [event("painted")])
    assert done.events == ()
    assert "nothing is known of what rests on 'painted'" in done.faults[0].wrong
    assert "seat-recut" in done.faults[0].right


def test_roles_come_from_where_the_sheet_names_a_feature() -> None:
    by_feature = roles(SHEET)
    assert by_feature["gap"] == {"clearance"}
    assert by_feature["housing"] == {"case-housing"}
    assert by_feature["journal"] == {"journal"}
    assert "ring-gap" in by_feature["ring-gap"]
