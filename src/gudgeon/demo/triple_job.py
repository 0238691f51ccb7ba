"""The worn triple: a whole job, measured before and after seat work, with troubles planted.

Planted, for the tool to find: one journal reading a thimble turn out (main 3), the crank's marks
read from the wrong end, bore 2 too close to its limit to decide, a shim that would now hold its
valve open (cylinder 3, exhaust, left), and a shim whose mark is not its size (cylinder 2, inlet,
right). All sizes are invented.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from gudgeon.demo.bench import NAMES, Bench, Body
from gudgeon.sheet.model import Sheet

SEED: Final = 798
#: place -> shim found [mm], clearance found [mm], rise after the seats were recut [mm]
VALVES: Final[dict[str, tuple[float, float, float]]] = {
    "valve/1/in/L": (1.850, 0.138, 0.108),
    "valve/1/in/R": (1.875, 0.124, 0.081),
    "valve/1/ex/L": (1.950, 0.222, 0.062),
    "valve/1/ex/R": (1.900, 0.193, 0.049),
    "valve/2/in/L": (1.825, 0.152, 0.092),
    "valve/2/in/R": (1.822, 0.128, 0.103),
    "valve/2/ex/L": (1.975, 0.231, 0.097),
    "valve/2/ex/R": (1.925, 0.204, 0.041),
    "valve/3/in/L": (1.875, 0.133, 0.121),
    "valve/3/in/R": (1.800, 0.157, 0.068),
    "valve/3/ex/L": (1.925, 0.186, 0.226),
    "valve/3/ex/R": (1.950, 0.209, 0.083),
}
MISMARKED: Final = "valve/2/in/R"
HOUSINGS: Final = {"main/1": 37.0035, "main/2": 37.0085, "main/3": 37.0090, "main/4": 37.0155}
JOURNALS: Final = {"main/1": 33.9965, "main/2": 33.9960, "main/3": 33.9905, "main/4": 33.9845}
ROD_HOUSINGS: Final = {"pin/1": 39.0045, "pin/2": 39.0040, "pin/3": 39.0125}
PINS: Final = {"pin/1": 35.9955, "pin/2": 35.9950, "pin/3": 35.9880}
#: cylinder -> size of the unworn foot [mm], wear at the top across the thrust axis [mm]
BORES: Final = {
    "cylinder/1": (78.009, 0.030),
    "cylinder/2": (78.031, 0.040),
    "cylinder/3": (78.008, 0.026),
}


def mark(thickness: float) -> str:
    """The mark of a shim of the `quarters` rule: 1.775 is stamped 178.

    >>> mark(1.775), mark(1.85)
    ('178', '185')
    """
    step = round(thickness / 0.025) * 25
    return f"{step // 10 + (step % 100 == 75)}"


def triple_job(sheet: Sheet) -> list[Body]:
    """Every reading of the job, as log entries without the job's opening and its sheet."""
    bench = Bench(sheet, "triple", SEED)
    _baseline(bench)
    bench.wait(1, room=20.0)
    _head(bench)
    bench.wait(1, room=21.0)
    _barrels(bench)
    bench.wait(2, room=20.5)
    _bottom(bench)
    bench.wait(12, room=20.0)
    _seats(bench)
    return bench.entries


def _baseline(bench: Bench) -> None:
    bench.add("note", text="Runs on three, ticks when hot, uses oil. 61,000 km.", seconds=60)
    for attempt in (1, 2):
        for place, (_, gap, _) in VALVES.items():
            bench.blades("gap", place, gap, attempt=attempt)
    for place, (shim, _, _) in VALVES.items():
        bench.add(
            "shim",
            place=place,
            mark="185" if place == MISMARKED else mark(shim),
            typed=f"{shim + 0.0006 + bench.scatter(0.0010):.3f}",
            instrument=NAMES["micrometer-0.001"],
        )
    for place, (_, _, _) in VALVES.items():
        bench.read("tip", place, _tip(place))


def _tip(place: str) -> float:
    return 38.20 + 0.11 * (sum(map(ord, place)) % 5) / 5


def _head(bench: Bench) -> None:
    wide = {"upper": 0.004, "middle": 0.001, "lower": 0.006}
    valves = bench.sheet.layout.of("valve")
    inlet = {place: 0.0 if "/in/" in place else 0.004 for place in valves}

    def stem(extra: float) -> Callable[[dict[str, str]], float]:
        return lambda spot: 4.976 - wide[spot["height"]] - extra

    def guide(extra: float) -> Callable[[dict[str, str]], float]:
        def size(spot: dict[str, str]) -> float:
            bell = {"upper": 0.008, "middle": 0.002, "lower": 0.011}[spot["height"]]
            return 5.007 + bell * (1.4 if spot["axis"] == "across" else 1.0) + extra

        return size

    bench.sweep("stem", {place: stem(inlet[place]) for place in valves})
    worn = {"valve/2/ex/R": 0.034}
    bench.sweep("guide", {p: guide(1.5 * inlet[p] + worn.get(p, 0.0)) for p in valves})
    bench.sweep("seat-width", {p: 1.18 + 3 * inlet[p] * 10 for p in valves})
    bench.sweep("spring", {p: 41.05 - 40 * inlet[p] for p in valves})
    bench.sweep("bucket", dict.fromkeys(valves, 28.478))
    bench.sweep("bucket-bore", dict.fromkeys(valves, 28.514))
    bench.sweep("lobe", {p: 36.46 - 10 * inlet[p] for p in valves})
    lines = {"front": 0.02, "rear": 0.02, "left": 0.01, "right": 0.01, "diagonal-1": 0.03}
    bench.sweep("head-flatness", {"engine": lambda spot: lines.get(spot["line"], 0.03)})
    journals = bench.sheet.layout.of("cam-journal")
    bench.sweep("cam-journal", dict.fromkeys(journals, 23.966))
    bench.sweep("cam-bore", dict.fromkeys(journals, 24.018))
    bench.sweep("cam-run-out", {"cam/in": 0.011, "cam/ex": 0.014})


