"""What was said to be stored is stored: killed writers, full disks, damaged files, two at once."""

from __future__ import annotations

import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from tests.store.writer import note

from gudgeon.faults import Unusable
from gudgeon.store.sqlite import FILE, SqliteStore
from gudgeon.store.steps import STEPS

ROOT = Path(__file__).parents[2]
KILLS = int(os.environ.get("GUDGEON_KILLS", "200"))


def run(*arguments: str, before: tuple[str, ...] = ()) -> subprocess.CompletedProcess[str]:
    """A writer in a process of its own."""
    return subprocess.run(
        [*before, sys.executable, "-m", "tests.store.writer", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


def test_killed_writers_lose_nothing_they_said(tmp_path: Path) -> None:
    done = run("kill", str(tmp_path / "shop"), str(KILLS), "7")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert (found["cycles"], found["kills"]) == (KILLS, KILLS)
    assert (found["lost"], found["gaps"], found["unsound"]) == (0, 0, 0)
    assert found["said"] > KILLS  # or the writers were killed before they wrote anything


def test_every_entry_is_synced_before_it_is_said(tmp_path: Path) -> None:
    """Killing a process can't tell a synced entry from one in the system's memory; a trace can."""
    trace = tmp_path / "trace"
    store = SqliteStore(tmp_path / "shop")
    store.append("job", [note(999)])
    if shutil.which("strace") is None:
        with store._open() as base:
            assert base.execute("PRAGMA synchronous").fetchone() == (2,)
        return
    strace = ("strace", "-f", "-o", str(trace), "-e", "trace=fsync,fdatasync,write,pwrite64")
    # While another has the file open, a writer that closes it doesn't tidy up, which would sync.
    with store._open():
        done = run("write", str(store.folder), "20", before=strace)
    assert done.stdout.split() == [f"w-{number}" for number in range(20)]
    assert unsynced(trace.read_text()) == (20, 0)


def unsynced(trace: str) -> tuple[int, int]:
    """How many entries were said, and how many of them before they were synced."""
    dirty, acknowledged, unsynced = False, 0, 0
    for line in trace.splitlines():
        if re.search(r"\bpwrite64\(", line):
            dirty = True
        elif re.search(r"\b(fsync|fdatasync)\(", line):
            dirty = False
        elif re.search(r'\bwrite\(1, "w-', line):
            acknowledged += 1
            unsynced += dirty
            dirty = True  # so that the next one needs a sync of its own
    return acknowledged, unsynced


@pytest.mark.parametrize("room", [60_000, 100_000, 150_000])
def test_a_full_disk_is_said_and_nothing_is_half_written(tmp_path: Path, room: int) -> None:
    shop = tmp_path / "shop"
    done = run("limit", str(shop), str(room))
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert "Traceback" not in done.stderr
    assert re.search(r"the disk (is full|refused)", found["said"])
    assert found["stored"] > 1
    store = SqliteStore(shop)
    assert len(store.read("job")) == found["stored"]
    assert store.check() == ()
    assert store.append("job", [note(99_999)]).stored == 1


def test_two_writers_at_once_lose_nothing_and_leave_no_gap(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    writers = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.store.writer", "write", str(shop), "60", "0", name],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in ("a", "b", "c")
    ]
    said = [word for writer in writers for word in writer.communicate()[0].split()]
    assert [writer.returncode for writer in writers] == [0, 0, 0]
    assert len(said) == 180
    store = SqliteStore(shop)
    assert {json.loads(body)["id"] for body in store.read("job")} == set(said)
    assert store.check() == ()


def test_a_writer_that_keeps_the_lock_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("gudgeon.store.sqlite.PATIENCE", 50)
    store = SqliteStore(tmp_path)
    store.append("job", [note(0)])
    other = sqlite3.connect(store.file, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(Unusable, match="another program keeps the shop locked, close it"):
        store.append("job", [note(1)])
    assert len(store.read("job")) == 1
    other.execute("ROLLBACK")
    other.close()
    assert store.append("job", [note(1)]).stored == 1


def test_a_file_cut_short_anywhere_is_named_and_never_a_traceback(tmp_path: Path) -> None:
    store = SqliteStore(tmp_path / "shop")
    store.append("job", [note(number, size=300) for number in range(300)])
    whole = store.file.read_bytes()
    assert len(whole) > 80_000
    for keep in [0, 1, 50, 99, 100, 512, 4095, 4096, 8192, 20_000, len(whole) - 4096]:
        store.file.write_bytes(whole[:keep])
        try:
            faults = store.check()
        except Unusable as refused:
            faults = refused.faults
        assert faults, keep
        assert all(fault.wrong and fault.right for fault in faults)
    store.file.write_bytes(whole)
    assert store.check() == ()


def test_a_byte_changed_in_the_file_is_found(tmp_path: Path) -> None:
    store = SqliteStore(tmp_path / "shop")
    store.append("job", [note(number) for number in range(50)])
    whole = store.file.read_bytes()
    spot = whole.index(b"xxxxxxxxxxxxxxxxxxxx")
    store.file.write_bytes(whole[:spot] + b"y" + whole[spot + 1 :])
    (fault,) = store.check()
    assert fault.wrong == "the entry was altered in the store"


def test_a_folder_that_can_only_be_read() -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = SqliteStore(Path(folder))
        store.append("job", [note(0)])
        store.file.chmod(0o444)
        store.folder.chmod(0o555)
        done = run("refused", folder, "1")
        store.folder.chmod(0o755)
        assert re.search(r"the shop can't be (opened|written to), ", done.stdout), done
        assert done.stdout.startswith("1 job ()\n"), done
        assert len(store.read("job")) == 1


def test_entries_that_wait_beside_a_folder_that_can_only_be_read() -> None:
    """Without the write-ahead log they would be missing: they are read, or it is said."""
    with tempfile.TemporaryDirectory() as folder:
        store = SqliteStore(Path(folder))
        store.append("job", [note(0)])
        with store._open():  # while another is in the shop, nobody moves the log into the file
            store.append("job", [note(1)])
            files = list(store.folder.iterdir())
            assert any(file.name.endswith("-wal") and file.stat().st_size for file in files)
            for file in files:
                file.chmod(0o444)
            store.folder.chmod(0o555)
            done = run("refused", folder, "2")
            store.folder.chmod(0o755)
        assert done.stdout.startswith("2 job ()") or "the shop can't be opened" in done.stdout, done


def test_a_shop_to_be_read_of_an_older_version(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = SqliteStore(tmp_path)
    store.append("job", [note(0)])
    monkeypatch.setattr("gudgeon.store.sqlite._mode_to_read", lambda _: "ro&immutable=1")
    assert len(store.read("job")) == 1
    monkeypatch.setattr("gudgeon.store.sqlite.STEPS", (*STEPS, ()))
    with pytest.raises(Unusable, match=r"older version \(\d+ of \d+\) and can't be written"):
        store.read("job")


def test_a_database_of_another_program(tmp_path: Path) -> None:
    base = sqlite3.connect(tmp_path / FILE)
    base.execute("CREATE TABLE bolts (size)")
    base.close()
    with pytest.raises(Unusable, match="this database is not a shop's"):
        SqliteStore(tmp_path).logs()


def test_a_file_that_is_no_database(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text("bolts, " * 500)
    with pytest.raises(Unusable, match="this is not a shop's database"):
        SqliteStore(tmp_path).append("job", [note(0)])
    assert (tmp_path / FILE).read_text() == "bolts, " * 500


def test_a_shop_of_a_newer_version(tmp_path: Path) -> None:
    store = SqliteStore(tmp_path)
    store.append("job", [note(0)])
    base = sqlite3.connect(store.file)
    base.execute("UPDATE version SET step = 99")
    base.commit()
    base.close()
    before = store.file.read_bytes()
    with pytest.raises(Unusable, match=r"written by a newer gudgeon \(version 99"):
        store.append("job", [note(1)])
    assert store.file.read_bytes() == before


def test_settings_that_do_not_hold_are_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = SqliteStore(tmp_path)
    store.append("job", [note(0)])
    monkeypatch.setattr("gudgeon.store.sqlite.SYNCHRONOUS", "NORMAL")
    with pytest.raises(Unusable, match="keeps synchronous at 1, which may lose entries"):
        store.append("job", [note(1)])
