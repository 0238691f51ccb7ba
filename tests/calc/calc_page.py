"""docs/calc.md, made from the table of calculations.

    python -m tests.calc.calc_page

writes it.
"""

from __future__ import annotations

import shlex
from pathlib import Path

from gudgeon.calc.calculation import Calculation, run
from gudgeon.calc.options import Option
from gudgeon.calc.registry import CALCULATIONS
from gudgeon.calc.units import KINDS
from gudgeon.clamp.threads import CLASSES, PITCHES
from gudgeon.clamp.torque import TORQUE_FACTORS

PAGE = Path(__file__).parents[2] / "docs" / "calc.md"
HEAD = """\
# Single calculations

`gudgeon calc NAME ...` answers one question on its own, with no shop, sheet or job. This page is
made from the table of calculations; a test keeps it so.

A quantity is a number with or without a unit: `0.05`, `"0.05 mm"`, `"4 in"`, `"300 lbf*in"`,
`"80 psi"`. A bare number is in the unit of the second column. A plain number may be a fraction,
`20/30`. One standard uncertainty may follow, `"1.850 +- 0.003 mm"`, and the answer then has one
too, as `u`. `--in UNIT` gives the answer in another unit, `--json` as JSON: `name`, `inputs`,
`value`, `unit`, `formula`, `source`, `sum`, and where there are any `u`, `notes` and further
figures under their names. What can't be used is refused with the option, what is wrong and what
would be right, and exit status 2.

The maker's manual comes first. None of this makes a limit or a torque, and no figure here is a
substitute for a clay or dial check, or for turning the engine by hand.
"""


def command(entry: Calculation) -> str:
    """The calculation called with the example of every option."""
    words = ["gudgeon", "calc", entry.name]
    for option in entry.options:
        values = [shlex.quote(text) for text in option.examples]
        if option.several:
            words += [option.where, *values]
        else:
            words += [word for value in values for word in (option.where, value)]
    return " ".join(words)


def _row(option: Option) -> str:
    unit = KINDS[option.kind].core if option.kind in KINDS else ""
    unit = unit or {"count": "whole", "name": "name"}.get(option.kind, "")
    unit = " or ".join(option.choices) or unit or "number"
    need = "" if option.least or "left out" in option.what else "; may be left out"
    need += "; twice" if option.least == 2 and not option.several else ""
    return f"| `--{option.name}` | {unit} | {option.what}{need} |"


def _section(entry: Calculation) -> str:
    typed = {option.name: option.examples for option in entry.options}
    lines = [
        f"## {entry.name}",
        "",
        entry.line,
        "",
        "| option | unit | what to give |",
        "|---|---|---|",
        *(_row(option) for option in entry.options),
        "",
        f"    $ {command(entry)}",
        *(f"    {line}" for line in run(entry, typed).lines()),
    ]
    return "\n".join(lines) + "\n"


def _tables() -> str:
    factors = [f"| {row.condition} | {row.k:.2f} | {row.source} |" for row in TORQUE_FACTORS]
    grades = []
    for item in CLASSES.values():
        sizes: list[tuple[str, tuple[float, ...]]] = [("", item[1:4])]
        if item.above is not None:
            sizes = [(" to 16 mm", item[1:4])]
        if item.above:
            sizes.append((" over 16 mm", item.above))
        grades += [
            f"| {item.name}{size} | {' | '.join(f'{value:g}' for value in values)} |"
            for size, values in sizes
        ]
    threads = [
        f"| M{diameter:g} | {pitches[0]:g} | {', '.join(f'{pitch:g}' for pitch in pitches[1:])} |"
        for diameter, pitches in PITCHES.items()
    ]
    parts = [
        "## What is known of bolts",
        "",
        "Torque factors. None is measured on your bolt, and sources disagree.",
        "",
        "| condition | K | source |",
        "|---|---|---|",
        *factors,
        "",
        "Property classes by ISO 898-1:2013, Table 3, in MPa.",
        "",
        "| class | tensile, least | yield, least | proof |",
        "|---|---|---|---|",
        *grades,
        "",
        "Threads by ISO 261, in mm; a thread without a pitch is the coarse one.",
        "",
        "| thread | coarse | fine |",
        "|---|---|---|",
        *threads,
    ]
    return "\n".join(parts) + "\n"


def page() -> str:
    """The page as it should be."""
    return "\n".join([HEAD, *(_section(entry) for entry in CALCULATIONS), _tables()])


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
