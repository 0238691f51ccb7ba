"""One change of a sheet's text: a value set or made blank, an entry added or taken out.

The text is changed where the value stands and nowhere else, so comments, order and layout stay as
somebody wrote them. The result is read again and compared with the change made to plain data; where
the two differ, the change is refused.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, Literal, NamedTuple

from gudgeon.faults import Fault, Unusable
from gudgeon.sheet.base import Limits
from gudgeon.sheet.edit.flow import one_line, word
from gudgeon.sheet.edit.spans import Held, column_of, line_end, line_start, spans
from gudgeon.sheet.layout import CamEvents
from gudgeon.sheet.model import Sheet
from gudgeon.sheet.select import Aims, Grade, Renewal, Series, Sided
from gudgeon.sheet.shape import Shape, step_into
from gudgeon.sheet.yamltext import Path, read_yaml

Kind = Literal["set", "add", "drop"]
_ROOT: Final = Shape("part", part=Sheet)
#: Parts that are written in one line where a new one is made.
_SHORT: Final = (Limits, Sided, Aims, CamEvents, Series, Grade, Renewal)


class Change(NamedTuple):
    """One change.

    Attributes:
        path: keys and positions in lists. value: text, list, mapping, or None for blank.
        kind: `set` a value, making what it stands in; `add` to the end of a list; `drop` an entry.
    """

    path: Path
    value: Any = None
    kind: Kind = "set"


def change(text: str, changes: Sequence[Change], file: str = "the sheet") -> str:
    """The text with each change made, one after the other.

    Raises:
        Unusable: the text is no YAML, or a change can't be made where it should stand.

    >>> text = "sheet: 1\\nengine:\\n  name: # yours\\nunit: mm # all\\n"
    >>> print(change(text, [Change(("engine", "name"), "Four"), Change(("unit",), "in")]), end="")
    sheet: 1
    engine:
      name: Four # yours
    unit: in # all
    """
    for item in changes:
        before = read_yaml(text, file).value
        wanted = _plain(before, item, file)
        if wanted == before:
            continue
        text = _Pen(text).write(item)
        if read_yaml(text, file).value != wanted:
            raise Unusable(_cant(item.path, file))
    return text


def _cant(path: Path, file: str) -> Fault:
    where = ".".join(str(part) for part in path)
    return Fault(
        file,
        f"{where} can't be changed as this file is written",
        "change it in the text of the sheet",
    )


def _plain(raw: Any, item: Change, file: str) -> Any:
    """The change made to plain data.

    Raises:
        Unusable: its path leads through a value, or to no item of a list.
    """
    if not item.path:
        raise Unusable(_cant(item.path, file))
    root: Any = dict(raw or {})
    holds, keys = root, item.path if item.kind == "add" else item.path[:-1]
    for depth, key in enumerate(keys):
        inner = _get(holds, key)
        if inner is None:
            last = depth == len(keys) - 1
            inner = [] if last and item.kind == "add" else {}
        elif not isinstance(inner, (dict, list)):
            raise Unusable(_cant(item.path, file))
        inner = dict(inner) if isinstance(inner, dict) else list(inner)
        _put(holds, key, inner, item, file)
        holds = inner
    if item.kind == "add":
        if not isinstance(holds, list):
            raise Unusable(_cant(item.path, file))
        holds.append(item.value)
    elif item.kind == "drop":
        return _dropped(root, item)
    else:
        _put(holds, item.path[-1], item.value, item, file)
    return root


def _get(holds: Any, key: str | int) -> Any:
    if isinstance(holds, list):
        return holds[key] if isinstance(key, int) and 0 <= key < len(holds) else None
    return holds.get(key)


def _put(holds: Any, key: str | int, value: Any, item: Change, file: str) -> None:
    if isinstance(holds, list):
        if not isinstance(key, int) or not 0 <= key < len(holds):
            raise Unusable(_cant(item.path, file))
        holds[key] = value
    elif isinstance(key, str):
        holds[key] = value
    else:
        raise Unusable(_cant(item.path, file))


def _dropped(root: Any, item: Change) -> Any:
    """Without the entry; what held it alone is blank then."""
    above, holds = None, root
    for key in item.path[:-1]:
        above, holds = holds, holds[key]
    gone = item.path[-1]
    if isinstance(holds, list) and isinstance(gone, int):
        del holds[gone : gone + 1]
    elif isinstance(holds, dict):
        holds.pop(gone, None)
    if not holds and above is not None:
        above[item.path[-2]] = None
    return root


def shape_of_path(path: Path) -> Shape | None:
    """What may stand at a path."""
    shape: Shape | None = _ROOT
    for key in path:
        shape = step_into(shape, key) if shape is not None else None
    return shape


def _in_one_line(path: Path) -> bool:
    """Whether a new group of keys at a path is written in brackets."""
    shape = shape_of_path(path)
    if shape is None:
        return True
    if shape.sort == "part":
        return shape.part in _SHORT
    return shape.sort == "map" and shape.inner is not None and shape.inner.sort == "leaf"


class _Pen:
    """Changes one text once."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.held = spans(text)
        self.eol = "\r\n" if "\r\n" in text else "\n"

    def write(self, item: Change) -> str:
        """The text with the change made."""
        if item.kind == "drop":
            return self._drop(item.path)
        if item.kind == "add":
            return self._add(item.path, item.value)
        if item.path in self.held:
            return self._replace(self.held[item.path], item.value)
        return self._insert(item.path, item.value)

    def _splice(self, start: int, end: int, new: str) -> str:
        return self.text[:start] + new + self.text[end:]

    def _replace(self, held: Held, value: Any) -> str:
        if value is None:
            return self._blank(held)
        new = one_line(value)
        if held.blank:
            return self._fill(held.start, new)
        if held.key is not None and not held.flow and not _is_scalar(held):
            colon = self.text.index(":", held.key.end_mark.index) + 1
            return self._splice(colon, held.end, " " + new)
        return self._splice(held.start, held.end, new)

    def _blank(self, held: Held) -> str:
        if held.key is None:
            return self._splice(held.start, held.end, "~")
        colon = self.text.index(":", held.key.end_mark.index) + 1
        follows = self.text[held.end : held.end + 1]
        return self._splice(colon, held.end, " " if follows in (",", "}", "]") else "")

    def _fill(self, at: int, new: str) -> str:
        """Write where nothing stood: behind the colon or the dash."""
        while self.text[at - 1 : at] == " ":
            at -= 1
        end = at
        while self.text[end : end + 1] == " ":
            end += 1
        if self.text[end : end + 1] not in (",", "}", "]"):
            end = at
        if self.text[end : end + 1] == "#":
            new += " "
        return self._splice(at, end, " " + new)

    def _insert(self, path: Path, value: Any) -> str:
        """A key that is not there yet, in a group of keys that is, or is made for it."""
        depth = len(path) - 1
        while path[:depth] not in self.held:
            depth -= 1
        above = self.held[path[:depth]]
        key, rest = str(path[depth]), path[depth + 1 :]
        if above.blank:
            return self._open(path[:depth], above, key, rest, value)
        lines = self._entry(path[: depth + 1], rest, value, flow=above.flow)
        new = f"{word(key)}:{lines[0]}"
        if above.flow:
            return self._into_brackets(above, new)
        first = above.node.value[0][0] if above.node.value else None
        indent = " " * (column_of(self.text, first.start_mark.index) if first is not None else 0)
        return self._below(above.end, [indent + new, *(indent + line for line in lines[1:])])

    def _open(self, at: Path, above: Held, key: str, rest: Path, value: Any) -> str:
        """The first key of a group that was blank."""
        flow = self.held[at[:-1]].flow if at else False
        lines = self._entry((*at, key), rest, value, flow=flow or _in_one_line(at))
        if flow or _in_one_line(at):
            return self._fill(above.start, "{" + f"{word(key)}:{lines[0]}" + "}")
        column = column_of(self.text, above.key.start_mark.index) if above.key else -2
        indent = " " * (column + 2)
        new = [f"{indent}{word(key)}:{lines[0]}", *(indent + line for line in lines[1:])]
        return self._below(above.start, new)

    def _entry(self, at: Path, rest: Path, value: Any, flow: bool) -> list[str]:
        """What stands behind a new key, and the lines below it."""
        if not rest:
            if not flow and isinstance(value, dict) and value and not _in_one_line(at):
                return ["", *(f"  {line}" for line in block(value, at))]
            return [" " + one_line(value) if value is not None else ""]
        key = str(rest[0])
        inner = self._entry((*at, key), rest[1:], value, flow or _in_one_line(at))
        if flow or _in_one_line(at):
            return [f" {{{word(key)}:{inner[0]}}}"]
        return ["", f"  {word(key)}:{inner[0]}", *(f"  {line}" for line in inner[1:])]

    def _into_brackets(self, above: Held, new: str) -> str:
        """Add to what stands in brackets, before they close."""
        close = above.end - 1
        if not above.node.value:
            return self._splice(above.start + 1, close, new)
        last = above.node.value[-1]
        at = (last[1] if isinstance(last, tuple) else last).end_mark.index
        between = self.text[at:close]
        if between.strip() == ",":
            return self._splice(at, close, f", {new}")
        return self._splice(at, at, f", {new}")

    def _below(self, at: int, lines: Sequence[str]) -> str:
        end = line_end(self.text, at)
        return self._splice(end, end, "".join(self.eol + line for line in lines))

    def _add(self, path: Path, value: Any) -> str:
        held = self.held.get(path)
        if held is None:
            return self._insert(path, [value])
        new = one_line(value)
        if held.flow:
            return self._into_brackets(held, new)
        if held.blank:
            column = column_of(self.text, held.key.start_mark.index)
            return self._below(held.start, [f"{' ' * (column + 2)}- {new}"])
        indent = " " * column_of(self.text, held.node.start_mark.index)
        return self._below(held.end, [f"{indent}- {new}"])

    def _drop(self, path: Path) -> str:
        held, above = self.held[path], self.held[path[:-1]]
        if len(above.node.value) == 1:
            return self._blank(above)
        start = held.key.start_mark.index if held.key is not None else held.start
        if above.flow:
            return self._out_of_brackets(above, path, start, held.end)
        begin = line_start(self.text, start)
        end = line_end(self.text, held.end)
        breaks = len(self.eol) if self.text[end : end + len(self.eol)] == self.eol else 0
        return self._splice(begin, end + breaks, "")

    def _out_of_brackets(self, above: Held, path: Path, start: int, end: int) -> str:
        follow = self.text.find(",", end, above.end)
        if follow >= 0 and not self.text[end:follow].strip():
            follow += 1
            while self.text[follow : follow + 1] == " ":
                follow += 1
            return self._splice(start, follow, "")
        before = self.text.rfind(",", above.start, start)
        return self._splice(before, end, "")


def _is_scalar(held: Held) -> bool:
    return isinstance(held.node.value, str)


def block(value: dict[str, Any], at: Path = ()) -> list[str]:
    """A group of keys as lines, those that are short by nature in brackets."""
    lines = []
    for key, item in value.items():
        here = (*at, key)
        if isinstance(item, dict) and item and not _in_one_line(here):
            lines += [f"{word(key)}:", *(f"  {line}" for line in block(item, here))]
        elif item is None:
            lines.append(f"{word(key)}:")
        else:
            lines.append(f"{word(key)}: {one_line(item)}")
    return lines
