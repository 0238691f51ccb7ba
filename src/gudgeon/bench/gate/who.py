"""Who asks, and what they may do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

#: What a route asks for. `anyone`: even a device not paired yet. `look`: any paired device.
#: `write`: one that may write. `main`: the main screen alone.
Rule = Literal["anyone", "look", "write", "main"]
RULES: Final[tuple[Rule, ...]] = ("anyone", "look", "write", "main")
Kind = Literal["main", "device", "stranger"]
Role = Literal["write", "look"]


@dataclass(frozen=True, slots=True)
class Who:
    """Who asks.

    Attributes:
        kind: the main screen, a paired device, or somebody else.
        name: the device's name in the log. role: what it may do. device: its id.
    """

    kind: Kind
    name: str = ""
    role: Role = "look"
    device: str = ""

    @property
    def writes(self) -> bool:
        """Whether it may write."""
        return self.kind == "main" or (self.kind == "device" and self.role == "write")

    def may(self, rule: Rule) -> bool:
        """Whether a rule lets it through.

        >>> Who("device", "tablet 1", "look").may("write")
        False
        """
        if rule == "anyone":
            return True
        if rule == "look":
            return self.kind != "stranger"
        if rule == "write":
            return self.writes
        return self.kind == "main"


STRANGER: Final = Who("stranger")
