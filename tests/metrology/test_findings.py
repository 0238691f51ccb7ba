"""Sizes against limits: the words, the probability, and what would decide."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.metrology.engine import TEXT, event, feeler, job, measured, moved, reading, shop, spots

from gudgeon.metrology.conformity import Rule, decide
from gudgeon.metrology.findings import WORDS, Finding, findings, found
from gudgeon.metrology.limits import Kept, limits_of
from gudgeon.metrology.measured import Measured
from gudgeon.metrology.sizes import Size
from gudgeon.sheet.base import Limits
from gudgeon.sheet.load import load


def size(value: float, u: float, **more: Any) -> Size:
    base: dict[str, Any] = {
        "place": "cylinder/1",
        "name": "bore-size",
        "origin": "derive",
        "feature": "bore",
        "features": ("bore",),
        "part": "cylinders",
        "epoch": "found",
        "value": Measured.of(value, u, "reading:x"),
        "unit": "mm",
        "readings": ("x",),
        "formula": "read",
        "decimals": 3,
        "read": 6,
        "planned": 6,
        "rule": "max",
    }
    return Size(**{**base, **more})


def limits(new: Any = None, service: Any = None) -> Kept:
    made = [None if item is None else Limits.model_validate(item) for item in (new, service)]
    return Kept(made[0], made[1], "p. 1", "derive.x")


NEW, SERVICE = ["58.000", "58.010"], {"max": "58.100"}


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (58.005, "as new"),
        (58.012, "within service"),
        (58.009, "within service"),
        (58.089, "within service"),
        (58.091, "not decided"),
        (58.100, "not decided"),
        (58.109, "not decided"),
        (58.111, "beyond service"),
    ],
)
def test_the_words_along_a_bore(value: float, word: str) -> None:
    """U is 0.010: the service limit is 58.100, so 58.090 to 58.110 is open."""
    u = 0.005 if value > 58.05 else 0.001
    assert found(size(value, u), limits(NEW, SERVICE), Rule()).word == word


@pytest.mark.parametrize(
    ("new", "service", "value", "word", "note"),
    [
        (None, None, 58.2, "no limit given", ""),
        (NEW, None, 58.005, "as new", ""),
        (NEW, None, 58.010, "not decided", ""),
        (NEW, None, 58.200, "no limit given", "no limit of wear is given"),
        (None, SERVICE, 58.005, "within service", ""),
        ({"max": "41.4"}, {"min": "40.3"}, 41.0, "within service", ""),
        (["0.020", "0.050"], {"max": "0.120"}, 0.010, "beyond service", "no wear explains"),
        (["0.020", "0.050"], {"max": "0.120"}, 0.019, "within service", ""),
    ],
)
def test_where_limits_are_missing(
    new: Any, service: Any, value: float, word: str, note: str
) -> None:
    item = found(size(value, 0.001), limits(new, service), Rule())
    assert item.word == word
    assert note in " ".join(item.notes)


@given(
    st.floats(57.9, 58.3),
    st.floats(0.0005, 0.02),
    st.sampled_from(["expanded", "probability", "simple"]),
)
def test_the_word_follows_the_decision_against_the_service_limit(
    value: float, u: float, kind: Any
) -> None:
    rule = Rule(kind)
    item = found(size(value, u), limits(None, SERVICE), rule)
    decision = decide(value, u, None, 58.1, rule)
    expected = {
        "conforms": "within service",
        "does not conform": "beyond service",
        "not decided": "not decided",
    }[decision.verdict]
    assert item.word == expected
    assert item.probability == decision.probability
    assert bool(item.decides) == (expected == "not decided")


@given(st.floats(57.9, 58.3), st.floats(0.0005, 0.02))
def test_more_uncertainty_never_decides_what_was_open(value: float, u: float) -> None:
    sharp = found(size(value, u), limits(NEW, SERVICE), Rule()).word
    blunt = found(size(value, 2 * u), limits(NEW, SERVICE), Rule()).word
    if sharp == "not decided":
        assert blunt == "not decided"


def test_a_value_with_readings_missing_is_not_passed_but_is_failed() -> None:
    passed = found(size(58.02, 0.002, read=4), limits(NEW, SERVICE), Rule())
    assert passed.word == "not decided"
    assert passed.decides == "take the other 2 readings of the plan"
    failed = found(size(58.2, 0.002, read=4), limits(NEW, SERVICE), Rule())
    assert failed.word == "beyond service"


def test_a_taper_below_zero_is_judged_by_its_amount() -> None:
    item = found(
        size(-0.080, 0.003, judged=Measured.of(0.080, 0.003, "reading:x")),
        limits(None, {"max": "0.050"}),
        Rule(),
    )
    assert item.word == "beyond service"
    assert item.size.value is not None
    assert item.size.value.value == -0.080


def of(entries: list[Any], name: str, place: str, **settings: str) -> Finding:
    named = {key.replace("_", "-"): value for key, value in settings.items()}
    items = findings(job(*entries, settings=named), shop()).items
    return next(i for i in items if i.size.name == name and i.size.place == place)


def bores(*typed: str) -> list[Any]:
    return [
        reading("bore", "cylinder/1", text, spot=spot)
        for spot, text in zip(spots("bore"), typed, strict=True)
    ]


#: 0.054 oval over all heights, 0.031 at one: past and inside the same limit of 0.050.
OVAL = ("58.066", "58.031", "58.030", "58.019", "58.010", "58.004")


def test_the_other_convention_is_told_where_it_gives_another_word() -> None:
    item = of(bores(*OVAL), "bore-oval", "cylinder/1")
    assert item.word == "beyond service"
    assert "by oval-at-a-height it would be 0.035" in item.other
    assert item.other.endswith("within service")
    size_item = of(bores(*OVAL), "bore-size", "cylinder/1")
    assert size_item.other == ""


def test_a_feature_in_a_fit_is_not_judged_by_its_new_range() -> None:
    entries = [reading("housing", "main/1", "36.018", spot=spot) for spot in spots("housing")]
    item = of(entries, "housing", "main/1")
    assert item.word == "no limit given"
    assert "the oil clearance of main-shell decides" in item.notes[-1]


def test_a_valve_clearance_is_held_against_its_sides_window() -> None:
    gaps = [feeler("valve/1/in/L", "0.13", "0.14"), feeler("valve/1/ex/L", "0.13", "0.14")]
    inlet, exhaust = (of(gaps, "gap", f"valve/1/{side}/L") for side in ("in", "ex"))
    assert (inlet.word, inlet.limit) == ("as new", "0.11 to 0.17")
    assert (exhaust.word, exhaust.limit) == ("beyond service", "0.19 to 0.25")
    assert exhaust.limits.source == "p. 2-9"
    shut = of([feeler("valve/1/in/L", None, "0.04")], "gap", "valve/1/in/L")
    assert shut.word == "beyond service"
    close = of([feeler("valve/1/in/L", None, "0.11")], "gap", "valve/1/in/L")
    assert close.word == "not decided"
    assert "thinner" in close.decides


def test_a_clearance_over_a_checking_shim_gets_no_verdict() -> None:
    """A gap far outside the window, because the checking shim is thin: nothing is worn."""
    sheet = load(TEXT.replace("epochs: [found, built]", "epochs: [found, dry, built]"), "s").sheet
    entries = [
        feeler("valve/1/in/L", "0.40", "0.42", id="dry", epoch="dry"),
        feeler("valve/1/in/R", None, "0.03", id="shut", epoch="dry"),
        feeler("valve/1/in/L", "0.20", "0.22", id="found"),
    ]
    result = findings(job(*entries, sheet=sheet), shop())
    told = {(item.size.place, item.size.epoch): item for item in result.items if item.size.readings}
    for place in ("valve/1/in/L", "valve/1/in/R"):
        dry = told[place, "dry"]
        assert dry.word == "no limit given"
        assert dry.probability is None
        assert "read in the dry build over a checking shim: no verdict" in dry.notes
    assert told["valve/1/in/L", "found"].word == "beyond service"
    assert result.counts()["beyond service"] == 1


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (31.482, "not as new: 31.482 against 31.982 to 32.000, and no limit of wear is given"),
        (31.981, ""),
        (31.990, ""),
    ],
)
def test_a_size_outside_its_new_range_alone_says_so(value: float, told: str) -> None:
    """No limit of wear is guessed from the new range; that it is not as new is told."""
    made = found(size(value, 0.002), limits(new=["31.982", "32.000"]), Rule())
    assert made.not_as_new == told
    assert (made.word == "no limit given") == bool(told)


def test_the_rule_and_its_factor_are_settings() -> None:
    near = bores("58.091", "58.0", "58.0", "58.0", "58.0", "58.0")
    assert of(near, "bore-size", "cylinder/1").word == "within service"
    assert of(near, "bore-size", "cylinder/1", coverage="4").word == "not decided"
    assert of(near, "bore-size", "cylinder/1", decision_rule="simple").word == "within service"


def test_a_questioned_reading_is_used_as_typed_and_said() -> None:
    entries = measured(3)
    at = next(n for n, e in enumerate(entries) if e.feature == "journal" and e.place == "main/3")
    entries[at] = moved(entries[at], -0.5)
    item = of(entries, "journal-oval", "main/3")
    assert item.word == "beyond service"
    assert item.questioned == (entries[at].id,)
    assert any("a reading under this is questioned" in note for note in item.notes)
    assert item.size.value is not None
    assert item.size.value.value == pytest.approx(0.5, abs=0.02)


def test_stale_sizes_say_why() -> None:
    item = of([*bores(*OVAL), event("rebore")], "bore-size", "cylinder/1")
    assert item.size.stale is not None
    assert item.size.stale in item.notes


def test_one_of_a_set_that_stands_out_is_told() -> None:
    entries = [
        reading("lobe", place, "36.38" if place == "valve/2/in/L" else "36.48")
        for place in job().sheet.layout.of("valve")
    ]
    item = of(entries, "lobe-height", "valve/2/in/L")
    assert item.sibling is not None
    assert item.sibling.stands_out
    assert "stands out among its 7 siblings, which lie about 36.48" in item.notes


def test_counts_come_in_the_order_a_person_should_look() -> None:
    result = findings(job(*measured(1)), shop())
    assert sum(result.counts().values()) == len(result.items)
    assert list(result.counts()) == [word for word in WORDS if word in result.counts()]
    nothing = findings(job(), shop())
    assert set(nothing.counts()) == {"not measured"}
    assert nothing.slips == ()


def test_a_derived_size_takes_the_new_range_of_its_feature_and_its_own_goes_before() -> None:
    sheet = load(TEXT, "engine.yaml").sheet
    bare = size(4.48, 0.001, name="stem-size", feature="stem")
    kept = limits_of(sheet, bare)
    assert kept.new == sheet.features["stem"].new
    own = limits_of(sheet, size(58.0, 0.001))
    assert own.new == sheet.derive["bore-size"].new


Number = st.one_of(
    st.sampled_from(["0", "0.000", "-1", "1e6", "1e-9", "nan", "58,01", "5.8.1", "", "9" * 29]),
    st.decimals(min_value=-5, max_value=200, places=3).map(str),
)


@st.composite
def anything(draw: st.DrawFn) -> list[Any]:
    """Entries as a tired or hostile hand may make them, at places the engine has."""
    made: list[Any] = []
    for number in range(draw(st.integers(0, 12))):
        feature = draw(st.sampled_from(list(job().sheet.features)))
        place = draw(st.sampled_from(job().sheet.layout.of(job().sheet.features[feature].at)))
        more: dict[str, Any] = {
            "id": f"e{number}",
            "attempt": draw(st.integers(1, 3)),
            "unit": draw(st.sampled_from([None, "mm", "in", "g", "kg", "ell"])),
            "instrument": draw(st.sampled_from([None, "feeler", "scales", "bore-gauge", "x"])),
            "part_temp": draw(st.one_of(st.none(), Number.filter(bool))),
        }
        if feature == "gap":
            goes, wont = (draw(st.one_of(st.none(), Number.filter(bool))) for _ in "ab")
            made.append(feeler(place, goes, wont, **more))
            continue
        spot = draw(st.sampled_from(list(spots(feature))))
        typed = draw(Number.filter(bool))
        made.append(reading(feature, place, typed, spot=spot, **more))
    if draw(st.booleans()):
        made.append(event(draw(st.sampled_from(["rebore", "seat-recut", "new-part", "nonsense"]))))
    return made


@given(anything())
def test_nothing_in_a_log_makes_the_findings_fail(entries: list[Any]) -> None:
    result = findings(job(*entries), shop())
    for fault in result.faults:
        assert fault.where
        assert fault.wrong
        assert fault.right
    for item in result.items:
        assert item.word in WORDS
        assert item.probability is None or 0.0 <= item.probability <= 1.0
    for slip in result.slips:
        assert 0.5 <= slip.posterior <= 1.0
