"""Places: the addresses of everything that is measured or chosen, such as `valve/3/in/L`."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from gudgeon.faults import Fault, Unusable

#: The engine as a whole is always a place: a head face, a pump, a shaft there is one of.
ENGINE = "engine"

#: So many addresses are named one by one; of more, the first and the last.
_FEW = 3
#: So many within one place, as the valves of a cylinder, are all named.
_BESIDE = 6


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
            right = f"this engine has {_nearest(address, known)}"
        else:
            right = f"this engine has these kinds of place: {', '.join((*self.kinds, ENGINE))}"
        raise Unusable(Fault(where, f"there is no place '{address[:60]}' on this engine", right))


def _nearest(address: str, known: Sequence[str]) -> str:
    """The addresses one may have meant: all of the kind, unless a slip of the pen is likelier.

    >>> _nearest("cylinder/9", ("cylinder/1", "cylinder/2", "cylinder/3", "cylinder/4"))
    'cylinder/1 to cylinder/4'
    >>> _nearest("valve/1/on/L", ("valve/1/in/L", "valve/1/in/R", "valve/1/ex/L", "valve/1/ex/R"))
    'valve/1/in/L, valve/1/in/R, valve/1/ex/L, valve/1/ex/R'
    """
    if len(known) <= _FEW:
        return ", ".join(known)
    parts = f"{address}/".split("/")[1:-1]
    apart = [place for place in known if place.split("/")[2:] == parts[1:]]
    if apart:  # only the number is another one
        return f"{apart[0]} to {apart[-1]}" if len(apart) > _FEW else ", ".join(apart)
    beside = [place for place in known if place.split("/")[1:2] == parts[:1]]
    if 0 < len(beside) <= _BESIDE:
        return ", ".join(beside)
    close = difflib.get_close_matches(address, known, _FEW, 0.8) or known[:_FEW]
    near = [place for place in known if place in close]
    return ", ".join(near) + (" …" if len(known) > len(near) else "")
