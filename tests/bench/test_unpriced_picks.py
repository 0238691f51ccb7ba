"""Picks where the sheet gives no prices: that is said, and no gap is left in the line."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from gudgeon.bench.picked_shells import shell_part
from gudgeon.bench.picked_shims import shim_part
from gudgeon.cli.opening import open_job
from gudgeon.fit.picks import picks
from gudgeon.fit.shims.advice import Bracket
from gudgeon.log.codec import body_of
from gudgeon.log.entries import SheetPinned
from gudgeon.metrology.findings import findings
from gudgeon.sheet.load import load
from gudgeon.store.sqlite import SqliteStore


def test_what_has_no_price_says_so(folder: Path) -> None:
    whole = (folder / "sheets" / "triple.yaml").read_text(encoding="utf-8")
    text = re.sub(r"(, |\n *)price: [0-9.]+", "", whole)
    assert "price:" not in text
    pinned = SheetPinned(
        id="unpriced",
        at="2026-12-01T07:00:00Z",
        file="triple.yaml",
        sha256=load(text, "triple.yaml").sha256,
        text=text,
    )
    store = SqliteStore(folder)
    store.append("triple", [body_of(pinned)], len(store.read("triple")))
    job, shop = open_job("triple", str(folder))
    told = picks(job, shop, findings(job, shop).table)
    assert told.shims is not None
    bracket = Bracket("valve/1/in/L", "1.850", None, 0.7, 0.9)
    shims = shim_part(job, replace(told.shims, brackets=(bracket,)))
    shells = [shell_part(job, group, told.shells.buy) for group in told.shells.groups]
    bought = [*shims.buy, *(line for part in shells for line in part.buy)]
    assert shims.buy
    assert len(bought) > len(shims.buy)
    assert all(", price not given: " in line for line in bought), bought
    assert "1.850 as well (price not given)" in shims.brackets[0]
    assert not any(re.search(r"at\s*:|\(\s*\)", line) for line in (*bought, *shims.brackets))
