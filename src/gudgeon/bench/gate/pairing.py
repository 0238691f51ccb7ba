"""Codes that let a device in: short-lived, used once, and few wrong tries."""

from __future__ import annotations

import hmac
import secrets
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock
from typing import Final

from gudgeon.bench.errors import Refused
from gudgeon.bench.gate.who import Role
from gudgeon.faults import Fault

#: How long a code lives [s].
LIFE: Final = 600.0
#: Digits of a code that is typed (26 bits), and bytes of one that is scanned.
DIGITS: Final = 8
LINK_BYTES: Final = 24
#: Wrong tries: from one address within a code's life; from all of them, before every code dies.
TRIES_EACH: Final = 5
TRIES_ALL: Final = 30


@dataclass(frozen=True, slots=True)
class Code:
    """A code that lets one device in.

    Attributes:
        digits: to be typed. link: to be scanned. role: what the device will be allowed.
        dies: when it is of no use any more [s since 1970].
    """

    digits: str
    link: str
    role: Role
    dies: float


@dataclass(slots=True)
class Pairing:
    """The codes that are alive, in memory only.

    Attributes:
        clock: seconds since 1970.
    """

    clock: Callable[[], float]
    _codes: list[Code] = field(default_factory=list)
    _wrong: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    _lock: Lock = field(default_factory=Lock)

    def issue(self, role: Role) -> Code:
        """A new code; the one before is of no use any more."""
        code = Code(
            "".join(secrets.choice("0123456789") for _ in range(DIGITS)),
            secrets.token_urlsafe(LINK_BYTES),
            role,
            self.clock() + LIFE,
        )
        with self._lock:
            self._codes = [code]
        return code

    def withdraw(self) -> None:
        """No code is of use any more."""
        with self._lock:
            self._codes = []

    def alive(self) -> Code | None:
        """The code that is alive, if there is one."""
        with self._lock:
            self._tidy()
            return self._codes[0] if self._codes else None

    def spend(self, given: str, peer: str) -> Role:
        """Use up a code, typed or scanned.

        Args:
            given: the code as it came. peer: the address it came from.

        Raises:
            Refused: there is no such code, or too many wrong ones came.
        """
        plain = "".join(given.split()).replace("-", "") if len(given) < 20 else given
        with self._lock:
            self._tidy()
            if len(self._wrong[peer]) >= TRIES_EACH:
                raise Refused(429, _TOO_MANY)
            for code in self._codes:
                secret = code.digits if len(plain) < 20 else code.link
                if hmac.compare_digest(secret.encode(), plain.encode()):
                    self._codes.remove(code)
                    self._wrong.pop(peer, None)
                    return code.role
            self._wrong[peer].append(self.clock())
            if sum(map(len, self._wrong.values())) >= TRIES_ALL:
                self._codes = []
        raise Refused(403, _NO_CODE)

    def _tidy(self) -> None:
        """Forget what is too old to count."""
        now = self.clock()
        self._codes = [code for code in self._codes if code.dies > now]
        recent = {
            peer: [at for at in times if at > now - LIFE] for peer, times in self._wrong.items()
        }
        self._wrong = defaultdict(list, {peer: times for peer, times in recent.items() if times})


_NO_CODE: Final = Fault(
    "code",
    "this is not the code on the main screen, or it was used already, or it is older than ten"
    " minutes",
    "ask for a new one on the main screen, under Devices",
)
_TOO_MANY: Final = Fault(
    "code", "too many wrong codes came from this device", "wait ten minutes, then try a new code"
)
