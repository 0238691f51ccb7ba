"""Who waits for news of a job, and waking them."""

from __future__ import annotations

import asyncio
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager


class Watch:
    """Those who wait for news, by job. Used on the loop of the server; `tell` from any thread.

    Attributes:
        closed: whether the bench is closing, so that nobody should wait any more.
        stirred: jobs with news that was not worked out yet -> when the last came, `monotonic`.
    """

    def __init__(self) -> None:
        self.closed = False
        self.stirred: dict[str, float] = {}
        self._waiting: dict[str, set[asyncio.Event]] = defaultdict(set)
        self._loop: asyncio.AbstractEventLoop | None = None

    def start(self) -> None:
        """Remember the loop that those who wait run on."""
        self._loop = asyncio.get_running_loop()

    @property
    def waiting(self) -> int:
        """How many wait."""
        return sum(map(len, self._waiting.values()))

    @contextmanager
    def listening(self, job: str) -> Iterator[asyncio.Event]:
        """An event that is set when there is news of a job."""
        event = asyncio.Event()
        self._waiting[job].add(event)
        try:
            yield event
        finally:
            self._waiting[job].discard(event)
            if not self._waiting[job]:
                del self._waiting[job]

    def tell(self, job: str) -> None:
        """Wake those who wait for news of a job."""
        self.stirred[job] = time.monotonic()
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._wake, job)

    def _wake(self, job: str) -> None:
        for event in self._waiting.get(job, ()):
            event.set()

    def close(self) -> None:
        """Wake everybody, to go: on the loop of the server."""
        self.closed = True
        for job in list(self._waiting):
            self._wake(job)
