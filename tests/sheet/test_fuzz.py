"""Mutated sheets: 10,000 of them, and never anything but a sheet or Unusable, each in no time.

GUDGEON_FUZZ sets how many.
"""

from __future__ import annotations

import contextlib
import os
import random
import re
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from gudgeon.faults import Fault, Unusable
from gudgeon.sheet.check import check_sheet
from gudgeon.sheet.describe import describe, lines_of
from gudgeon.sheet.load import Loaded, load, load_raw
from gudgeon.sheet.starters import Choice, shims_only, starter
from gudgeon.sheet.yamltext import read_yaml

COUNT = int(os.environ.get("GUDGEON_FUZZ", "10000"))
ROUNDS = 10
ROOT = Path(__file__).parents[2]
GALLERY = sorted((Path(__file__).parent / "gallery").glob("*.yaml"))
DEMOS = sorted((ROOT / "src" / "gudgeon" / "demo" / "sheets").glob("*.yaml"))
#: Things that have broken readers before.
NASTY = (
    "nan", "inf", "-1", "0", "1e308", "1e999", "-0", "9" * 400, "1:30", "no", "012", "0,05",
    "1,2,3", "'", '"', "[", "]", "{", "}", "&a", "*a", "!!int", "!", "<<", "---", "...", "%", "@",
    "?", "- ", ": ", "|", ">", "\t", "\x00", "\u2028", "\ufeff", "\U0001f600", "²", "٣", "~",
    "null", "[" * 50, "{a: " * 30, "- " * 30, "#", "1 mm", "5 furlongs", "81.000 in", "−0.02",
)  # fmt: skip
TOKEN = re.compile(r"[A-Za-z0-9.\-]+|\s+|.")


def _corpus() -> list[str]:
    texts = [path.read_text(encoding="utf-8") for path in (*DEMOS, *GALLERY)]
    return [*texts, starter(Choice("inline1", 2)), shims_only(Choice())]


def coarse(text: str, other: str, chance: random.Random) -> str:
    """The text with bytes, pieces or lines changed, dropped, doubled or grafted."""
    how = chance.randrange(5)
    place = chance.randrange(len(text) + 1)
    if how == 0:
        data = bytearray(text.encode())
        for _ in range(chance.randint(1, 3) if data else 0):
            data[chance.randrange(len(data))] = chance.randrange(256)
        return data.decode("utf-8", "replace")
    if how == 1:
        return text[:place] + chance.choice(NASTY) + text[place:]
    if how == 2:
        return text[:place] + text[place + chance.randint(1, 40) :]
    if how == 3:
        lines = text.splitlines()
        lines.insert(chance.randrange(len(lines) + 1), chance.choice(lines or [""]))
        return "\n".join(lines)
    start = chance.randrange(len(other) + 1)
    return text[:place] + other[start : start + chance.randint(1, 80)] + text[place:]


def gentle(text: str, other: str, chance: random.Random) -> str:
    """The text with one number or word become another, so that much of it is still a sheet."""
    tokens, others = TOKEN.findall(text), TOKEN.findall(other)
    kind = str.isalpha if chance.random() < 0.3 else _is_number
    mine = [place for place, token in enumerate(tokens) if kind(token)]
    theirs = [token for token in others if kind(token)] + list(chance.sample(NASTY, 2))
    if mine:
        tokens[chance.choice(mine)] = chance.choice(theirs)
    return "".join(tokens)


def _is_number(token: str) -> bool:
    return token[0].isdigit()


def mutated(text: str, other: str, chance: random.Random) -> str:
    """The text after a few changes, coarse or gentle."""
    change = coarse if chance.random() < 0.5 else gentle
    for _ in range(chance.randint(1, 3)):
        text = change(text, other, chance)
    return text


def excerpt(text: str, chance: random.Random) -> str:
    """A large sheet cut down, so that ten thousand take no more than a while."""
    lines = text.splitlines()
    if len(lines) <= 60:
        return text
    start = chance.randrange(len(lines) - 40)
    head = [line for line in lines[:25] if not line.startswith("#")]
    return "\n".join([*head, *lines[start : start + 40]])


def tried(read: Callable[[], Loaded]) -> bool:
    """Read, check and describe; whether it was a sheet. Anything but Unusable is let through."""
    started = time.process_time()
    loaded: Loaded | None = None
    told: tuple[Fault, ...] = ()
    try:
        loaded = read()
    except Unusable as problem:
        told = problem.faults
    if loaded is not None:
        assert all(item.where.startswith("f.yaml") for item in check_sheet(loaded))
        describe(loaded.sheet)
        lines_of(loaded.sheet)
    assert time.process_time() - started < 4.0  # of CPU time: a busy machine is no fault
    assert (loaded is None) is bool(told)
    assert all(item.where.startswith("f.yaml") and item.wrong and item.right for item in told)
    return loaded is not None


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_mutated_sheets_are_read_or_refused(seed: int) -> None:
    chance = random.Random(seed)
    corpus = _corpus()
    small = [text for text in corpus if len(text) < 2000]
    read = 0
    for turn in range(COUNT // ROUNDS):
        text = chance.choice(corpus if turn % 4 == 0 else small)
        text = excerpt(text, chance) if turn % 20 == 0 else text
        text = mutated(text, chance.choice(small), chance)
        read += tried(partial(load, text, "f.yaml"))
    assert read > COUNT // ROUNDS // 20, "nearly nothing is read: the mutations are too coarse"


def _nodes(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Any]]:
    yield path, value
    if isinstance(value, dict | list):
        inside = value.items() if isinstance(value, dict) else enumerate(value)
        for key, item in inside:
            yield from _nodes(item, (*path, key))


def _grafted(value: Any, path: tuple[Any, ...], graft: Any) -> Any:
    if not path:
        return graft
    copy: Any = dict(value) if isinstance(value, dict) else list(value)
    copy[path[0]] = _grafted(copy[path[0]], path[1:], graft)
    return copy


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_grafted_data_is_read_or_refused(seed: int) -> None:
    """Any part of a sheet put in the place of any other: what a job's departures could do."""
    chance = random.Random(seed)
    trees = []
    for text in _corpus():
        with contextlib.suppress(Unusable):
            trees.append(read_yaml(text, "x").value)
    nodes = [list(_nodes(tree)) for tree in trees]
    read = 0
    for _ in range(COUNT // ROUNDS // 5):
        which = chance.randrange(len(trees))
        path, _ = chance.choice(nodes[which])
        graft = chance.choice([None, chance.choice(NASTY), chance.choice(chance.choice(nodes))[1]])
        raw = _grafted(trees[which], path, graft)
        read += tried(partial(load_raw, raw, "f.yaml"))
    assert read > COUNT // ROUNDS // 100
