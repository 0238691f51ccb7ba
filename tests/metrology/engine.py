"""A worn engine measured by somebody: invented sizes, normal scatter, real patterns of wear."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from itertools import product
from typing import Any, Final

from gudgeon.log.entries import (
    Code,
    Feeler,
    Happened,
    Instrument,
    Reading,
    SettingCheck,
    ShimFitted,
)
from gudgeon.log.job import Job, Shop
from gudgeon.sheet.load import load
from gudgeon.sheet.model import Sheet

AT: Final = "2026-03-01T10:00:00Z"
LATER: Final = "2026-03-09T10:00:00Z"
TEXT: Final = """\
sheet: 1
engine: {name: Invented four, invented: yes}
places:
  end: 1 = left
  cylinder: 4
  main: 5
  valve: {each: cylinder, in: [L, R], ex: [L, R]}
features:
  bore:
    {at: cylinder, part: cylinders, plan: {height: [top, mid, foot], axis: [thrust, pin]}, of: iron,
     by: bore-gauge, wears: larger, new: [58.000, 58.010], source: p. 4-1}
  piston:
    {at: cylinder, part: cylinders, of: aluminium, by: micrometer-0.001, wears: smaller,
     new: [57.960, 57.975], source: p. 4-2}
  piston-mass: {at: cylinder, part: cylinders, kind: mass}
  ring-gap: {at: cylinder, part: cylinders, kind: gap, by: feeler}
  housing:
    {at: main, part: case, plan: {angle: ['30', '90', '150'], depth: [front, rear]},
     of: cast-aluminium, by: bore-gauge, wears: larger, new: [36.000, 36.018], source: p. 5-1}
  journal:
    {at: main, part: crank, plan: {axis: ['0', '90'], end: [front, rear]}, of: steel,
     by: micrometer-0.001, wears: smaller, new: [32.982, 33.000], source: p. 5-2}
  stem:
    {at: valve, part: head, plan: {height: [upper, mid, lower], axis: [along, across]}, of: steel,
     by: micrometer-0.001, wears: smaller, new: [4.475, 4.490], source: p. 3-1}
  lobe: {at: valve, part: head, of: iron, by: micrometer-0.01, wears: smaller, new: [36.40, 36.56]}
  gap: {at: valve, part: head, kind: gap, by: feeler, epochs: [found, built]}
  tip: {at: valve, part: head, kind: height, of: steel, by: depth, epochs: [found, seated]}
derive:
  bore-size: {from: bore, rule: max, new: {max: 58.010}, service: {max: 58.100}, source: p. 4-1}
  bore-taper: {from: bore, rule: taper-of-pairs, service: {max: 0.050}, source: p. 4-1}
  bore-oval: {from: bore, rule: oval-over-all, service: {max: 0.050}, source: p. 4-1}
  piston-size: {from: piston, rule: mean, service: {min: 57.930}, source: p. 4-2}
  journal-oval: {from: journal, rule: oval-at-a-height, service: {max: 0.012}, source: p. 5-2}
  stem-size: {from: stem, rule: min, service: {min: 4.455}, source: p. 3-1}
  lobe-height: {from: lobe, rule: min, service: {min: 36.30}, source: p. 3-3}
  rise: {from: tip, rule: change}
fits:
  piston-in-bore:
    {hole: bore, take: max, shaft: piston, less: mean, new: [0.025, 0.050], service: {max: 0.120},
     source: p. 4-3}
oversizes:
  rebore: {feature: bore, with: piston, steps: [0.25, 0.50]}
  regrind: {feature: journal, steps: [0.25]}
select:
  shims:
    {gap: gap, tip: tip, window: {in: [0.11, 0.17], ex: [0.19, 0.25]}, marking: quarters,
     series: [{from: 1.200, to: 2.200, step: 0.025}], source: p. 2-9}
  shells:
    main-shell:
      at: main
      housing: housing
      journal: journal
      case:
        {reads-from: '1', marks: {A: [36.000, 36.006], B: [36.006, 36.012], C: [36.012, 36.018]}}
      crank:
        {reads-from: '5', marks: {'1': [32.994, 33.000], '2': [32.988, 32.994],
         '3': [32.982, 32.988]}}
