"""An invented record, whole, for the tests: no job stands behind it."""

from __future__ import annotations

from gudgeon.record.data import (
    Figure,
    FindingRow,
    OrderPart,
    OrderRow,
    PartSection,
    ReadingTable,
    RecordData,
    ShellPart,
    ShellRow,
    ShimPart,
    ShimRow,
    Slip,
    Title,
)
from gudgeon.record.engine_drawing import draw_plan, plan_notes
from gudgeon.record.engine_side import draw_side, side_notes
from gudgeon.record.figures import Band, Strip, chance_strips, verdict_strip
from gudgeon.record.marks import BEYOND, NO_LIMIT, NOT_DECIDED, WITHIN, WORDS, Tag
from gudgeon.record.profile import Profile, bore_profile
from gudgeon.sheet.model import Sheet


def sheet(
    count: int = 3,
    kind: str = "inline",
    inlets: tuple[str, ...] = ("L", "R"),
    exhausts: tuple[str, ...] = ("L", "R"),
    end: str = "1 = left, sitting on the machine",
    **layout: object,
) -> Sheet:
    """An invented engine of a given layout."""
    return Sheet.model_validate(
        {
            "sheet": "1",
            "engine": {
                "name": f"Invented {kind} of {count}",
                "invented": "yes",
                "layout": {"kind": kind, **layout},
            },
            "places": {
                "end": end,
                "cylinder": str(count),
                "main": str(count + 1),
                "pin": {"each": "cylinder"},
                "valve": {"each": "cylinder", "in": list(inlets), "ex": list(exhausts)},
            },
        }
    )


def record() -> RecordData:
    """A record with something in every part of it."""
    engine = sheet()
    tags = {place: Tag("0.14", WORDS[i % 6]) for i, place in enumerate(engine.layout.of("valve"))}
    tags |= {place: Tag("81.041", WITHIN) for place in engine.layout.of("cylinder")}
    tags |= {place: Tag("0.041", WITHIN) for place in engine.layout.of("main")}
    return RecordData(
        title=Title(
            engine="Invented triple",
            job="triple-0107",
            sheet_file="triple.yaml",
            sheet_hash="9f" * 32,
            date="2026-11-20",
            job_title="Smokes on the overrun; make it right",
            facts=(
                ("bore × stroke", "81.0 × 58.0 mm"),
                ("capacity", "897 cc"),
                ("numbered from", "1 = left, sitting on the machine"),
                ("units", "mm; sizes at 20 °C"),
                ("sheet sha256", "9f" * 32),
                ("made with", "gudgeon 0.1.0"),
            ),
            invented=True,
        ),
        drawings=(
            (Figure(draw_plan(engine, tags), "plan of the engine", " ".join(plan_notes(engine))),),
            (Figure(draw_side(engine, tags), "crank from the side", " ".join(side_notes(engine))),),
        ),
        drawing_key="At the valves: clearance as found. At the bores: bore-size. All in mm.",
        exceptions=(
            "2 readings may be slips and wait for an answer.",
            "Clearances after the build have not been read.",
        ),
        counts=((WITHIN, 31), (BEYOND, 2), (NOT_DECIDED, 1), (NO_LIMIT, 4)),
        undecided=(
            ("cylinder 2", "oval 0.048 ± 0.008 against 0.050: measure with better than U 0.002"),
        ),
        slips=(
            Slip(
                "main 3",
                "32.481",
                "One turn of the thimble more gives 32.981, like the others.",
                "32.981",
                "98 %",
                "e-17",
            ),
        ),
        stale=("valve 1 in L clearance as found: seats were recut after it was read",),
        parts=(_bores(), _head()),
        shims=_shims(),
        shells=(_shells(),),
        order=OrderPart(
            (
                OrderRow("shim", "1.750", "2", "valve 1 in L, valve 2 in R", "9.00", "18.00"),
                OrderRow(
                    "main-shell, one half",
                    "brown",
                    "2",
                    "main 3 upper, main 3 lower",
                    "11.50",
                    "23.00",
                    "by measurement",
                ),
            ),
            "41.00",
            ("Never fit a shell away from its position.",),
        ),
        departures=(
            ("derive.bore-size.service.max = 81.350", "bored to the first oversize before"),
        ),
        struck=(("reading cylinder 1 bore top thrust 81.541", "misread by one turn"),),
        notes=(("engine", "came in boxes"),),
        cautions=("Cap bolts are tightened by angle: renew them (p. 6-2).",),
    )


