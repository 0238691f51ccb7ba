"""A shop whose connections stay open: as safe as one that is opened anew each time."""

from __future__ import annotations

import os
import threading
from typing import TYPE_CHECKING

import pytest

from gudgeon.faults import Conflict
from gudgeon.log.canon import canonical
from gudgeon.store.sqlite import SqliteStore

if TYPE_CHECKING:
    from pathlib import Path


def body(key: str, text: str = "seen") -> str:
    return canonical({"id": key, "at": "2026-11-01T08:00:00Z", "kind": "note", "text": text})


def open_files(folder: Path) -> int:
    """How many handles this process has on files of a folder."""
    count = 0
    for handle in os.listdir("/proc/self/fd"):
        try:
            count += os.readlink(f"/proc/self/fd/{handle}").startswith(str(folder))
        except OSError:
            continue
    return count


@pytest.fixture
def store(tmp_path: Path) -> SqliteStore:
    return SqliteStore(tmp_path / "shop")


def test_what_is_stored_is_seen_by_others_at_once(store: SqliteStore) -> None:
    with store.held_open():
        for number in range(20):
            store.append("twin", [body(f"n{number}")])
            assert len(SqliteStore(store.folder).read("twin")) == number + 1
        SqliteStore(store.folder).append("twin", [body("from-outside")])
        assert len(store.read("twin")) == 21
    assert store.check() == ()


def test_a_refused_append_leaves_nothing_behind_on_the_connection(store: SqliteStore) -> None:
    with store.held_open():
        store.append("twin", [body("n1")])
        with pytest.raises(Conflict):
            store.append("twin", [body("n2"), body("n1", "other")])
        store.append("twin", [body("n3")])
        assert store.read("twin") == (body("n1"), body("n3"))


def test_a_file_put_in_its_place_is_the_one_written_to(store: SqliteStore, tmp_path: Path) -> None:
    with store.held_open():
        store.append("twin", [body("n1")])
        store.backup(tmp_path / "copy.sqlite")
        store.append("twin", [body("n2")])
        for ending in ("", "-wal", "-shm"):
            (store.folder / f"shop.sqlite{ending}").unlink(missing_ok=True)
        (tmp_path / "copy.sqlite").rename(store.file)
        store.append("twin", [body("n3")])
    assert SqliteStore(store.folder).read("twin") == (body("n1"), body("n3"))
    assert store.check() == ()


def test_nothing_stays_open_after_the_block(store: SqliteStore) -> None:
    with store.held_open():
        store.append("twin", [body("n1")])
        assert open_files(store.folder) > 0
    assert open_files(store.folder) == 0
    store.append("twin", [body("n2")])
    assert open_files(store.folder) == 0


def test_many_threads_at_once_lose_nothing(store: SqliteStore) -> None:
    def write(thread: int) -> None:
        for number in range(15):
            store.append(f"job-{thread % 3}", [body(f"{thread}-{number}")])
            store.read(f"job-{thread % 3}", after=3)

    with store.held_open():
        threads = [threading.Thread(target=write, args=(number,)) for number in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(60)
    counts = {log: len(store.read(log)) for log in store.logs()}
    assert counts == {"job-0": 45, "job-1": 45, "job-2": 30}
    assert store.check() == ()