"""
SHEET: Final = load(TEXT, "engine.yaml").sheet
#: Scatter of one reading and zero error of the instrument, by feature [mm]; decimals shown.
_GAUGE: Final = {
    "bore": (0.0025, 0.002, 3),
    "piston": (0.0015, 0.001, 3),
    "housing": (0.002, 0.0015, 3),
    "journal": (0.0012, 0.001, 3),
    "stem": (0.001, 0.0008, 3),
    "lobe": (0.0025, 0.002, 2),
    "tip": (0.003, 0.002, 2),
}
True_ = Callable[[str, dict[str, str]], float]


def reading(feature: str, place: str, typed: str, **more: Any) -> Reading:
    """One reading. `spot` as a mapping; `id` made of the rest unless given."""
    spot = more.pop("spot", {})
    named = ".".join([feature, place.replace("/", "-"), *spot.values()])
    body = {"id": named, "at": AT, "part_temp": "20", "gauge_temp": "20", **more}
    return Reading(kind="reading", feature=feature, place=place, typed=typed, spot=spot, **body)


def feeler(place: str, goes: str | None, wont: str | None, **more: Any) -> Feeler:
    """One gap by blades."""
    body = {"id": f"gap.{place.replace('/', '-')}", "at": AT, "feature": "gap", **more}
    return Feeler(kind="feeler", place=place, goes=goes, wont=wont, **body)


def shim(place: str, mark: str | None, typed: str | None, **more: Any) -> ShimFitted:
    """One shim found."""
    body = {"id": f"shim.{place.replace('/', '-')}", "at": AT, **more}
    return ShimFitted(kind="shim", place=place, mark=mark, typed=typed, **body)


def event(what: str, *places: str, at: str = "2026-03-05T10:00:00Z", text: str = "") -> Happened:
    """Something done."""
    return Happened(kind="event", id=f"did.{what}", at=at, what=what, places=places, text=text)


def code(group: str, on: str, marks: str) -> Code:
    """A string of marks as stamped."""
    body = {"kind": "code", "id": f"code.{group}.{on}", "at": AT}
    return Code.model_validate({**body, "group": group, "on": on, "marks": marks})


def instrument(name: str, of: str, **more: Any) -> Instrument:
    """An instrument of the shop."""
    return Instrument(kind="instrument", id=f"own.{name}", at=AT, name=name, of=of, **more)


def check(name: str, reference: str, read: str, at: str = AT, **more: Any) -> SettingCheck:
    """A setting check."""
    body = {"id": f"check.{name}.{read}", "at": at, "instrument": name, **more}
    return SettingCheck(kind="check", reference=reference, read=read, **body)


def job(*entries: Any, sheet: Sheet = SHEET, settings: dict[str, str] | None = None) -> Job:
    """A job of these entries."""
    return Job(
        name="test",
        title="",
        sheet=sheet,
        sheet_hash="",
        sheet_file="engine.yaml",
        readings=tuple(e for e in entries if isinstance(e, Reading)),
        feelers=tuple(e for e in entries if isinstance(e, Feeler)),
        codes=tuple(e for e in entries if isinstance(e, Code)),
        shims=tuple(e for e in entries if isinstance(e, ShimFitted)),
        events=tuple(e for e in entries if isinstance(e, Happened)),
        settings=settings or {},
    )


def shop(*entries: Any, settings: dict[str, str] | None = None) -> Shop:
    """A shop of these entries."""
    return Shop(
        instruments={e.name: e for e in entries if isinstance(e, Instrument)},
        checks=tuple(e for e in entries if isinstance(e, SettingCheck)),
        settings=settings or {},
    )


def spots(feature: str, sheet: Sheet = SHEET) -> Iterator[dict[str, str]]:
    """Every spot of a feature's plan."""
    plan = sheet.features[feature].plan
    for names in product(*plan.values()):
        yield dict(zip(plan, names, strict=True))


def worn(seed: int) -> dict[str, True_]:
    """True sizes of an engine: worn, tapered and oval bores, one of them badly; and so on."""
    chance = random.Random(seed)
    wear = {f"cylinder/{n}": chance.uniform(0.005, 0.05) for n in range(1, 5)}
    if chance.random() < 0.5:
        wear[f"cylinder/{chance.randint(1, 4)}"] += chance.uniform(0.05, 0.15)
    base = {place: chance.uniform(58.001, 58.010) for place in wear}
    down = {"top": 1.0, "mid": chance.uniform(0.3, 0.6), "foot": chance.uniform(0.0, 0.15)}
    across = chance.uniform(0.3, 0.8)
    lost = {n: chance.expovariate(1 / 0.002) for n in range(1, 6)}
    if chance.random() < 0.3:
        lost[chance.randint(1, 5)] += chance.uniform(0.005, 0.03)
    crank = {n: chance.uniform(32.983, 32.999) - lost[n] for n in lost}
    case = {n: chance.uniform(36.001, 36.017) for n in lost}
    thin = {place: chance.expovariate(1 / 0.004) for place in SHEET.layout.of("valve")}
    levels = {place: chance.uniform(38.1, 38.4) for place in thin}
    pistons = {place: chance.uniform(57.962, 57.974) - 0.3 * w for place, w in wear.items()}

    def bore(place: str, spot: dict[str, str]) -> float:
        share = 1.0 if spot["axis"] == "thrust" else across
        return base[place] + wear[place] * down[spot["height"]] * share

    def journal(place: str, spot: dict[str, str]) -> float:
        number = int(place[-1])
        return crank[number] - (0.3 * lost[number] if spot["axis"] == "0" else 0.0)

    def stem(place: str, spot: dict[str, str]) -> float:
        most = {"upper": 0.6, "mid": 0.2, "lower": 1.0}[spot["height"]]
        return 4.484 - thin[place] * most

    return {
        "bore": bore,
        "piston": lambda place, spot: pistons[place],
        "housing": lambda place, spot: case[int(place[-1])],
        "journal": journal,
        "stem": stem,
        "lobe": lambda place, spot: 36.48 - 3 * thin[place],
        "tip": lambda place, spot: levels[place],
    }


def measured(seed: int, inch: bool = False) -> list[Reading]:
    """Every reading of a worn engine: 24 + 4 + 30 + 20 + 96 + 16 + 16 readings."""
    chance = random.Random(1000 + seed)
    truth = worn(seed)
    made = []
    for feature, true in truth.items():
        scatter, zero_u, decimals = _GAUGE[feature]
        zero = chance.gauss(0.0, zero_u)
        for place in SHEET.layout.of(SHEET.features[feature].at):
            for spot in spots(feature):
                value = true(place, spot) + zero + chance.gauss(0.0, scatter)
                if inch:
                    typed, unit = f"{value / 25.4:.{decimals + 1}f}", "in"
                else:
                    typed, unit = f"{value:.{decimals}f}", None
                made.append(reading(feature, place, typed, spot=spot, unit=unit))
    return made


def retyped(entry: Reading, typed: str, **more: Any) -> Reading:
    """The same reading, typed otherwise."""
    return entry.model_copy(update={"typed": typed, **more})


def moved(entry: Reading, by: float) -> Reading:
    """The same reading with its number moved, in its own unit."""
    decimals = len(entry.typed.partition(".")[2])
    return retyped(entry, f"{float(entry.typed) + by:.{decimals}f}")
