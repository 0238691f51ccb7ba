"""Every entry of the table: complete, and its own examples work."""

from __future__ import annotations

import inspect
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gudgeon.calc.calculation import Calculation, run
from gudgeon.calc.registry import BY_NAME, CALCULATIONS
from gudgeon.calc.units import KINDS
from gudgeon.faults import Unusable

entries = pytest.mark.parametrize("entry", CALCULATIONS, ids=lambda entry: entry.name)


def examples(entry: Calculation) -> dict[str, list[str]]:
    """Each option that must be given, with its example, as often as it must."""
    return {o.name: o.examples for o in entry.options if o.least} | (
        {"upper": ["16.3"]} if entry.name == "conformity" else {}
    )


def test_names_are_those_of_the_command_contract() -> None:
    assert set(BY_NAME) >= {
        "shim", "recession", "ring-gap-growth", "oil-clearance", "expansion", "conformity",
        "end-float", "displacement", "piston-position", "compression-ratio", "skim-for-ratio",
        "lobe-centre", "tooth-error", "mark-return", "torque-adapter", "clamp-load", "proof-share",
        "leak-down",
    }  # fmt: skip
    assert len(BY_NAME) == len(CALCULATIONS)


@entries
def test_options_fit_the_formula(entry: Calculation) -> None:
    parameters = inspect.signature(entry.function).parameters
    filled = [key for option in entry.options for key in option.keys]
    assert set(filled) <= set(parameters)
    needed = {name for name, p in parameters.items() if p.default is inspect.Parameter.empty}
    assert needed <= {key for option in entry.options if option.least for key in option.keys}
    assert entry.kind in KINDS
    assert entry.line.endswith(".")
    assert entry.source
    assert all(text.isascii() for text in (entry.line, entry.formula, entry.source))


@entries
def test_examples_give_an_answer_in_the_agreed_shape(entry: Calculation) -> None:
    answer = run(entry, examples(entry))
    found = json.loads(json.dumps(answer.as_json(), allow_nan=False))
    assert {"name", "inputs", "value", "unit", "formula", "source"} <= set(found)
    assert "u" not in found
    assert found["name"] == entry.name
    assert isinstance(found["value"], float)
    assert found["unit"] == KINDS[entry.kind].core
    assert set(found["inputs"]) == set(examples(entry))
    lines = answer.lines()
    assert "=" in lines[0]
    assert lines[-1] == f"source: {entry.source}"


@entries
def test_an_uncertainty_in_gives_one_out(entry: Calculation) -> None:
    for option in entry.options:
        if option.kind in ("choice", "count", "name") or not option.least:
            continue
        typed = examples(entry)
        typed[option.name] = [f"{typed[option.name][0]} +- 1e-7", *typed[option.name][1:]]
        if not entry.spreads:
            with pytest.raises(Unusable, match="use --u"):
                run(entry, typed)
            continue
        answer = run(entry, typed)
        assert answer.u is not None
        assert answer.u > 0.0
        assert any(line.startswith("u = ") for line in answer.lines())


@entries
def test_nothing_given_names_every_option_that_is_missing(entry: Calculation) -> None:
    with pytest.raises(Unusable) as caught:
        run(entry, {})
    assert [fault.where for fault in caught.value.faults] == [
        option.where for option in entry.options if option.least
    ]


@entries
@settings(deadline=None)
@given(st.data())
def test_any_text_is_answered_or_refused(entry: Calculation, data: st.DataObject) -> None:
    texts = st.one_of(
        st.text(max_size=12),
        st.sampled_from(["nan", "1e308", "-1", "0", "1e6", "1 in", "5 N*m", "1+-1", "-1e-30"]),
        st.decimals(-100, 100, places=3).map(str),
    )
    typed = {
        option.name: data.draw(st.lists(texts, min_size=1, max_size=2)) for option in entry.options
    }
    try:
        answer = run(entry, typed, data.draw(st.sampled_from(["", "in", "mm", "%", "x"])))
    except Unusable:
        return
    json.dumps(answer.as_json(), allow_nan=False)
