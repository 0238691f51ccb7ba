"""Every string of the bench, by page and key, from `words/en/*.toml`."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

COMMON = "common"


class Words:
    """The strings of one page.

    Attributes:
        page: name of its file.
    """

    def __init__(self, page: str, texts: dict[str, Any]) -> None:
        self.page = page
        self.texts = texts

    def __call__(self, key: str, **facts: object) -> str:
        """The string, with facts filled in; where `n` is 1, `key-one` if there is one.

        Raises:
            KeyError: the page has no such string.

        >>> Words("x", {"left": "{n} left", "left-one": "one left"})("left", n=1)
        'one left'
        """
        if facts.get("n") == 1 and f"{key}-one" in self.texts:
            key = f"{key}-one"
        return str(self.texts[key]).format(**facts)

    def script(self) -> dict[str, str]:
        """The strings that the page's script needs: its table `script`."""
        return dict(self.texts.get("script", {}))


@cache
def words_of(page: str, language: str = "en") -> Words:
    """The strings of a page, with those that all pages share."""
    folder = files("gudgeon.bench") / "words" / language
    texts: dict[str, Any] = {}
    script: dict[str, str] = {}
    for name in (COMMON, page):
        read = tomllib.loads((folder / f"{name}.toml").read_text(encoding="utf-8"))
        script |= read.pop("script", {})
        texts |= read
    return Words(page, {**texts, "script": script})
