"""Places: the addresses of everything that is measured or chosen, such as `valve/3/in/L`."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field

from gudgeon.faults import Fault, Unusable

#: The engine as a whole is always a place: a head face, a pump, a shaft there is one of.
ENGINE = "engine"


@dataclass(frozen=True, slots=True)
class Places:
    """Every place of an engine, by kind, in the order the sheet numbers them.

    Attributes:
        end: the end from which everything is numbered, as the sheet states it.
        kinds: kind of place -> addresses, in order (`{"main": ("main/1", "main/2")}`).
        parents: kind -> the kind each of its places belongs to (`{"valve": "cylinder"}`).
    """

    end: str
    kinds: Mapping[str, tuple[str, ...]]
    parents: Mapping[str, str] = field(default_factory=dict)

    def of(self, kind: str) -> tuple[str, ...]:
        """The addresses of one kind, in order; none for a kind the engine has not got."""
        return (ENGINE,) if kind == ENGINE else self.kinds.get(kind, ())

    def kind(self, address: str) -> str:
        """The kind of an address: `valve` for `valve/3/in/L`."""
        return address.partition("/")[0]

    def parent(self, address: str) -> str | None:
        """The place an address belongs to: `cylinder/3` for `valve/3/in/L`."""
        parts = address.split("/")
        above = self.parents.get(parts[0])
        return f"{above}/{parts[1]}" if above else None

    def side(self, address: str) -> str | None:
        """The side of a place that has sides: `in` for `valve/3/in/L`, nothing for `main/2`."""
        parts = address.split("/")
        return parts[2] if len(parts) == 4 else None

    def __contains__(self, address: object) -> bool:
        return isinstance(address, str) and address in self.of(self.kind(address))

    def check(self, address: str, where: str) -> str:
        """The address, if this engine has it.

        Raises:
            Unusable: the engine has no such place; the nearest ones are named.
        """
        if address in self:
            return address
        kind = self.kind(address)
        known = self.of(kind)
        if known:
            close = difflib.get_close_matches(address, known, 3) or known[:4]
            near = [place for place in known if place in close]
            right = f"this engine has {', '.join(near)}" + (" …" if len(known) > len(near) else "")
        else:
            right = f"this engine has these kinds of place: {', '.join((*self.kinds, ENGINE))}"
        raise Unusable(Fault(where, f"there is no place '{address[:60]}' on this engine", right))
