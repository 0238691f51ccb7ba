"""Logs in one SQLite file: append-only by trigger, on the disk before an append returns."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Collection, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Final, NamedTuple

from gudgeon.faults import Fault, Unusable
from gudgeon.log.canon import canonical, check_chain, entry_hash, parse
from gudgeon.store.copying import copy_base, sync, whole
from gudgeon.store.interface import Appended, Grown, conflict
from gudgeon.store.steps import APPLICATION, STEPS

FILE: Final = "shop.sqlite"
#: How long to wait for another writer [ms].
PATIENCE = 5000
#: Each commit waits for the disk. The next lower level may lose what was said to be stored.
SYNCHRONOUS = "FULL"

#: Names of the logs, each found from the one before: DISTINCT would go through every entry.
_LOGS: Final = """
    WITH RECURSIVE name (log) AS (
        SELECT min(log) FROM entry
        UNION ALL
        SELECT (SELECT min(log) FROM entry WHERE log > name.log) FROM name WHERE log IS NOT NULL
    )
    SELECT log FROM name WHERE log IS NOT NULL ORDER BY log
"""

#: Names of SQLite's error codes -> what is wrong and what would be right.
_TROUBLES: Final[dict[str, tuple[str, str]]] = {
    "SQLITE_NOTADB": ("this is not a shop's database", "name another folder, or restore a backup"),
    "SQLITE_CORRUPT": ("the database is damaged", "restore the latest backup into a new folder"),
    "SQLITE_BUSY": ("another program keeps the shop locked", "close it, then try again"),
    "SQLITE_LOCKED": ("another program keeps the shop locked", "close it, then try again"),
    "SQLITE_READONLY": (
        "the shop can't be written to",
        "make the folder and the files in it writable",
    ),
    "SQLITE_CANTOPEN": (
        "the shop can't be opened",
        "check that the folder is there and that you may write in it",
    ),
    "SQLITE_PERM": ("the shop can't be opened", "check that you may write in the folder"),
    "SQLITE_FULL": ("the disk is full, nothing was written", "make room, then try again"),
    "SQLITE_IOERR": (
        "the disk refused to read or write",
        "check the disk and the room on it, then try again",
    ),
    "SQLITE_TOOBIG": ("an entry is too large", "check that it is one"),
}


def trouble(file: Path, problem: sqlite3.Error) -> Unusable:
    """An error of SQLite in words, with what would be right."""
    name = getattr(problem, "sqlite_errorname", None) or ""
    wrong, right = next(
        (words for code, words in _TROUBLES.items() if name.startswith(code)),
        (f"the database says: {problem}", "run gudgeon shop check"),
    )
    return Unusable(Fault(str(file), wrong, right))


class SqliteStore:
    """The store in one folder. The file is made by the first append.

    Attributes:
        folder: the shop's folder. file: the database in it.
    """

    def __init__(self, folder: Path, name: str = FILE) -> None:
        self.folder = folder
        self.file = folder / name
        self._spare: list[_Held] = []
        # Where the file is locked SQLite sleeps, longer each time, and nobody wakes it. Writers of
        # one process wait for one another here instead.
        self._turn = threading.Lock()
        self._holding = False

    @contextmanager
    def held_open(self) -> Iterator[None]:
        """Keep connections open for as long as the block lasts; for whoever writes all day.

        When its last connection closes, SQLite moves the write-ahead log back into the file and
        waits for the disk twice more. With connections that stay, an append takes a quarter of the
        time and is just as safe.
        """
        self._holding = True
        try:
            yield
        finally:
            self._holding = False
            while self._spare:
                self._spare.pop().base.close()

    def append(self, log: str, bodies: Sequence[str], expected: int | None = None) -> Appended:
        """Store entries, all or none; they are on the disk when this returns.

        Raises:
            Conflict: an id is there with other bytes.
            Grown: the log holds more than `expected`.
            Unusable: the store can't be opened or written.
        """
        rows = [(str(parse(body, log).get("id", "")), body) for body in bodies]
        self._make()
        with self._turn, self._open() as base:
            base.execute("BEGIN IMMEDIATE")
            held = _count(base, log)
            if expected is not None and held != expected:
                raise Grown(log)
            stored = 0
            for key, body in rows:
                old = base.execute(
                    "SELECT body FROM entry WHERE log = ? AND id = ?", (log, key)
                ).fetchone()
                if old is None:
                    stored += 1
                    base.execute(
                        "INSERT INTO entry VALUES (?, ?, ?, ?, ?)",
                        (log, held + stored, key, body, entry_hash(body)),
                    )
                elif old[0] != body:
                    raise conflict(log, key)
            base.execute("COMMIT")
        return Appended(stored, len(rows) - stored)

    def read(self, log: str, kinds: Collection[str] = (), after: int = 0) -> tuple[str, ...]:
        """The entries of a log in the order they were stored, of some kinds or of all.

        Args:
            log: name of the log. kinds: only these. after: leave out so many, the oldest ones.

        Raises:
            Unusable: the store can't be read.
        """
        if not self.file.exists():
            return ()
        query = "SELECT body FROM entry WHERE log = ? AND seq > ?"
        if kinds:
            query += f" AND json_extract(body, '$.kind') IN ({', '.join('?' * len(kinds))})"
        with self._open(reading=True) as base:
            rows = base.execute(f"{query} ORDER BY seq", (log, after, *kinds))
            return tuple(row[0] for row in rows)

    def logs(self) -> tuple[str, ...]:
        """Names of the logs, sorted.

        Raises:
            Unusable: the store can't be read.
        """
        if not self.file.exists():
            return ()
        with self._open(reading=True) as base:
            return tuple(row[0] for row in base.execute(_LOGS))

    def backup(self, file: Path) -> None:
        """Write a whole and consistent copy to `file`, while others may go on writing.

        Raises:
            Unusable: there is no shop yet, the file is there, or it can't be written.
        """
        if not self.file.exists():
            raise Unusable(Fault(str(self.folder), "there is no shop to back up", "check --shop"))
        with self._open(reading=True) as base:
            copy_base(base, file)

    def check(self) -> tuple[Fault, ...]:
        """Everything wrong with what is stored; nothing if all is well.

        Raises:
            Unusable: the store can't be read at all.
        """
        if not self.file.exists():
            return ()
        faults: list[Fault] = []
        with self._open(reading=True) as base:
            try:
                for (said,) in base.execute("PRAGMA integrity_check(20)").fetchall():
                    if said != "ok":
                        faults.append(_damage(self.file, said))
                for (log,) in base.execute("SELECT DISTINCT log FROM entry ORDER BY 1").fetchall():
                    faults += _check_log(base, log)
            except sqlite3.DatabaseError as problem:
                faults.append(_damage(self.file, str(problem)))
        return tuple(faults)

    def _make(self) -> None:
        """Make the folder and the file where they are not there yet, whole or not at all."""
        if self.file.exists():
            return
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise Unusable(
                Fault(str(self.folder), f"{problem.strerror}", "name a folder you may write in")
            ) from None
        try:
            with whole(self.file) as part, closing(_connect(part, "rwc")) as base:
                base.execute("PRAGMA journal_mode = WAL")
                _upgrade(base, part)
        except Unusable:
            if not self.file.exists():  # it is when another writer made it in the same moment
                raise

    @contextmanager
    def _open(self, reading: bool = False) -> Iterator[sqlite3.Connection]:
        """A connection, up to date and with its settings proved; errors come out in words."""
        try:
            held = self._taken(reading)
            try:
                yield held.base
            except BaseException:
                held.base.close()
                raise
            if self._holding and held.file is not None:
                self._spare.append(held)
            else:
                held.base.close()
        except sqlite3.Error as problem:
            raise trouble(self.file, problem) from None

    def _taken(self, reading: bool) -> _Held:
        """A connection that was kept, if the file is still the same one, or a new one."""
        file = _identity(self.file)
        while self._spare:
            with suppress(IndexError):  # another thread may take the last
                held = self._spare.pop()
                if held.file == file:
                    return held
                held.base.close()
        mode = _mode_to_read(self.file) if reading else "rw"
        base = _connect(self.file, mode)
        try:
            if mode != "rw":
                _check_version(base, self.file)
                return _Held(base, None)
            _settle(base, self.file)
        except BaseException:
            base.close()
            raise
        return _Held(base, file)


class _Held(NamedTuple):
    """A connection, and the file it was made to: another may come into its place.

    There is no file to a connection that may only read; it is never kept.
    """

    base: sqlite3.Connection
    file: tuple[int, int] | None


def _identity(file: Path) -> tuple[int, int] | None:
    """Which file stands at a path now."""
    with suppress(OSError):
        found = file.stat()
        return found.st_dev, found.st_ino
    return None


def _mode_to_read(file: Path) -> str:
    """How to open a shop to read it, where it may not be written to either.

    A reader of a write-ahead log writes beside it. Where it may not, the file is taken as one that
    nobody changes, unless such a log is there: then SQLite must find its way with that, or says
    that it can't, for without the log entries would be missing.
    """
    if os.access(file, os.W_OK) and os.access(file.parent, os.W_OK):
        return "rw"
    log = file.with_name(f"{file.name}-wal")
    with suppress(OSError):
        if log.stat().st_size:
            return "ro"
    return "ro&immutable=1"


def _connect(file: Path, mode: str) -> sqlite3.Connection:
    """A connection without settings; transactions are begun and ended in plain sight. It may go
    from one thread to the next, never be used by two at once."""
    return sqlite3.connect(
        f"{file.absolute().as_uri()}?mode={mode}",
        uri=True,
        isolation_level=None,
        timeout=PATIENCE / 1000,
        check_same_thread=False,
    )


def _settle(base: sqlite3.Connection, file: Path) -> None:
    """Bring a connection to its settings, and the file to this version."""
    version = _version(base, file)
    _refuse_newer(version, file)
    base.execute("PRAGMA journal_mode = WAL")
    base.execute(f"PRAGMA synchronous = {SYNCHRONOUS}")
    base.execute("PRAGMA foreign_keys = ON")
    base.execute(f"PRAGMA busy_timeout = {PATIENCE}")
    wanted = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": PATIENCE}
    for name, value in wanted.items():
        (found,) = base.execute(f"PRAGMA {name}").fetchone()
        if found != value:
            raise Unusable(
                Fault(
                    str(file),
                    f"the database keeps {name} at {found}, which may lose entries",
                    "put the shop on a local disk that allows it",
                )
            )
    if version < len(STEPS):
        _upgrade(base, file)


def _check_version(base: sqlite3.Connection, file: Path) -> None:
    """Refuse a shop that can't be read as it is, nor brought up to date.

    Raises:
        Unusable: written by another version.
    """
    version = _version(base, file)
    _refuse_newer(version, file)
    if version < len(STEPS):
        wrong = f"this shop is of an older version ({version} of {len(STEPS)}) and can't be written"
        raise Unusable(Fault(str(file), wrong, "make the folder and the files in it writable"))


def _refuse_newer(version: int, file: Path) -> None:
    """Refuse a shop of a version that is still to come."""
    if version > len(STEPS):
        raise Unusable(
            Fault(
                str(file),
                f"this shop was written by a newer gudgeon (version {version}, this one knows"
                f" {len(STEPS)})",
                "install the newer gudgeon",
            )
        )


def _version(base: sqlite3.Connection, file: Path) -> int:
    """How many steps a database has seen.

    Raises:
        Unusable: an empty file, or a database of some other program.
    """
    (mark,) = base.execute("PRAGMA application_id").fetchone()
    if mark != APPLICATION:
        (tables,) = base.execute("SELECT count(*) FROM sqlite_master").fetchone()
        wrong = "this database is not a shop's" if tables else "the file of the shop is empty"
        raise Unusable(Fault(str(file), wrong, "name another folder, or restore a backup"))
    return int(base.execute("SELECT step FROM version").fetchone()[0])


def _upgrade(base: sqlite3.Connection, file: Path) -> None:
    """Apply the steps that are still to come, all or none."""
    base.execute("BEGIN IMMEDIATE")
    (mark,) = base.execute("PRAGMA application_id").fetchone()
    for number in range(_version(base, file) if mark else 0, len(STEPS)):
        for statement in STEPS[number]:
            base.execute(statement)
        base.execute("UPDATE version SET step = ?", (number + 1,))
    base.execute(f"PRAGMA application_id = {APPLICATION}")
    base.execute("COMMIT")
    sync(file.parent)


def _damage(file: Path, said: str) -> Fault:
    return Fault(str(file), f"the database is damaged ({said})", "restore the latest backup")


def _count(base: sqlite3.Connection, log: str) -> int:
    (held,) = base.execute(
        "SELECT coalesce(max(seq), 0) FROM entry WHERE log = ?", (log,)
    ).fetchone()
    return int(held)


def _check_log(base: sqlite3.Connection, log: str) -> list[Fault]:
    """What is wrong with the entries of one log: numbers, hashes, bytes, chains."""
    faults, bodies = [], []
    rows = base.execute("SELECT seq, id, body, hash FROM entry WHERE log = ? ORDER BY seq", (log,))
    for turn, (seq, key, body, digest) in enumerate(rows, 1):
        if seq != turn:
            faults.append(Fault(log, f"entry number {turn} is missing", "restore a backup"))
            break
        try:
            entry = parse(body, key)
            sound = (
                entry_hash(body) == digest and entry.get("id") == key and canonical(entry) == body
            )
        except Unusable:
            sound = False
        if not sound:
            faults.append(
                Fault(f"{log}/{key}", "the entry was altered in the store", "restore a backup")
            )
        else:
            bodies.append(body)
    return faults + [
        Fault(f"{log}/{fault.where}", fault.wrong, fault.right) for fault in check_chain(bodies)
    ]
