"""Programs that write to a shop, run in processes of their own so that they can be killed.

python -m tests.store.writer write FOLDER COUNT [START]
    appends entries one by one, and says each on standard output once it is stored
python -m tests.store.writer kill FOLDER CYCLES SEED
    forks such a writer, kills it after a random moment, looks at what is left; CYCLES times
python -m tests.store.writer limit FOLDER BYTES
    writes under a limit on the size of files, until that fails; says how many were stored
"""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import sys
import tempfile
import time
from pathlib import Path

from gudgeon.faults import Unusable
from gudgeon.log.canon import canonical
from gudgeon.store.sqlite import SqliteStore


def note(number: int, writer: str = "w", size: int = 20) -> str:
    """The body of one entry."""
    return canonical(
        {
            "id": f"{writer}-{number}",
            "at": "2026-03-01T14:05:00Z",
            "device": writer,
            "kind": "note",
            "text": "x" * size,
        }
    )


def write(folder: Path, count: int, start: int = 0, writer: str = "w", out: int = 1) -> None:
    """Append entries; say each, unbuffered, when it is stored."""
    store = SqliteStore(folder)
    for number in range(start, start + count):
        store.append("job", [note(number, writer)])
        os.write(out, f"{writer}-{number}\n".encode())


def kill(folder: Path, cycles: int, seed: int) -> None:
    """Kill writers at random moments; print what came of it as JSON."""
    chance = random.Random(seed)
    said: set[str] = set()
    found = {"cycles": 0, "lost": 0, "gaps": 0, "unsound": 0, "unsaid": 0, "kills": 0}
    for cycle in range(cycles):
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            write(folder, 1_000_000, 0, f"w{cycle}", writing)
            os._exit(0)
        os.close(writing)
        with os.fdopen(reading) as pipe:
            for _ in range(chance.randrange(5)):
                said.add(pipe.readline().strip())
            time.sleep(chance.uniform(0.0, 0.004))
            os.kill(child, signal.SIGKILL)
            _, status = os.waitpid(child, 0)
            said.update(pipe.read().split())
        found["kills"] += os.WIFSIGNALED(status)
        store = SqliteStore(folder)
        faults = store.check()
        found["unsound"] += bool(faults)
        found["gaps"] += sum("missing" in fault.wrong for fault in faults)
        there = {json.loads(body)["id"] for body in store.read("job")}
        found["lost"] += len(said - there)
        found["unsaid"] = len(there - said)
        found["cycles"] += 1
    print(json.dumps(found | {"said": len(said)}))


def limit(folder: Path, most: int) -> None:
    """Write until the disk takes no more; print how many were stored, and what was said."""
    store = SqliteStore(folder)
    store.append("job", [note(0)])
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    stored = 1
    said = ""
    try:
        while stored < 10_000:
            store.append("job", [note(stored, size=2000)])
            stored += 1
    except Unusable as refused:
        said = str(refused)
    print(json.dumps({"stored": stored, "said": said}))


def refused(folder: Path, number: int) -> None:
    """Read a shop, try to write one entry, as nobody in particular; print what is said.

    An interpreter in a home that nobody else may enter finds no module after root is given up, so
    all that writing and reading need is used once before.
    """
    store = SqliteStore(folder)
    with tempfile.TemporaryDirectory() as other:
        warm = SqliteStore(Path(other))
        warm.append("job", [note(number)])
        warm.read("job")
    if os.getuid() == 0:
        os.setgid(65534)
        os.setuid(65534)
    try:
        print(len(store.read("job")), *store.logs(), store.check())
        print(store.append("job", [note(number)]))
    except Unusable as problem:
        print(problem)


if __name__ == "__main__":
    what, where, number = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
    if what == "write":
        first = int(sys.argv[4]) if len(sys.argv) > 4 else 0
        write(where, number, first, sys.argv[5] if len(sys.argv) > 5 else "w")
    elif what == "kill":
        kill(where, number, int(sys.argv[4]))
    elif what == "limit":
        limit(where, number)
    else:
        refused(where, number)
