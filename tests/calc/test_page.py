"""docs/calc.md is the table of calculations, and its examples are what the command prints."""

from __future__ import annotations

import re
import shlex
import sys
import textwrap

import pytest
from tests.calc.calc_page import PAGE, page

from gudgeon.calc.registry import CALCULATIONS
from gudgeon.cli import main

TEXT = PAGE.read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^    \$ (.+)\n((?:    .+\n)+)", TEXT, re.MULTILINE)


def test_it_is_up_to_date() -> None:
    assert page() == TEXT, "python -m tests.calc.calc_page"


def test_every_calculation_has_an_example_with_every_option() -> None:
    called = {line.split()[2]: line for line, _ in EXAMPLES}
    assert list(called) == [entry.name for entry in CALCULATIONS]
    for entry in CALCULATIONS:
        assert all(f" --{option.name} " in called[entry.name] for option in entry.options)


@pytest.mark.parametrize(("line", "printed"), EXAMPLES, ids=[line for line, _ in EXAMPLES])
def test_its_examples_print_what_it_says(
    line: str,
    printed: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(sys, "argv", shlex.split(line))
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code == 0
    assert capsys.readouterr().out == textwrap.dedent(printed)
