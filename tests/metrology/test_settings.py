"""Settings: the job's before the shop's before the default; what can't be used is told."""

from __future__ import annotations

import pytest

from gudgeon.metrology.settings import SETTINGS, settings


def test_the_job_goes_before_the_shop_and_the_shop_before_the_default() -> None:
    assert settings({}, {}).rule.kind == "expanded"
    assert settings({}, {"decision-rule": "simple"}).rule.kind == "simple"
    both = settings({"decision-rule": "probability"}, {"decision-rule": "simple"})
    assert both.rule.kind == "probability"
    assert not both.faults


@pytest.mark.parametrize("name", SETTINGS)
def test_a_setting_that_cannot_be_used_is_told_and_its_default_stands(name: str) -> None:
    for typed in ("nonsense", "1e9", "nan"):
        found = settings({name: typed}, {})
        (fault,) = found.faults
        assert fault.where == f"setting {name}"
        assert fault.right == SETTINGS[name].right
        assert settings({}, {}).rule == found.rule


def test_every_default_can_be_used() -> None:
    assert settings({name: known.default for name, known in SETTINGS.items()}, {}) == settings(
        {}, {}
    )
