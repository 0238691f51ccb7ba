"""A small engine and entries for it, all invented."""

from __future__ import annotations

from typing import Any

from gudgeon.log.codec import entry_from
from gudgeon.log.entries import Entry
from gudgeon.sheet.load import load

AT = "2026-03-01T14:05:00Z"
SHEET = """\
sheet: 1
engine: {name: Invented triple, invented: yes, capacity: 599 cc}
places:
  end: 1 = left
  cylinder: 3
  main: 4
  valve: {each: cylinder, in: [L, R], ex: [L, R]}
features:
  bore:
    {at: cylinder, plan: {height: [top, mid, foot], axis: [thrust, pin]}, of: iron,
     wears: larger, new: [58.000, 58.010]}
  piston: {at: cylinder, of: aluminium, new: [57.965, 57.975], wears: smaller}
  journal:
    {at: main, plan: {axis: ['0', '90'], end: [front, rear]}, of: steel, wears: smaller,
     new: [32.982, 33.000]}
  gap: {at: valve, kind: gap, by: feeler, epochs: [found, built]}
  tip: {at: valve, kind: height, epochs: [found, seated]}
  piston-mass: {at: cylinder, kind: mass}
derive:
  size: {from: bore, rule: max, new: {max: 58.010}, service: {max: 58.100}, source: p. 4-12}
  taper: {from: bore, rule: taper-of-pairs, service: {max: 0.05}, source: p. 4-12}
  piston-size: {from: piston, rule: max, service: {min: 57.900}, source: p. 4-12}
oversizes:
  first: {feature: bore, with: piston, steps: [0.25, 0.50]}
  grind: {feature: journal, steps: [0.25]}
select:
  shims:
    {window: {in: [0.11, 0.17], ex: [0.19, 0.25]}, tip: tip,
     series: [{from: 1.200, to: 2.200, step: 0.025, price: 9}]}
  shells:
    main-shell:
      at: main
      journal: journal
      window: [0.020, 0.044]
      case: {reads-from: 1, marks: {A: [36.000, 36.006], B: [36.006, 36.012]}}
      crank: {reads-from: 4, marks: {1: [32.994, 33.000], 2: [32.988, 32.994]}}
"""
SHA256 = load(SHEET, "triple.yaml").sha256


def entry(kind: str, key: str, **fields: Any) -> Entry:
    """An entry of a kind, by its id and the fields that matter."""
    return entry_from({"kind": kind, "id": key, "at": AT, **fields}, "test")


def opened() -> list[Entry]:
    """The entries every job begins with."""
    return [
        entry("opened", "o", title="A worn one"),
        entry("sheet", "s", file="triple.yaml", sha256=SHA256, text=SHEET),
    ]


def bore(key: str, typed: str = "58.013", **fields: Any) -> Entry:
    """A reading of a bore."""
    given: dict[str, Any] = {"spot": {"height": "top", "axis": "thrust"}, "place": "cylinder/1"}
    return entry("reading", key, feature="bore", typed=typed, **(given | fields))
