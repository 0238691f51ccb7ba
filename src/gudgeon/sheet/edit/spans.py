"""Where everything of a YAML text begins and ends."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

import yaml

from gudgeon.sheet.yamltext import Path

_Loader: Final[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Held(NamedTuple):
    """One value of a text.

    Attributes:
        node: as the parser has it. key: the node of its key, if it has one.
        start, end: where it stands [characters]; the same where it is blank.
    """

    node: Any
    key: Any
    start: int
    end: int

    @property
    def blank(self) -> bool:
        """Whether nothing is written there."""
        return isinstance(self.node, yaml.ScalarNode) and self.start == self.end

    @property
    def flow(self) -> bool:
        """Whether it is written in brackets."""
        return bool(getattr(self.node, "flow_style", False))


def spans(text: str) -> Mapping[Path, Held]:
    """Every value of a text that `read_yaml` has read, by its path."""
    found: dict[Path, Held] = {}
    root = yaml.compose(text, Loader=_Loader)
    waiting: list[tuple[Path, Any, Any]] = [((), root, None)] if root is not None else []
    while waiting:
        path, node, key = waiting.pop()
        found[path] = Held(node, key, node.start_mark.index, end_of(text, node))
        if isinstance(node, yaml.MappingNode):
            waiting += [((*path, k.value), v, k) for k, v in node.value]
        elif isinstance(node, yaml.SequenceNode):
            waiting += [((*path, place), item, None) for place, item in enumerate(node.value)]
    return found


def end_of(text: str, node: Any) -> int:
    """Where a value really ends: the parser lets a block reach to what comes next."""
    while not isinstance(node, yaml.ScalarNode) and not node.flow_style and node.value:
        last = node.value[-1]
        node = last[1] if isinstance(node, yaml.MappingNode) else last
    end: int = node.end_mark.index
    if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
        return len(text[:end].rstrip())
    return end


def line_end(text: str, at: int) -> int:
    """Where the line of a character ends, before its line break."""
    end = text.find("\n", at)
    if end < 0:
        return len(text)
    return end - 1 if end > at and text[end - 1] == "\r" else end


def line_start(text: str, at: int) -> int:
    """Where the line of a character begins."""
    return text.rfind("\n", 0, at) + 1


def column_of(text: str, at: int) -> int:
    """How far a character stands from the left edge."""
    return at - line_start(text, at)
