"""What a call may answer, for the description of the API: its own answers, and every refusal."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, Final, Literal, NamedTuple, TypeVar

from pydantic import BaseModel, ConfigDict
from starlette.responses import Response

F = TypeVar("F", bound=Callable[..., Any])
_SAFE: Final = ("GET", "HEAD")
#: Status -> what it says, where it may come of every call; then of those that change something.
_ALWAYS: Final = {421: "another host was asked for", 422: "it can't be used, with every fault"}
_CHANGING: Final = {
    400: "the body can't be read at all",
    403: "it did not come from a page of the bench, or this device may not",
    404: "there is no such thing",
    409: "an id or a state that stands for something else",
    413: "more was sent than is read",
    415: "another kind of content than is taken",
}


class FaultShape(BaseModel):
    """What is wrong where, and what would be right."""

    where: str
    wrong: str
    right: str


class TroubleShape(BaseModel):
    """The one shape of every refusal; `stored` and `sent` stand beside a 409 of an entry."""

    model_config = ConfigDict(extra="allow")

    ok: Literal[False]
    status: int
    error: str
    faults: list[FaultShape]


class Described(NamedTuple):
    """What an endpoint says of itself, see `answering`."""

    answers: Mapping[int, type[BaseModel] | str] = MappingProxyType({})
    takes: str = ""
    refuses: Mapping[int, str] = MappingProxyType({})


def answering(
    answers: Mapping[int, type[BaseModel] | str],
    takes: Literal["", "an entry", "a file"] = "",
    refuses: Mapping[int, str] = MappingProxyType({}),
) -> Callable[[F], F]:
    """Say what an endpoint answers that makes its answer itself.

    Args:
        answers: status -> the shape of the JSON, or another kind of content. takes: what is sent,
            where the endpoint reads the body itself. refuses: more refusals, status -> why.
    """

    def mark(function: F) -> F:
        function.__dict__.update(described=Described(answers, takes, refuses))
        return function

    return mark


def description_of(method: str, path: str, endpoint: Callable[..., Any]) -> dict[str, Any]:
    """What FastAPI is to put into the description of a call, as arguments of its route."""
    marks = endpoint.__dict__
    said: Described = marks.get("described", Described())
    why = _refusals(method, path, marks["gate_rule"]) | dict(said.refuses)
    told: dict[int | str, dict[str, Any]] = {
        status: {"model": TroubleShape, "description": words} for status, words in why.items()
    }
    options: dict[str, Any] = {"responses": told}
    for status, answer in said.answers.items():
        if isinstance(answer, str):
            shape = {"content": {answer: {"schema": {"type": "string"}}}}
            told[status] = shape | {"description": "as it is"}
            options["response_class"] = Response
        else:
            told[status] = {"model": answer, "description": "done"}
    if said.takes:
        options["openapi_extra"] = {"requestBody": _body(said.takes, marks["gate_types"])}
    return options


def _refusals(method: str, path: str, rule: str) -> dict[int, str]:
    told = dict(_ALWAYS)
    if rule != "anyone":
        told[401] = "this device has not been let in"
    if rule in ("write", "main"):
        told[403] = "this device may not"
    if "{" in path:
        told[404] = "there is no such thing"
    if method not in _SAFE:
        told |= _CHANGING
    return told


def _body(takes: str, types: tuple[str, ...]) -> dict[str, Any]:
    """The body of a call that reads it itself."""
    entry = {"type": "object", "required": ["id", "at", "kind"], "additionalProperties": True}
    file = {"type": "string", "format": "binary"}
    schema = entry if takes == "an entry" else file
    return {"required": True, "content": {kind: {"schema": schema} for kind in types}}
