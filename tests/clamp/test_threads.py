"""Threads and property classes: written in any way, geometry by another route, the unknown."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gudgeon.clamp.threads import (
    CLASSES,
    PITCHES,
    Thread,
    class_named,
    proof_load,
    strengths,
    tensile_load,
    thread_named,
)
from gudgeon.faults import Fault, Unusable

KNOWN = [Thread(d, p) for d, pitches in PITCHES.items() for p in pitches]
every = pytest.mark.parametrize("thread", KNOWN, ids=str)


@every
def test_a_thread_is_read_back_from_its_name(thread: Thread) -> None:
    assert thread_named(str(thread)) == thread
    assert thread_named(f" m{thread.diameter} × {thread.pitch} mm".replace(".", ",")) == thread


@every
def test_the_stress_area_is_the_short_formula_too(thread: Thread) -> None:
    """The same area by the rounded formula that tables print."""
    short = math.pi / 4 * (thread.diameter - 0.9382 * thread.pitch) ** 2
    assert thread.stress_area == pytest.approx(short, rel=1e-4)
    root = math.pi / 4 * thread.root_diameter**2
    assert root < thread.stress_area < math.pi / 4 * thread.pitch_diameter**2
    assert thread.root_diameter < thread.minor_diameter < thread.pitch_diameter


def test_a_name_without_pitch_is_the_coarse_thread() -> None:
    for diameter, pitches in PITCHES.items():
        assert thread_named(f"M{diameter:g}") == Thread(diameter, max(pitches))
        assert pitches == tuple(sorted(pitches, reverse=True))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("M6x1.1", "'M6x1.1' has a pitch that ISO 261 does not give an M6, use M6x1 or M6x0.75"),
        ("M13", "is not a thread of ISO 261 from M1.6 to M39, the nearest are M12x1.75 or M14x2"),
        ("M64", "the nearest are M36x4 or M39x4"),
        ("1/4-20 UNC", "write a metric ISO thread like M6x1; inch threads are not known"),
        ("", "'' is not a thread"),
        ("M6x", "'M6x' is not a thread"),
        ("M" + "6" * 200, "is not a thread"),
    ],
)
def test_an_unknown_thread_is_refused_with_the_nearest(text: str, told: str) -> None:
    with pytest.raises(Unusable) as caught:
        thread_named(text, "--thread")
    assert told in str(caught.value)
    assert str(caught.value).startswith("--thread: ")


@pytest.mark.parametrize(
    ("text", "told"), [("10.8", "use 10.9"), ("88", "use 8.8"), ("A2-70", "stainless"), ("", "4.6")]
)
def test_an_unknown_class_is_refused_with_the_nearest(text: str, told: str) -> None:
    with pytest.raises(Unusable, match="is not a property class of ISO 898-1") as caught:
        class_named(text, "--class")
    assert told in str(caught.value)


@given(st.text(max_size=60))
def test_any_text_is_a_thread_or_refused(text: str) -> None:
    for read in (thread_named, class_named):
        faults: tuple[Fault, ...] = ()
        try:
            read(text)
        except Unusable as problem:
            faults = problem.faults
        assert all(fault.right for fault in faults)


def test_classes_are_written_with_a_comma_too() -> None:
    assert all(class_named(name.replace(".", ",")) is item for name, item in CLASSES.items())


def test_what_a_name_says_of_strength_holds() -> None:
    """A class is named by hundredths of its tensile strength and tenths of the yield ratio."""
    for name, item in CLASSES.items():
        hundreds, tenths = name.split(".")
        assert item.tensile >= 100 * int(hundreds)
        assert item.yields >= 100 * int(hundreds) * int(tenths) / 10
        assert item.proof < item.yields < item.tensile


def test_a_class_may_end_or_change_at_16_mm() -> None:
    assert strengths(CLASSES["8.8"], 16.0)[2] == 580
    assert strengths(CLASSES["8.8"], 16.1)[2] == 600
    assert strengths(CLASSES["10.9"], 24.0) == strengths(CLASSES["10.9"], 8.0)
    with pytest.raises(ValueError, match=r"class 9\.8 ends at M16"):
        proof_load(Thread(20.0, 2.5), CLASSES["9.8"])


@every
def test_no_bolt_breaks_before_its_proof_load(thread: Thread) -> None:
    for item in CLASSES.values():
        if thread.diameter <= 16.0 or item.above != ():
            assert proof_load(thread, item) < tensile_load(thread, item)
