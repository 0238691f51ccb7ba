"""What the schema has against a sheet, in words of a workshop, at the place in the file."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable
from typing import Any, Final

from gudgeon.numbers import shown
from gudgeon.sheet.shape import Shape, keys_of, step_into
from gudgeon.sheet.yamltext import Path

#: Keys of the short form of limits -> position in the list that stands for them.
_SHORT: Final = {"min": 0, "max": 1}
#: Names that are compared with a misspelt one; comparing takes time.
_MOST_NAMES: Final = 200


def nearest(word: str, known: Iterable[str], most: int = 8) -> str:
    """What would be right instead of `word`: the nearest known words, or the known ones."""
    names = list(known)[:_MOST_NAMES]
    near = difflib.get_close_matches(word[:60].lower(), names, 2, 0.6)
    if near:
        return f"did you mean {' or '.join(near)}?"
    if not names:
        return "leave it out"
    more = " …" if len(names) > most else ""
    return f"there is {', '.join(names[:most])}{more}"


def resolve(loc: Iterable[str | int], value: Any) -> Path:
    """The path in the sheet that a location of the schema means.

    The schema's locations also name branches of unions and keys of short forms that are not there.
    """
    path: list[str | int] = []
    for part in loc:
        if isinstance(value, dict) and part in value:
            path.append(part)
            value = value[part]
        elif isinstance(value, list):
            place = _SHORT.get(part) if isinstance(part, str) and len(value) == 2 else part
            if isinstance(place, int) and 0 <= place < len(value):
                path.append(place)
                value = value[place]
    return tuple(path)


def shape_at(root: Shape, path: Path) -> Shape | None:
    """The shape of the schema at a path."""
    shape: Shape | None = root
    for key in path:
        shape = step_into(shape, key) if shape else None
    return shape


def _what(value: Any) -> str:
    if isinstance(value, list):
        return "a list"
    if isinstance(value, dict):
        return "a group of keys"
    return "nothing" if value is None else shown(value)


def _missing(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    key = error["loc"][-1]
    return f"the key '{key}' is missing", f"add a line '{key}: ...'"


def _unknown(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    keys = keys_of(shape.part) if shape and shape.part else {}
    return f"there is no key {shown(error['loc'][-1])} here", nearest(str(error["loc"][-1]), keys)


def _choice(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    words = [word.strip("' ") for word in error["ctx"]["expected"].replace(" or ", ",").split(",")]
    given = error["input"]
    near = difflib.get_close_matches(str(given)[:60], words, 1, 0.6)
    if near:
        return f"{_what(given)} is not one of the words", f"did you mean {near[0]}?"
    return f"{_what(given)} is not one of the words", f"write {' or '.join(words)}"


def _name(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    return (
        f"{_what(error['input'])} can't be a name",
        "begin with a letter or digit; then letters, digits, '.', '-', '_', at most 40",
    )


def _group(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    if shape and shape.part:
        right = f"write keys such as {', '.join(list(keys_of(shape.part))[:4])}"
    else:
        right = "write it like {name: ...}"
    return f"{_what(error['input'])} stands where a group of keys belongs", right


def _list(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    return f"{_what(error['input'])} stands where a list belongs", "write it like [a, b]"


def _text(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    return f"{_what(error['input'])} stands where one word or text belongs", "write one word"


def _long(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    return f"a text longer than {error['ctx']['max_length']} characters", "shorten it"


def _many(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    most = error["ctx"]["max_length"]
    return f"more than {most} entries in one place", "check that this is one engine's sheet"


def _version(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    return f"{_what(error['input'])} is no version of this format", "write sheet: 1"


def _own(error: dict[str, Any], shape: Shape | None) -> tuple[str, str]:
    return error["ctx"]["wrong"], error["ctx"]["right"]


_WORDS: Final[dict[str, Callable[[dict[str, Any], Shape | None], tuple[str, str]]]] = {
    "missing": _missing,
    "extra_forbidden": _unknown,
    "literal_error": _choice,
    "string_pattern_mismatch": _name,
    "model_type": _group,
    "model_attributes_type": _group,
    "dict_type": _group,
    "list_type": _list,
    "tuple_type": _list,
    "string_type": _text,
    "string_too_long": _long,
    "too_long": _many,
    "greater_than_equal": _version,
    "less_than_equal": _version,
    "sheet": _own,
    "number": _own,
}


def say(error: dict[str, Any], root: Shape, value: Any) -> tuple[Path, str, str]:
    """The path, what is wrong and what would be right, of one error of the schema."""
    at = (error.get("ctx") or {}).get("at", ())
    path = resolve((*error["loc"], *at), value)
    inside = path[:-1] if error["type"] == "extra_forbidden" else path
    words = _WORDS.get(error["type"])
    if words is None:
        return path, f"{_what(error['input'])} can't stand here", str(error["msg"]).lower()
    return path, *words(error, shape_at(root, inside))
