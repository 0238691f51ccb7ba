"""What the tests of the bench share."""

from __future__ import annotations

import asyncio
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from fastapi.testclient import TestClient

#: The address of this bench on its network.
LAN = "192.0.2.7"
#: What scripts of the bench send with whatever changes something.
OWN = {"X-Gudgeon": "bench", "Content-Type": "application/json"}
Come = Callable[..., TestClient]
T = TypeVar("T")


def apart(work: Coroutine[Any, Any, T]) -> T:
    """Run a coroutine on a thread of its own: a browser's tests keep a loop running on this one."""
    with ThreadPoolExecutor(1) as threads:
        return threads.submit(asyncio.run, work).result()


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = 1_790_000_000.0

    def __call__(self) -> float:
        return self.now


def note(key: str, text: str = "seen", **more: Any) -> dict[str, Any]:
    """An entry as a device sends it."""
    return {"id": key, "at": "2026-11-01T08:00:00Z", "kind": "note", "text": text, **more}


class Served:
    """A bench in a process of its own, started by the command.

    Attributes:
        process: it. lines: what it printed so far. address: where it is.
    """

    def __init__(self, folder: Path, *options: str) -> None:
        environment = {key: value for key, value in os.environ.items() if key != "GUDGEON_SHOP"}
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        self.began = time.monotonic()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "gudgeon", "serve", "--shop", str(folder), *options],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            env={**environment, "CI": "1", "PYTHONUNBUFFERED": "1", "PYTHONIOENCODING": "utf-8"},
        )
        self.lines: list[str] = []
        self._came: queue.Queue[str] = queue.Queue()
        threading.Thread(target=self._read, daemon=True).start()
        self.address = self.said("is open: ").rpartition(" ")[2]
        self.said("Stop it with Ctrl-C")

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._came.put(line.rstrip("\n"))

    def said(self, words: str, patience: float = 20.0) -> str:
        """The next line that holds these words."""
        until = time.monotonic() + patience
        while True:
            try:
                line = self._came.get(timeout=max(0.01, until - time.monotonic()))
            except queue.Empty:
                raise AssertionError(f"never said {words!r}, but {self.lines}") from None
            self.lines.append(line)
            if words in line:
                return line

    def stop(self, how: signal.Signals = signal.SIGINT) -> int:
        """End it, and give its exit status."""
        self.process.send_signal(how)
        return self.process.wait(timeout=20)


@contextmanager
def served(folder: Path, *options: str) -> Iterator[Served]:
    """A bench for as long as the block lasts."""
    bench = Served(folder, *options)
    try:
        yield bench
    finally:
        if bench.process.poll() is None:
            bench.process.kill()
        bench.process.wait(timeout=20)
        if bench.process.stdout is not None:
            bench.process.stdout.close()
