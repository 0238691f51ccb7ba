"""The record as a PDF: the data goes in as JSON, and typst sets the pages."""

from __future__ import annotations

import dataclasses
import datetime
import json
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Any, Final, Literal

from gudgeon.record.cautions import CAUTIONS, INVENTED
from gudgeon.record.data import RecordData
from gudgeon.record.letters import STAND_IN, printable
from gudgeon.record.marks import WORDS, mark_svg

Paper = Literal["a4", "letter"]
PAPERS: Final = {"a4": "a4", "letter": "us-letter"}
#: Tagged and archivable, as typst itself checks while it compiles.
STANDARDS: Final = ("a-2a", "ua-1")
#: A word longer than this may be broken anywhere, so that it can't leave the page.
_LONGEST_WORD: Final = 18
_BREAK: Final = "\u200b"
_RULES: Final = (
    "Sizes are in millimetres at 20 °C. Clearances read with blades stand as read; in a clearance"
    " worked out from two parts, both parts were brought to 20 °C.",
    "In the small strips the box is the range of a new part and the hatched stroke the service"
    " limit, closed towards its hatching.",
)


def record_pdf(data: RecordData, paper: Paper = "a4") -> bytes:
    """The record as PDF/A-2a and PDF/UA-1; the same data gives the same bytes.

    Args:
        data: what to print. paper: `a4` or `letter`.
    """
    plain = dataclasses.asdict(data)
    title = plain["title"]
    title["sheet"] = f"{title['sheet_file']} · {title['sheet_hash'][:12]}"
    rules = [*data.rules, *_RULES]
    packed = {
        **plain,
        "paper": PAPERS[paper],
        "words": list(WORDS),
        "invented_words": INVENTED,
        "standing_cautions": [list(caution) for caution in CAUTIONS],
        "rules": rules,
    }
    ready = readied(packed)
    if STAND_IN in json.dumps(ready, ensure_ascii=False):
        ready["rules"].append(
            f"{STAND_IN} stands for a letter that the faces of this record lack; the log holds the"
            " text as typed."
        )
    ready["marks"] = {word: mark_svg(word) for word in WORDS}
    return compile_pages("record.typ", ready, data.title.date)


def compile_pages(page: str, data: Mapping[str, Any], date: str) -> bytes:
    """One of our page files, set with data, dated [ISO 8601]."""
    import typst

    moment = datetime.datetime.fromisoformat(date[:10]).replace(tzinfo=datetime.UTC)
    with resources.as_file(resources.files("gudgeon.record")) as here:
        folder = Path(here)
        made = typst.compile(
            str(folder / "pages" / page),
            root=str(folder / "pages"),
            font_paths=[str(folder / "fonts")],
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
            pdf_standards=list(STANDARDS),
            timestamp=moment,
        )
    return bytes(made)


def readied(value: Any, key: str = "") -> Any:
    """Every text of the data in letters the faces have, long words made breakable.

    Drawings (`svg`, `strip`) stay as they are: their texts were seen to when they were drawn.
    """
    if isinstance(value, str):
        return value if key in {"svg", "strip"} else _breakable(printable(value))
    if isinstance(value, dict):
        return {name: readied(item, str(name)) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [readied(item) for item in value]
    return value


def _breakable(text: str) -> str:
    if max((len(word) for word in text.split()), default=0) <= _LONGEST_WORD:
        return text
    return " ".join(
        _BREAK.join(
            word[start : start + _LONGEST_WORD] for start in range(0, len(word), _LONGEST_WORD)
        )
        for word in text.split(" ")
    )
