"""docs/findings.md: its tables are those of the code, word for word."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from pathlib import Path

import pytest

from gudgeon.cli.findings_words import MARKS
from gudgeon.metrology.findings import WORDS
from gudgeon.metrology.kinds import KINDS, Kind
from gudgeon.metrology.priors import PRIORS
from gudgeon.metrology.rules import WORDS as RULES
from gudgeon.metrology.settings import SETTINGS
from gudgeon.metrology.stale import EVENTS

PAGE = Path(__file__).parents[2] / "docs" / "findings.md"


def table(head: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    cells = [list(head), *(list(row) for row in rows)]
    ruled = [cells[0], ["---"] * len(cells[0]), *cells[1:]]
    return "\n".join(f"| {' | '.join(row)} |" for row in ruled)


def expanded(kind: Kind) -> str:
    unit = "g" if kind.name == "scales" else "mm"
    parts = [
        f"{u:g}" + ("" if math.isinf(up_to) else f" to {up_to:g} {unit}") for up_to, u in kind.bands
    ]
    return "; ".join(parts) + (" beyond" if len(parts) > 1 else "")


def tables() -> dict[str, str]:
    return {
        "words": table(
            ("sign", "word"), ((f"`{MARKS[word].strip()}`", f"*{word}*") for word in WORDS)
        ),
        "rules": table(("rule", "what it takes"), ((f"`{k}`", v) for k, v in RULES.items())),
        "instruments": table(
            ("name", "instrument", "U, mm (scales: g)", "of U², shared", "what is shared"),
            (
                (f"`{k.name}`", k.words, expanded(k), f"{100 * k.share:.0f} %", k.shared)
                for k in KINDS.values()
            ),
        ),
        "priors": table(
            ("slip", "chance", "per", "why"),
            ((f"`{name}`", f"{p.chance:g}", p.per, p.why) for name, p in PRIORS.items()),
        ),
        "events": table(
            ("event", "what was done", "what no longer holds", "what was chosen on it"),
            (
                (
                    f"`{name}`",
                    row.words,
                    ", ".join(sorted(row.roles)) or "everything there, or what its text names",
                    ", ".join(row.picks) or "-",
                )
                for name, row in EVENTS.items()
            ),
        ),
        "settings": table(
            ("setting", "default", "meaning"),
            ((f"`{name}`", known.default, known.meaning) for name, known in SETTINGS.items()),
        ),
    }


@pytest.mark.parametrize("name", tables())
def test_the_page_holds_the_table_of_the_code(name: str) -> None:
    text = PAGE.read_text(encoding="utf-8")
    (found,) = re.findall(rf"<!-- table: {name} -->\n(.*?)\n<!-- end -->", text, re.DOTALL)
    assert found == tables()[name]


def test_the_page_holds_no_other_table() -> None:
    named = re.findall(r"<!-- table: (\S+) -->", PAGE.read_text(encoding="utf-8"))
    assert sorted(named) == sorted(tables())
