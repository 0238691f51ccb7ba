"""Routes that carry their rule: none can be added without, and none is entered against it."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any, Final, TypeVar

from fastapi.routing import APIRoute
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import Message

from gudgeon.bench.errors import Refused
from gudgeon.bench.gate.checks import check_content, check_rule
from gudgeon.bench.gate.who import RULES, STRANGER, Rule
from gudgeon.faults import Fault

F = TypeVar("F", bound=Callable[..., Any])
JSON: Final = ("application/json",)
#: Largest body that is read where a route does not say otherwise [bytes].
LARGEST: Final = 64 * 1024


def ruled(rule: Rule, types: tuple[str, ...] = JSON, largest: int = LARGEST) -> Callable[[F], F]:
    """Give an endpoint its rule.

    Args:
        rule: who may. types: kinds of content it takes. largest: body it reads [bytes].
    """

    def mark(function: F) -> F:
        function.__dict__.update(gate_rule=rule, gate_types=types, gate_largest=largest)
        return function

    return mark


class RuledRoute(APIRoute):
    """A route that asks the gate first.

    Attributes:
        rule: who may. types: kinds of content it takes. largest: body it reads [bytes].
    """

    def __init__(self, path: str, endpoint: Callable[..., Any], **options: Any) -> None:
        marks = endpoint.__dict__
        if marks.get("gate_rule") not in RULES:
            raise LookupError(f"the route {path} has no rule: mark its endpoint with @ruled(...)")
        self.rule: Rule = marks["gate_rule"]
        self.types: tuple[str, ...] = marks["gate_types"]
        self.largest: int = marks["gate_largest"]
        super().__init__(path, endpoint, **options)

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The handler, behind its rule."""
        inner = super().get_route_handler()

        async def guarded(request: Request) -> Response:
            check_rule(request.scope.get("gudgeon.who", STRANGER), self.rule)
            check_content(request.headers, request.method, self.types)
            return await inner(_bounded(request, self.largest))

        return guarded


def _bounded(request: Request, largest: int) -> Request:
    """The same request, of which no more is read than a route takes."""
    said = request.headers.get("content-length", "")
    if said.isascii() and said.isdigit() and int(said[:12]) > largest:
        raise Refused(413, _too_large(largest))
    seen = 0

    async def receive() -> Message:
        nonlocal seen
        message = await request.receive()
        seen += len(message.get("body", b""))
        if seen > largest:
            raise Refused(413, _too_large(largest))
        return message

    return Request(request.scope, receive)


def _too_large(largest: int) -> Fault:
    return Fault("body", f"more than {largest // 1024} kB came", "send less at once")
