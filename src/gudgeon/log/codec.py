"""Entries from their text and back, with every problem in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, Final, NamedTuple, get_args

from pydantic import TypeAdapter, ValidationError

from gudgeon.faults import Fault, Unusable
from gudgeon.log.canon import canonical, parse
from gudgeon.log.entries import AnyEntry, Entry, JobEntry, ShopEntry
from gudgeon.numbers import shown

_ANY: Final[TypeAdapter[Entry]] = TypeAdapter(AnyEntry)


class Problem(NamedTuple):
    """What is wrong with one field of an entry, before it is known where the entry stands."""

    field: str
    wrong: str
    right: str


@cache
def kinds(of: str = "job") -> dict[str, type[Entry]]:
    """Kind -> class, of the entries that the log of a job, or of the shop, may hold."""
    union = get_args(get_args(JobEntry if of == "job" else ShopEntry)[0])
    return {item.model_fields["kind"].default: item for item in union}


def body_of(entry: Entry) -> str:
    """The canonical text of an entry.

    Every field that says something is written out, so that no later default changes its meaning.
    """
    return canonical(entry.model_dump(mode="json", exclude_none=True))


def entry_from(data: Mapping[str, Any], where: str, of: str = "any") -> Entry:
    """An entry from its fields.

    Args:
        data: the fields, `kind` among them.
        where: the place to name in a fault.
        of: the log it is for: `job`, `shop` or `any`.

    Raises:
        Unusable: a field is missing, unknown or not what it should be.
    """
    entry, problems = try_entry(data, of)
    if entry is None:
        raise Unusable(Fault(where, item.wrong, item.right) for item in problems)
    return entry


def try_entry(data: Mapping[str, Any], of: str = "any") -> tuple[Entry | None, list[Problem]]:
    """An entry from its fields, or what is wrong with each of them."""
    kind = data.get("kind")
    if of != "any" and isinstance(kind, str) and kind not in kinds(of):
        other = kind in kinds("shop" if of == "job" else "job")
        wrong = f"an entry of kind {shown(kind)} " + (
            f"does not belong in the log of {'a job' if of == 'job' else 'the shop'}"
            if other
            else "is not known"
        )
        return None, [Problem("kind", wrong, f"use one of {', '.join(kinds(of))}")]
    try:
        return _ANY.validate_python(data), []
    except ValidationError as refused:
        return None, [_in_words(error) for error in refused.errors(include_url=False)]


def read_body(text: str, where: str, of: str = "any") -> Entry:
    """An entry from one line of JSON.

    Raises:
        Unusable: not JSON, or not an entry.
    """
    return entry_from(parse(text, where), where, of)


def read_bodies(bodies: Iterable[str], log: str, of: str = "any") -> list[Entry]:
    """The entries of a store, which were checked when they were stored.

    Raises:
        Unusable: one can't be read, as when a newer version wrote it.
    """
    return [read_body(body, f"{log}: entry {number}", of) for number, body in enumerate(bodies, 1)]


#: Type of the validator's error -> what is wrong, what would be right. `{v}` is the value as
#: shown, `{f}` the field; the rest comes from the validator.
_WORDS: Final[dict[str, tuple[str, str]]] = {
    "missing": ("{f} is missing", "give it"),
    "extra_forbidden": ("{f} is not a field of this kind of entry", "leave it out"),
    "union_tag_not_found": ("the entry has no kind", "give it one, like note or reading"),
    "union_tag_invalid": ("{v} is no kind of entry", "use one of {expected_tags}"),
    "literal_error": ("{f} {v} is not known", "use {expected}"),
    "string_too_short": ("{f} is empty", "write something, or leave it out"),
    "string_too_long": ("{f} {v} is too long", "use at most {max_length} characters"),
    "string_type": ("{f} {v} is not text", "put it in quotes"),
    "greater_than_equal": ("{f} {v} is too small", "use at least {ge}"),
    "less_than_equal": ("{f} {v} is too large", "use at most {le}"),
    "dict_type": ("{f} {v} is not a mapping", 'write it like {{"height":"top"}}'),
    "model_attributes_type": ("{v} is not an entry", "write one {{...}} a line"),
    "tuple_type": ("{f} {v} is not a list", 'write it like ["cylinder/1"]'),
}
_PATTERNS: Final[dict[str, str]] = {
    "id": "use up to 80 letters, digits and . _ : -",
    "target": "give the id of an entry",
    "stock": "give the id of an entry of the drawer",
    "at": "write it like 2026-03-01T14:05:00Z",
    "prev": "give the SHA-256 of an entry, 64 hexadecimal digits",
    "sha256": "give a SHA-256, 64 hexadecimal digits",
    "place": "write it like valve/2/in/L",
    "places": "write them like valve/2/in/L",
}
_NAME: Final = "begin with a letter or digit, then up to 39 letters, digits and . _ -"


def _in_words(error: Any) -> Problem:
    """One error of the validator in words."""
    loc = [str(part) for part in error["loc"]][1:]
    kind = error["type"]
    field = loc[0] if loc else "kind"
    if kind == "extra_forbidden":  # a key of somebody's own, which may be anything
        field = shown(field)
    value = shown(error["input"])
    context = error.get("ctx", {})
    if kind in ("sheet", "number"):
        return Problem(field, str(context["wrong"]), str(context["right"]))
    if kind == "string_pattern_mismatch":
        if field == "at":
            return Problem(field, f"{value} is no time", _PATTERNS[field])
        article = "an" if field[0] in "aeiou" else "a"
        return Problem(field, f"{value} can't be {article} {field}", _PATTERNS.get(field, _NAME))
    if kind.startswith("int_"):
        return Problem(field, f"{field} {value} is not a whole number", "write it in digits")
    wrong, right = _WORDS.get(kind, ("{f} {v} can't be used", "check it"))
    facts = {"f": field, "v": value, **{key: str(item) for key, item in context.items()}}
    return Problem(field, wrong.format(**facts), right.format(**facts))
