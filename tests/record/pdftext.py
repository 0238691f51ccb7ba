"""Reads the text back out of a PDF as typst writes it: CID fonts with a ToUnicode map."""

from __future__ import annotations

import io
import re
from typing import Any

import pikepdf

_CHAR = re.compile(rb"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>")
_RANGE = re.compile(rb"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>")


def pages(data: bytes) -> list[str]:
    """The text of each page, drawings included, letters in the order they are set."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        return [_text(page.obj, page.resources) for page in pdf.pages]


def squashed(text: str) -> str:
    """A text without its spaces: lines are broken, and letters kerned, wherever the page needs."""
    return re.sub(r"\s+", "", text)


def _text(stream: Any, resources: Any, depth: int = 0) -> str:
    fonts = {name: _unicode(font) for name, font in dict(resources.get("/Font", {})).items()}
    forms = dict(resources.get("/XObject", {}))
    told: list[str] = []
    current: dict[int, str] = {}
    for step in pikepdf.parse_content_stream(stream):
        operands, name = step.operands, str(step.operator)
        if name == "Tf":
            current = fonts[str(operands[0])]
        elif name == "Tj":
            told.append(_letters(bytes(operands[0]), current))
        elif name == "TJ":
            told += [
                _letters(bytes(part), current)
                for part in operands[0]
                if isinstance(part, pikepdf.String)
            ]
        elif name in ("BT", "Td", "Tm", "T*"):
            told.append(" ")
        elif name == "Do":
            form = forms[str(operands[0])]
            if form.get("/Subtype") == "/Form" and depth < 8:
                told.append(_text(form, form.get("/Resources", resources), depth + 1))
    return re.sub(r"\s+", " ", "".join(told).replace("\u200b", "").replace("\u00ad", ""))


def _letters(codes: bytes, table: dict[int, str]) -> str:
    return "".join(
        table.get(int.from_bytes(codes[at : at + 2], "big"), "?") for at in range(0, len(codes), 2)
    )


def _unicode(font: Any) -> dict[int, str]:
    """Glyph -> letters, from the font's ToUnicode map."""
    table: dict[int, str] = {}
    text = bytes(font.ToUnicode.read_bytes())
    for block in re.findall(rb"beginbfchar(.*?)endbfchar", text, re.DOTALL):
        for code, letters in _CHAR.findall(block):
            table[int(code, 16)] = bytes.fromhex(letters.decode()).decode("utf-16-be")
    for block in re.findall(rb"beginbfrange(.*?)endbfrange", text, re.DOTALL):
        for low, high, first in _RANGE.findall(block):
            start = int(
                bytes.fromhex(first.decode()).decode("utf-16-be").encode("utf-32-be").hex(), 16
            )
            for step in range(int(high, 16) - int(low, 16) + 1):
                table[int(low, 16) + step] = chr(start + step)
    return table
