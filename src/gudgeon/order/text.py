"""The order as plain data, and as a table a spreadsheet opens without running anything."""

from __future__ import annotations

import csv
import io
from typing import Any, Final

from gudgeon.order.lines import Order, OrderLine

COLUMNS: Final = ("what", "size", "count", "places", "price", "total", "currency", "why")
#: A cell that begins with one of these may be run as a formula.
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%", "＝", "＋", "－", "＠")


def to_json(order: Order) -> dict[str, Any]:
    """The order as plain data; prices in its currency."""
    return {
        "job": order.job,
        "currency": order.currency,
        "lines": [_line(line) for line in order.lines],
        "total": order.total,
        "at_least": order.at_least,
        "unpriced": order.unpriced,
        "also": [_line(line) for line in order.also],
        "notes": list(order.notes),
    }


def _line(line: OrderLine) -> dict[str, Any]:
    return {
        "what": line.what,
        "size": line.size,
        "count": line.count,
        "places": list(line.places),
        "price": line.price,
        "total": line.total,
        "why": list(line.reasons),
    }


def to_csv(order: Order) -> str:
    """The lines of the order as CSV (RFC 4180), safe to open in a spreadsheet."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for line in order.lines:
        writer.writerow(
            safe_cell(cell)
            for cell in (
                line.what,
                line.size,
                counted(line.count),
                "; ".join(line.places),
                amount(line.price),
                amount(line.total),
                order.currency,
                "; ".join(line.reasons),
            )
        )
    return out.getvalue()


def amount(value: float | None) -> str:
    """A price to a hundredth; nothing where it is not known.

    >>> amount(11.5), amount(None)
    ('11.50', '')
    """
    return "" if value is None else f"{value:.2f}"


def counted(count: int | None) -> str:
    """How many; a question mark where it is not stated.

    >>> counted(4), counted(None)
    ('4', '?')
    """
    return "?" if count is None else str(count)


def together(order: Order) -> str:
    """The sum of an order as people write it; at least so much, where something is not known."""
    least = "at least " if order.at_least else ""
    return f"{least}{order.currency} {order.total:.2f}".replace("  ", " ").strip()


def safe_cell(text: str) -> str:
    """A cell that no spreadsheet runs as a formula: a quote goes before what looks like one.

    >>> safe_cell("=1+1"), safe_cell("  @sum"), safe_cell("1.750"), safe_cell("")
    ("'=1+1", "'  @sum", '1.750', '')
    """
    plain = "".join(c if c.isprintable() or c == " " else " " for c in text)
    return f"'{plain}" if plain.strip().startswith(_FORMULA) else plain