def _bores() -> PartSection:
    rows = tuple(
        FindingRow(
            f"cylinder {n}",
            "bore-size",
            f"81.0{41 + 30 * (n - 1)}",
            "0.008",
            "81.000 to 81.012",
            "≤ 81.100",
            "p. 4-12",
            word,
            chance,
            verdict_strip(81.041 + 0.03 * (n - 1), 0.008, Band(81.0, 81.012), Band(None, 81.1))
            or "",
        )
        for n, word, chance in (
            (1, WITHIN, ">99.9 %"),
            (2, WITHIN, "99.9 %"),
            (3, NOT_DECIDED, "49 %"),
        )
    )
    spots = ("top thrust", "top pin", "mid thrust", "mid pin", "foot thrust", "foot pin")
    values = {
        (h, a): 81.02 + 0.01 * i + 0.003 * j
        for i, h in enumerate(("top", "mid", "foot"))
        for j, a in enumerate(("thrust", "pin"))
    }
    profile = Profile(
        "cylinder 1, bore",
        ("top", "mid", "foot"),
        ("thrust", "pin"),
        values,
        0.008,
        Band(81.0, 81.012),
        Band(None, 81.1),
        WITHIN,
    )
    return PartSection(
        "Barrels",
        rows,
        (
            ReadingTable(
                "bore",
                spots,
                tuple(
                    (f"cylinder {n}", ("81.041", "81.033", "81.030", "81.022", "81.020", "81.019"))
                    for n in (1, 2, 3)
                ),
                "bore-gauge, part 21 °C",
            ),
        ),
        (Figure(bore_profile(profile), "bore of cylinder 1 in section"),) * 3,
    )


def _head() -> PartSection:
    rows = tuple(
        FindingRow(
            f"valve {n} {side} {hand}",
            "stem-clearance",
            "0.035",
            "0.012",
            "0.010 to 0.040",
            "≤ 0.080",
            "p. 5-7",
            WITHIN,
            "99 %",
            verdict_strip(0.035, 0.012, Band(0.01, 0.04), Band(None, 0.08)) or "",
            notes=("the other convention says 0.031",) if n == 2 else (),
        )
        for n in (1, 2, 3)
        for side in ("in", "ex")
        for hand in ("L", "R")
    )
    return PartSection("Head and valves", rows)


def _shims() -> ShimPart:
    names = [
        f"valve {n} {side} {hand}" for n in (1, 2, 3) for side in ("in", "ex") for hand in "LR"
    ]
    strips = [
        Strip(
            name,
            *((0.11, 0.17, 0.14) if " in " in name else (0.19, 0.25, 0.22)),
            0.145 if " in " in name else 0.215,
            0.012,
            0.97,
        )
        for name in names
    ]
    return ShimPart(
        rows=tuple(
            ShimRow(
                name,
                "1.850 + (0.14 − 0.11) − 0.13 = 1.750",
                "1.750",
                "buy",
                "0.130 ± 0.024",
                "0.11 to 0.17",
                "93 %",
                "1.850 + (0.14 − 0.11) − 1.750 = 0.13",
                ("the old shim would hold this valve open: build dry with a checking shim",)
                if index == 5
                else (),
            )
            for index, name in enumerate(names)
        ),
        chance_all="71 %",
        words=("4 shims to buy; 8 are served by shims pulled from this head.",),
        measure_again=(
            ("valve 2 ex R", "build dry with a checking shim and read the clearance", "84 %"),
        ),
        frontier=(("nothing", "0.00", "12 %"), ("4 shims", "36.00", "71 %")),
        page="p. 3-9",
        figure=Figure(
            chance_strips(strips),
            "chance of each valve",
            "Open box: window. Dashed: aim. Hump: forecast; heavy foot: ± 2 u.",
        ),
    )


def _shells() -> ShellPart:
    return ShellPart(
        "main-shell",
        tuple(
            ShellRow(
                f"main {n}",
                f"{mark}, {n}",
                "brown / brown",
                "brown / green",
                "brown / green",
                "0.034 ± 0.006",
                "0.020 to 0.044",
                "97 %",
                ("code and measurement disagree: measure both parts again",) if n == 3 else (),
            )
            for n, mark in enumerate("ABBC", 1)
        ),
        ("The crank string fits the readings 26 times better from the other end.",),
        "p. 6-4",
    )
