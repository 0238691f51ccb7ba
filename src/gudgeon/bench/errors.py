"""What a request may be refused for, and the one shape in which JSON says so.

GudgeonError
├── Unusable        422, faults of the input
│   ├── Conflict    409, an id that stands for something else
│   └── Missing     404, there is no such thing
└── Refused         the gate's answer, with its status
"""

from __future__ import annotations

from typing import Any, NamedTuple

from gudgeon.faults import Conflict, Fault, GudgeonError, Unusable


class Missing(Unusable):
    """There is no such job, page or device."""


class Refused(GudgeonError):
    """The gate does not let this request through.

    Attributes:
        status: of the answer. fault: what is wrong, and what would be right.
    """

    def __init__(self, status: int, fault: Fault) -> None:
        super().__init__(str(fault))
        self.status = status
        self.fault = fault


class Differs(Conflict):
    """An entry's id stands for something else.

    Attributes:
        stored, sent: the two entries, as they are in the log and as they came.
    """

    def __init__(self, fault: Fault, stored: dict[str, Any], sent: dict[str, Any]) -> None:
        super().__init__(fault)
        self.stored = stored
        self.sent = sent


class Trouble(NamedTuple):
    """One error, ready to be shown.

    Attributes:
        status: of the answer. faults: what is wrong. extra: more keys for JSON.
    """

    status: int
    faults: tuple[Fault, ...]
    extra: dict[str, Any]

    def shape(self) -> dict[str, Any]:
        """The error as JSON, always the same keys and sometimes more."""
        return {
            "ok": False,
            "status": self.status,
            "error": str(self.faults[0]),
            "faults": [fault_shape(fault) for fault in self.faults],
            **self.extra,
        }


def fault_shape(fault: Fault) -> dict[str, str]:
    """A fault as JSON."""
    return {"where": fault.where, "wrong": fault.wrong, "right": fault.right}


def trouble_of(error: GudgeonError) -> Trouble:
    """An error raised on purpose, with its status."""
    match error:
        case Refused():
            return Trouble(error.status, (error.fault,), {})
        case Differs():
            return Trouble(409, error.faults, {"stored": error.stored, "sent": error.sent})
        case Missing():
            return Trouble(404, error.faults, {})
        case Conflict():
            return Trouble(409, error.faults, {})
        case Unusable():
            return Trouble(422, error.faults, {})
        case _:
            return Trouble(422, (Fault("request", str(error), "check it"),), {})
