"""Fields on a device that may only look: seen, and disabled."""

from __future__ import annotations

import re

import pytest
from tests.bench.helpers import Come

FIELD = re.compile(r'<(?:input(?![^>]*type="hidden")|select|textarea)\b[^>]*>')


@pytest.mark.parametrize(
    ("address", "holds"),
    [
        ("/jobs/triple/marks", "seats"),
        ("/sheets/triple.yaml?part=engine", "fields"),
        ("/sheets/triple.yaml?part=text", ""),
    ],
)
def test_no_field_can_be_typed_into(come: Come, address: str, holds: str) -> None:
    seen = come("look").get(address).text
    typed = come("write").get(address).text
    main = seen[seen.index("<main") : seen.index("</main>")]
    assert FIELD.search(main)
    outside = re.sub(r"<fieldset[^>]*\bdisabled>.*</fieldset>", "", main, flags=re.DOTALL)
    assert (outside != main) == bool(holds)
    for field in FIELD.findall(outside):
        assert re.search(r"\b(disabled|readonly)>", field), field
    assert not re.search(r"<(fieldset|input|textarea)\b[^>]*\b(disabled|readonly)>", typed)