def _barrels(bench: Bench) -> None:
    def bore(foot: float, wear: float) -> Callable[[dict[str, str]], float]:
        down = {"top": 1.0, "middle": 0.45, "foot": 0.05}

        def size(spot: dict[str, str]) -> float:
            return foot + wear * down[spot["height"]] * (1.0 if spot["axis"] == "thrust" else 0.55)

        return size

    bench.sweep("bore", {place: bore(*sizes) for place, sizes in BORES.items()})
    bench.sweep("piston", {"cylinder/1": 77.958, "cylinder/2": 77.964, "cylinder/3": 77.961})
    bench.sweep("piston-pin", dict.fromkeys(BORES, 17.996))
    bench.sweep("pin-bore", dict.fromkeys(BORES, 18.007))
    for place in bench.sheet.layout.of("ring"):
        second = place.endswith("second")
        worn = 0.13 if "/2/" in place else 0.02
        bench.blades("ring-gap", place, (0.37 if second else 0.33) + worn)
        bench.blades("ring-side", place, 0.062 if second else 0.074)


def _bottom(bench: Bench) -> None:
    bench.add("code", group="main-shell", on="case", marks="ABBC", seconds=60)
    # The crank is stamped 3211 from main 4; here it was read from main 1.
    bench.add("code", group="main-shell", on="crank", marks="1123", seconds=60)
    bench.add("code", group="pin-shell", on="case", marks="112", seconds=60)
    bench.add("code", group="pin-shell", on="crank", marks="AAB", seconds=60)
    bench.sweep("rod-housing", ROD_HOUSINGS)
    bench.sweep("small-end", dict.fromkeys(ROD_HOUSINGS, 18.017))
    for place, gap in {"pin/1": 0.21, "pin/2": 0.24, "pin/3": 0.20}.items():
        bench.blades("rod-side", place, gap)
    bench.sweep("pin-journal", PINS)
    bench.sweep("housing", HOUSINGS)
    for place, size in JOURNALS.items():
        for axis in ("0", "90"):
            for end in ("front", "rear"):
                turn = -0.500 if (place, axis, end) == ("main/3", "90", "rear") else 0.0
                bench.read("journal", place, size, {"axis": axis, "end": end}, slip=turn)
    bench.read("crank-run-out", "engine", 0.012)
    bench.read("crank-end-float", "engine", 0.14)
    bench.sweep("friction-plate", dict.fromkeys(bench.sheet.layout.of("plate"), 2.94))
    for name, gap in {"pump-tip": 0.11, "pump-body": 0.16, "pump-side": 0.09}.items():
        bench.blades(name, "engine", gap)


def _seats(bench: Bench) -> None:
    bench.add(
        "event",
        what="seat-recut",
        places=list(bench.sheet.layout.of("valve")),
        text="All twelve seats recut at the machine shop; valves lapped.",
        seconds=300,
    )
    for place, (_, _, rise) in VALVES.items():
        bench.read("tip", place, _tip(place) + rise, epoch="seated")


def shop_entries() -> list[dict[str, Any]]:
    """The demo shop: its instruments, their checks, and the shims in the drawer."""
    made: list[dict[str, Any]] = []

    def add(kind: str, **body: Any) -> None:
        at = f"2026-09-01T08:{len(made):02d}:00Z"
        made.append({"id": f"shop-{len(made) + 1:04d}", "at": at, "kind": kind, **body})

    for kind, name in NAMES.items():
        add("instrument", name=name, of=kind)
    add("check", instrument=NAMES["micrometer-0.001"], reference="25.000", read="25.001")
    drawer = {"1.652": 1, "1.700": 2, "1.724": 1, "1.751": 1, "1.799": 1, "1.826": 1, "1.851": 2}
    for typed, count in drawer.items():
        add("stock", group="shim", mark=mark(float(typed)), typed=typed, diameter="7.5",
            count=count, instrument=NAMES["micrometer-0.001"])  # fmt: skip
    add("stock", group="shim", mark="178", typed="1.774", diameter="7.5", condition="dished")
    add("stock", group="shim", mark="175", typed="1.750", diameter="9.5")
    add("stock", group="shim", mark="245", typed="2.450", diameter="25", count=2)
    add("stock", group="shim", mark="260", typed="2.602", diameter="25")
    add("setting", name="hour-rate", value="70")
    add("setting", name="reopen-hours", value="4")
    add("setting", name="reopen-other", value="60")
    return made
