"""The tables of docs/log.md, made from the schema of entries and the columns of tables.

    python -m tests.log.log_page

writes them into the page.
"""

from __future__ import annotations

import re
from pathlib import Path

from gudgeon.log.codec import kinds
from gudgeon.log.entries import Entry
from gudgeon.log.tables import COLUMNS

PAGE = Path(__file__).parents[2] / "docs" / "log.md"


def columns() -> str:
    """The columns of a table."""
    rows = [f"| `{name}` | {words} |" for name, words in COLUMNS.items()]
    return "\n".join(["| column | what it holds |", "|---|---|", *rows])


def entries() -> str:
    """The kinds of entry, each with its fields."""
    every = kinds("job") | kinds("shop")
    rows = ["| kind | log | what it says | fields |", "|---|---|---|---|"]
    for kind, model in every.items():
        logs = [name for name in ("job", "shop") if kind in kinds(name)]
        says = (model.__doc__ or "").split("\n\n")[0].replace("\n", " ")
        says = re.sub(r"\s+", " ", says).strip()
        rows.append(f"| `{kind}` | {', '.join(logs)} | {says} | {_fields(model)} |")
    return "\n".join(rows)


def _fields(model: type[Entry]) -> str:
    own = {
        name: info
        for name, info in model.model_fields.items()
        if name != "kind" and name not in Entry.model_fields
    }
    return ", ".join(
        f"`{name}`" if info.is_required() else f"(`{name}`)" for name, info in own.items()
    )


def page(text: str) -> str:
    """The page with its tables as they should be."""
    for name, table in (("columns", columns()), ("entries", entries())):
        before, mark, rest = text.partition(f"<!-- {name} -->\n")
        _, end, after = rest.partition("<!-- end -->")
        text = f"{before}{mark}{table}\n{end}{after}"
    return text


if __name__ == "__main__":
    PAGE.write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
