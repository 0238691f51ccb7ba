"""YAML read as typed: every scalar stays text, every key and value keeps its line and column.

Nothing is constructed from the file but mappings, lists, text and blanks, so `no`, `012`, `1:30`
and `81.000` come out as they stand. What a sheet has no use for is refused: aliases, anchors, tags,
merge keys, duplicate keys, several documents. The parser's events are read one by one with a stack
of our own, so that no nesting, however deep, reaches the interpreter's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Final

import yaml

from gudgeon.faults import Fault, Unusable
from gudgeon.numbers import shown

#: Bounds of a sheet. The largest real one seen is some 1,000 lines, 40 kB and 6 deep.
LARGEST_TEXT: Final = 1024 * 1024
DEEPEST: Final = 20
MOST_NODES: Final = 50_000
MOST_FAULTS: Final = 50

Path = tuple[str | int, ...]
_Parser: Final[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_BLANK: Final = frozenset(("", "~", "null", "Null", "NULL"))

#: Words of the parser -> what is wrong and what would be right, in words of a workshop.
_WORDS: Final[tuple[tuple[str, str, str], ...]] = (
    (
        "cannot start any token",
        "a character that can't stand here",
        "indent with spaces, not tabs, and put a text that begins like this in quotes",
    ),
    (
        "mapping values are not allowed",
        "a key where none can stand",
        "check the indent, and put a text with ':' in quotes",
    ),
    ("expected ':'", "a key without its ':'", "write it like key: value"),
    ("simple key", "a key without its ':'", "write it like key: value"),
    ("expected ',' or ']'", "a list that is not closed", "close it with ']'"),
    ("expected ',' or '}'", "a '{' that is not closed", "close it with '}'"),
    ("expected <block end>", "a line out of step", "indent it like its neighbours"),
    ("expected key", "a line out of step", "indent it like its neighbours"),
    ("expected '-' indicator", "a line out of step", "indent it like its neighbours"),
    ("quoted scalar", "a quote that is not closed", "close it on the same line"),
    ("node content", "a bracket or mark with nothing in it", "remove or fill it"),
    ("nesting depth", f"more than {DEEPEST} levels deep", "check the brackets"),
    ("incompatible YAML", "a version of YAML that is not known", "leave the % line out"),
)
#: Problems that show where the text ends: the place to look is where the bracket was opened.
_UNCLOSED: Final = ("expected ',' or", "quoted scalar")
_NO_TEXT: Final = yaml.reader.Reader.NON_PRINTABLE


@dataclass(frozen=True, slots=True)
class Spot:
    """Line and column, both from 1, of a key (or list item) and of its value."""

    line: int
    column: int
    value_line: int
    value_column: int


@dataclass(frozen=True, slots=True)
class Tree:
    """A YAML text as plain mappings, lists, text and None, with the place of every part.

    Attributes:
        value: the whole.
        spots: path of keys and list positions -> where it stands.
    """

    value: Any
    spots: dict[Path, Spot] = field(default_factory=dict)


@dataclass(slots=True)
class _Open:
    """A mapping or list that is still being read."""

    holds: dict[str, Any] | list[Any]
    path: Path
    key: str | None = None
    key_at: tuple[int, int] = (1, 1)


class _Reader:
    """Builds one tree from the parser's events."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.faults: list[Fault] = []
        self.spots: dict[Path, Spot] = {}
        self.stack: list[_Open] = []
        self.nodes = 0
        self.root: Any = None

    def fault(self, event: Any, wrong: str, right: str) -> None:
        """Note a problem; too many of them end the reading."""
        mark = event.start_mark
        self.faults.append(Fault(f"{self.file}:{mark.line + 1}:{mark.column + 1}", wrong, right))
        if len(self.faults) >= MOST_FAULTS:
            raise Unusable(self.faults)

    def stop(self, event: Any, wrong: str, right: str) -> None:
        """Note a problem after which reading on makes no sense."""
        self.fault(event, wrong, right)
        raise Unusable(self.faults)

    def read(self, events: Iterator[Any]) -> Tree:
        """Every event of the text, in order."""
        documents = 0
        for event in events:
            kind = type(event)
            if kind is yaml.ScalarEvent:
                self.count(event)
                self.scalar(event)
            elif kind is yaml.MappingStartEvent or kind is yaml.SequenceStartEvent:
                self.count(event)
                self.begin(event, {} if kind is yaml.MappingStartEvent else [])
            elif kind is yaml.MappingEndEvent or kind is yaml.SequenceEndEvent:
                self.stack.pop()
            elif kind is yaml.AliasEvent:
                self.count(event)
                self.fault(event, f"an alias *{event.anchor[:30]}", "write the value out")
                self.place(None, event)
            elif kind is yaml.DocumentStartEvent:
                documents += 1
                if documents > 1:
                    self.stop(event, "a second document in one file", "one file holds one sheet")
        if self.faults:
            raise Unusable(self.faults)
        return Tree(self.root, self.spots)

    def count(self, event: Any) -> None:
        """One part more; anchors and tags are refused wherever they stand."""
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self.stop(event, f"more than {MOST_NODES:,} parts", "check that this is a sheet")
        if event.anchor is not None and not isinstance(event, yaml.AliasEvent):
            self.fault(event, f"an anchor &{event.anchor[:30]}", "write the value out where it is")
        if getattr(event, "tag", None) is not None:
            self.fault(event, f"a tag {shown(event.tag, 30)}", "leave it out, values are as typed")

    def scalar(self, event: Any) -> None:
        """A key, or a value that is text or blank."""
        text: str = event.value
        plain = event.style in (None, "")
        top = self.stack[-1] if self.stack else None
        if top is not None and isinstance(top.holds, dict) and top.key is None:
            self.key(top, event, text, plain)
            return
        self.place(None if plain and text in _BLANK else text, event)

    def key(self, top: _Open, event: Any, text: str, plain: bool) -> None:
        """A key of a mapping."""
        if plain and text == "<<":
            self.fault(event, "a merge key <<", "write the keys out")
        elif plain and not text:
            self.fault(event, "a key is blank", "write it like key: value")
        elif text in top.holds:
            first = self.spots.get((*top.path, text))
            line = f", first on line {first.line}" if first else ""
            self.fault(event, f"the key {shown(text)} stands here twice{line}", "keep one of them")
            text = f"{text}\n"  # the value that follows must land somewhere, and off the first one
        top.key = text
        top.key_at = (event.start_mark.line + 1, event.start_mark.column + 1)

    def begin(self, event: Any, holds: dict[str, Any] | list[Any]) -> None:
        """A mapping or list begins."""
        if len(self.stack) >= DEEPEST:
            self.stop(event, f"more than {DEEPEST} levels deep", "check the brackets")
        top = self.stack[-1] if self.stack else None
        if top is not None and isinstance(top.holds, dict) and top.key is None:
            self.stop(event, "a key that is itself a list or mapping", "use a word as the key")
        self.stack.append(_Open(holds, self.place(holds, event)))

    def place(self, value: Any, event: Any) -> Path:
        """Put a value where it belongs; its path is returned."""
        at = (event.start_mark.line + 1, event.start_mark.column + 1)
        if not self.stack:
            self.root = value
            self.spots[()] = Spot(*at, *at)
            return ()
        top = self.stack[-1]
        if isinstance(top.holds, list):
            path: Path = (*top.path, len(top.holds))
            top.holds.append(value)
            self.spots[path] = Spot(*at, *at)
            return path
        if top.key is None:  # an alias where a key belongs
            top.key, top.key_at = "\n", at
            return top.path
        path = (*top.path, top.key)
        top.holds[top.key] = value
        self.spots[path] = Spot(*top.key_at, *at)
        top.key = None
        return path


