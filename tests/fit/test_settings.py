"""The settings of the picks: what is in force, and what the pages say of them."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from gudgeon.fit.settings import EVERY, SETTINGS, money, shell_settings

DOCS = Path(__file__).parents[2] / "docs"
PAGES = ("findings.md", "shims.md", "shells.md")


def test_the_job_goes_before_the_shop_and_the_shop_before_the_default() -> None:
    assert money({}, {}).reopen == 60 * 4 + 60
    assert money({}, {"hour-rate": "75"}).reopen == 75 * 4 + 60
    assert money({"hour-rate": "100"}, {"hour-rate": "75"}).reopen == 100 * 4 + 60
    assert shell_settings({"legal": " Guarded"}, {}).guarded
    assert not shell_settings({}, {}).guarded


@pytest.mark.parametrize("typed", ["nonsense", "1e308", "nan", "-1", "inf", "1,2,3", " "])
@pytest.mark.parametrize("name", SETTINGS)
def test_what_cannot_be_used_is_told_and_the_default_stands(name: str, typed: str) -> None:
    bad = {name: typed}
    for job, shop in ((bad, {}), ({}, bad)):
        costs, shells = money(job, shop), shell_settings(job, shop)
        (fault,) = dict.fromkeys((*costs.faults, *shells.faults))
        assert fault.where == f"setting {name}"
        assert fault.right == EVERY[name].right
        assert (costs.reopen, costs.tight, costs.guarded) == (300.0, 200.0, False)
        assert (costs.shim_tolerance, costs.dry_u) == (0.010, 0.008)
        assert (shells.tight_weight, shells.guarded, shells.strip_spread) == (2.0, False, 0.006)


def test_the_largest_amounts_still_give_a_price() -> None:
    most = {name: f"{known.most:.0f}" for name, known in SETTINGS.items() if known.most >= 1000}
    costs = money(most, {})
    assert not costs.faults
    assert math.isfinite(costs.reopen)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_says_of_a_setting_what_the_code_does(page: str) -> None:
    text = (DOCS / page).read_text(encoding="utf-8")
    (found,) = re.findall(r"<!-- table: settings -->\n(.*?)\n<!-- end -->", text, re.DOTALL)
    rows = found.splitlines()[2:]
    names = [row.split("`")[1] for row in rows]
    assert rows == [f"| `{n}` | {EVERY[n].default} | {EVERY[n].meaning} |" for n in names]


def test_every_setting_stands_on_a_page() -> None:
    text = "".join((DOCS / page).read_text(encoding="utf-8") for page in PAGES)
    assert [name for name in EVERY if f"| `{name}` |" not in text] == []
