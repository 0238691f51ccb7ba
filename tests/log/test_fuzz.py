"""Tables and logs with random damage: read, or refused in words; never anything else.

GUDGEON_FUZZ says how many of each; 10,000 if it is not set.
"""

from __future__ import annotations

import os
import random

from tests.log.helpers import AT, SHEET, bore, entry, opened

from gudgeon.faults import Fault, Unusable
from gudgeon.log.codec import body_of, read_bodies
from gudgeon.log.exchange import export_log, import_log
from gudgeon.log.fold import fold
from gudgeon.log.merging import chained
from gudgeon.log.tables import read_table
from gudgeon.sheet.load import load

COUNT = int(os.environ.get("GUDGEON_FUZZ", "10000"))
TABLE = (
    "entry,place,feature,spot,epoch,attempt,value,goes,wont,mark,spread,unit,note\n"
    ",cylinder/1,bore,top pin,found,1,58.013,,,,,mm,blue\n"
    'feeler,valve/1/in/L,gap,,,2,,0.10,"0,13",,,,\n'
    "shim,valve/2/ex/R,,,,,1.775 mm,,,178,,,\n"
    "code,main-shell/case,,,,,,,,ABBA,,,\n"
    "rise,valve/1/in/L,,,,,0.05,,,,0.02,,guess\n"
)
ODD = [
    *("\0", "\x1b", "\x7f", "\u2028", "\ufeff", "\N{WRENCH}", "\ud800", '"', "'", "\\", ",", ";"),
    *("\t", "\n", "\r", "\r\n", "{", "}", "[", "]", ":", "=", "/", "-", "--", "NaN", "1e308"),
    *("99999999999999999999", "-0", "1,000.00", "½", "٣", "null", "true", '"id":"x"', "%s", "{0}"),
    *("\\ud83d", "\\u0000", "../..", "[" * 3000, "9" * 400, " " * 300, "é", "=1+1", "\x85"),
]


def damaged(text: str, chance: random.Random) -> str:
    """The text with one to five pieces cut, doubled, moved or put in."""
    for _ in range(chance.randint(1, 5)):
        start = chance.randint(0, len(text))
        end = min(len(text), start + chance.choice([0, 1, 1, 2, 5, 40, 400]))
        piece = chance.choice(["", chance.choice(ODD), text[start:end] * 2, text[end : end + 9]])
        text = text[:start] + piece + text[end:]
    return text


def in_words(fault: Fault, place: str = "") -> bool:
    """Whether a fault has its place, says what is wrong and what would be right, on one line."""
    whole = fault.where.startswith(place) and bool(fault.wrong and fault.right)
    return whole and str(fault).isprintable() and len(str(fault)) < 600


def test_tables() -> None:
    sheet = load(SHEET, "triple.yaml").sheet
    chance = random.Random(1)
    refused: list[Unusable] = []
    for _ in range(COUNT):
        text = damaged(TABLE, chance)
        try:
            entries, _ = read_table(text, "t.csv", sheet, AT)
        except Unusable as problem:
            refused.append(problem)
        else:
            fold("j", [*opened(), *entries])
    assert 0 < len(refused) < COUNT
    assert all(in_words(fault, "t.csv") for problem in refused for fault in problem.faults)


def test_logs() -> None:
    entries = [
        entry("opened", "o", title="A worn one"),
        bore("r1"),
        entry("feeler", "f1", place="valve/1/in/L", feature="gap", goes="0.10", wont="0.13"),
        entry("strike", "x1", target="r1", reason="slip"),
        entry("depart", "d1", oversize="first", step="0.50"),
        entry("depart", "d2", path="derive.size.service.max", value="58.15"),
        entry("code", "c1", group="main-shell", on="crank", marks="1221"),
        entry("event", "e1", what="seat-cut", places=["valve/1/in/L"]),
    ]
    bodies = [body_of(item) for item in entries]
    sealed = export_log("triple", chained((), bodies, "bench"))
    by_hand = '{"gudgeon":"log","version":1}\n' + "".join(f"{body}\n" for body in bodies)
    pinned = opened()[1]
    chance = random.Random(2)
    refused: list[Unusable] = []
    for number in range(COUNT):
        text = damaged(by_hand if number % 4 else sealed, chance)
        try:
            found = import_log(text, "l.jsonl")
        except Unusable as problem:
            refused.append(problem)
        else:
            job = fold("j", [pinned, *read_bodies(found.bodies, "j")])
            assert all(map(in_words, job.faults))
            again = import_log(export_log("j", found.bodies), "again")
            assert sorted(again.bodies) == sorted(found.bodies)
    assert 0 < len(refused) < COUNT
    assert all(in_words(fault, "l.jsonl") for problem in refused for fault in problem.faults)