def _syntax(file: str, problem: yaml.YAMLError) -> Fault:
    """What the parser said, in words of ours."""
    said = f"{getattr(problem, 'context', '') or ''} {getattr(problem, 'problem', '') or ''}"
    first, second = "problem_mark", "context_mark"
    if any(words in said for words in _UNCLOSED):
        first, second = second, first
    mark = getattr(problem, first, None) or getattr(problem, second, None)
    where = f"{file}:{mark.line + 1}:{mark.column + 1}" if mark else file
    for words, wrong, right in _WORDS:
        if words in said:
            return Fault(where, wrong, right)
    return Fault(where, f"this is not YAML ({said.strip()[:80]})", "check indents and brackets")


def read_yaml(text: str, file: str) -> Tree:
    """The text as plain values with their places.

    Raises:
        Unusable: not YAML, too large, too deep, or something a sheet has no use for. Every fault
            that could be found is named.

    >>> read_yaml("a: 81.000\\nb: [no, 012, 1:30, ~]", "x.yaml").value
    {'a': '81.000', 'b': ['no', '012', '1:30', None]}
    """
    if len(text) > LARGEST_TEXT:
        raise Unusable(
            Fault(file, f"more than {LARGEST_TEXT // 1024} kB", "check that this is a sheet")
        )
    bad = _NO_TEXT.search(text)
    if bad:
        before = text[: bad.start()]
        at = f"{before.count(chr(10)) + 1}:{len(before) - before.rfind(chr(10))}"
        raise Unusable(
            Fault(f"{file}:{at}", "a character that no text holds", "save the file as UTF-8 text")
        )
    reader = _Reader(file)
    try:
        return reader.read(yaml.parse(text, Loader=_Parser))
    except yaml.YAMLError as problem:
        raise Unusable([*reader.faults, _syntax(file, problem)]) from None
