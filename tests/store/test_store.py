"""Appending, reading, refusing, copying: what a store promises."""

from __future__ import annotations

import json
import sqlite3
import threading
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.store.writer import note

from gudgeon.faults import Conflict, Unusable
from gudgeon.log.canon import canonical
from gudgeon.store.folder import find_shop, restore
from gudgeon.store.interface import Appended, Grown, Store
from gudgeon.store.sqlite import FILE, SqliteStore


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return SqliteStore(tmp_path / "shop")


def test_an_unwritten_shop_is_empty_and_leaves_no_trace(tmp_path: Path) -> None:
    store = SqliteStore(tmp_path / "shop")
    assert (store.logs(), store.read("job"), store.check()) == ((), (), ())
    assert not store.folder.exists()


def test_entries_come_back_in_order_and_by_log(store: Store) -> None:
    assert store.append("b", [note(2), note(1)]) == Appended(2, 0)
    assert store.append("a", [note(1)]) == Appended(1, 0)
    assert store.append("b", [note(3)]) == Appended(1, 0)
    assert store.logs() == ("a", "b")
    assert store.read("b") == (note(2), note(1), note(3))
    assert store.read("c") == ()
    assert store.check() == ()


def test_entries_of_some_kinds(store: Store) -> None:
    strike = canonical({"id": "s", "kind": "strike", "at": "2026-03-01T14:05:00Z"})
    store.append("a", [note(1), strike, note(2)])
    assert store.read("a", ("strike",)) == (strike,)
    assert store.read("a", ("strike", "note")) == store.read("a")


def test_entries_stored_since_one_looked(store: Store) -> None:
    store.append("a", [note(1), note(2), note(3)])
    assert store.read("a", after=2) == (note(3),)
    assert store.read("a", ("strike",), after=1) == store.read("a", after=3) == ()


def test_the_same_bytes_again_change_nothing(store: Store) -> None:
    store.append("a", [note(1), note(2)])
    assert store.append("a", [note(2), note(3), note(3)]) == Appended(1, 2)
    assert store.read("a") == (note(1), note(2), note(3))


def test_other_bytes_under_one_id_refuse_the_whole_batch(store: Store) -> None:
    store.append("a", [note(1)])
    with pytest.raises(Conflict) as refused:
        store.append("a", [note(2), note(1, size=3), note(4)])
    assert refused.value.faults[0].where == "w-1"
    with pytest.raises(Conflict):
        store.append("a", [note(5), note(5, size=3)])
    assert store.read("a") == (note(1),)
    assert store.append("b", [note(1, size=3)]).stored == 1


def test_a_log_that_grew_meanwhile_refuses(store: Store) -> None:
    store.append("a", [note(1)], expected=0)
    with pytest.raises(Grown):
        store.append("a", [note(2)], expected=0)
    store.append("a", [note(2)], expected=1)
    assert len(store.read("a")) == 2


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET body = '{}'",
        "DELETE FROM entry",
        "DELETE FROM entry WHERE id = 'w-1'",
        "REPLACE INTO entry SELECT log, seq, id, '{}', hash FROM entry WHERE seq = 1",
        "REPLACE INTO entry SELECT log, 9, id, '{}', hash FROM entry WHERE seq = 1",
        "INSERT INTO entry SELECT log, 9, 'new', body, hash FROM entry WHERE seq = 1",
        "INSERT INTO entry SELECT log, 0, 'new', body, hash FROM entry WHERE seq = 1",
    ],
)
def test_the_database_itself_refuses_change(tmp_path: Path, statement: str) -> None:
    store = SqliteStore(tmp_path)
    store.append("a", [note(1), note(2)])
    base = sqlite3.connect(store.file)
    with pytest.raises(sqlite3.IntegrityError):
        base.execute(statement)
    base.close()
    assert store.read("a") == (note(1), note(2))
    assert store.check() == ()


def test_what_was_changed_behind_the_triggers_is_found(tmp_path: Path) -> None:
    store = SqliteStore(tmp_path)
    store.append("a", [note(1), note(2), note(3)])
    base = sqlite3.connect(store.file)
    base.execute("DROP TRIGGER entry_changed")
    base.execute("DROP TRIGGER entry_deleted")
    base.execute("UPDATE entry SET body = replace(body, 'x', 'y') WHERE seq = 1")
    base.commit()
    assert [fault.where for fault in store.check()] == ["a/w-1"]
    base.execute("DELETE FROM entry WHERE seq = 2")
    base.commit()
    base.close()
    assert [fault.wrong for fault in store.check()][1] == "entry number 2 is missing"


def test_many_threads_of_one_process(tmp_path: Path) -> None:
    store = SqliteStore(tmp_path)

    def work(name: str) -> None:
        for number in range(20):
            store.append("a", [note(number, name)])

    threads = [threading.Thread(target=work, args=(f"t{n}",)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(store.read("a")) == 80
    assert store.check() == ()


class TestCopies:
    def test_a_backup_restores_the_same_shop(self, tmp_path: Path) -> None:
        store = SqliteStore(tmp_path / "shop")
        store.append("a", [note(1), note(2)])
        store.backup(tmp_path / "copy.sqlite")
        again = restore(tmp_path / "copy.sqlite", tmp_path / "new")
        assert again.read("a") == store.read("a")
        assert again.append("a", [note(3)]).stored == 1
        assert sorted(path.name for path in tmp_path.iterdir()) == ["copy.sqlite", "new", "shop"]

    def test_a_backup_while_another_writes_is_consistent(self, tmp_path: Path) -> None:
        store = SqliteStore(tmp_path / "shop")
        store.append("a", [note(0)])
        done = threading.Event()

        def work() -> None:
            number = 1
            while not done.is_set():
                store.append("a", [note(number)])
                number += 1

        thread = threading.Thread(target=work)
        thread.start()
        for number in range(10):
            copy = tmp_path / f"copy-{number}"
            store.backup(copy)
            found = restore(copy, tmp_path / f"new-{number}").read("a")
            assert [json.loads(body)["id"] for body in found] == [
                f"w-{n}" for n in range(len(found))
            ]
        done.set()
        thread.join()

    def test_a_backup_never_replaces_a_file(self, tmp_path: Path) -> None:
        store = SqliteStore(tmp_path / "shop")
        store.append("a", [note(1)])
        (tmp_path / "copy").write_text("mine")
        with pytest.raises(Unusable, match="the file is there already"):
            store.backup(tmp_path / "copy")
        assert (tmp_path / "copy").read_text() == "mine"

    def test_a_backup_into_nowhere(self, tmp_path: Path) -> None:
        store = SqliteStore(tmp_path / "shop")
        with pytest.raises(Unusable, match="there is no shop to back up"):
            store.backup(tmp_path / "copy")
        store.append("a", [note(1)])
        with pytest.raises(Unusable, match=r"there is no folder .*none', make it first"):
            store.backup(tmp_path / "none" / "copy")

    def test_restoring_over_something_is_refused(self, tmp_path: Path) -> None:
        store = SqliteStore(tmp_path / "shop")
        store.append("a", [note(1)])
        store.backup(tmp_path / "copy")
        with pytest.raises(Unusable, match="the folder is not empty"):
            restore(tmp_path / "copy", tmp_path / "shop")
        with pytest.raises(Unusable, match="there is no such file"):
            restore(tmp_path / "nothing", tmp_path / "new")

    @pytest.mark.parametrize("content", [b"", b"no database", None])
    def test_restoring_what_is_no_backup_leaves_nothing(
        self, tmp_path: Path, content: bytes | None
    ) -> None:
        copy = tmp_path / "copy"
        if content is None:
            store = SqliteStore(tmp_path / "shop")
            store.append("a", [note(number, size=400) for number in range(100)])
            store.backup(copy)
            content = copy.read_bytes().replace(b"xxxx", b"yyyy", 1)
        copy.write_bytes(content)
        with pytest.raises(Unusable) as refused:
            restore(copy, tmp_path / "new")
        assert all(fault.where == str(copy) for fault in refused.value.faults)
        assert not (tmp_path / "new").exists()


class TestWhichShop:
    def test_in_order_of_precedence(self, tmp_path: Path) -> None:
        here = tmp_path / "here"
        SqliteStore(here).append("a", [note(1)])
        known = {"GUDGEON_SHOP": str(tmp_path / "env"), "XDG_DATA_HOME": str(tmp_path / "data")}
        assert find_shop(str(tmp_path / "named"), here, known).folder == tmp_path / "named"
        assert find_shop(None, here, known).folder == tmp_path / "env"
        del known["GUDGEON_SHOP"]
        assert find_shop(None, here, known).folder == here
        assert find_shop(None, tmp_path, known).folder == tmp_path / "data" / "gudgeon"

    def test_without_a_data_folder(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("HOME", str(tmp_path))
        expected = tmp_path / ".local" / "share" / "gudgeon"
        assert find_shop(None, tmp_path, {}).folder == expected
        assert find_shop(None, tmp_path, {"XDG_DATA_HOME": "relative"}).folder == expected

    @pytest.mark.parametrize("name", ["https://shop", "postgresql://x/y", "a\0b"])
    def test_what_is_no_folder(self, name: str) -> None:
        with pytest.raises(Unusable, match="a shop is a folder"):
            find_shop(name)

    def test_a_file_is_no_shop(self, tmp_path: Path) -> None:
        file = tmp_path / FILE
        file.write_text("")
        with pytest.raises(Unusable, match="name the folder that holds"):
            find_shop(str(file))

    def test_a_folder_that_can_not_be_made(self, tmp_path: Path) -> None:
        (tmp_path / "file").write_text("")
        with pytest.raises(Unusable, match="name a folder you may write in"):
            SqliteStore(tmp_path / "file" / "shop").append("a", [note(1)])


BATCHES = st.lists(
    st.lists(st.tuples(st.integers(0, 6), st.integers(1, 2)), max_size=4), max_size=8
)


@given(BATCHES)
@settings(deadline=None, max_examples=25)
def test_the_store_is_a_set_that_refuses_conflicts(
    tmp_path_factory: pytest.TempPathFactory, batches: list[list[tuple[int, int]]]
) -> None:
    """Against a plain dictionary: append, retry, conflict, reopen."""
    folder = tmp_path_factory.mktemp("shop")
    model: dict[int, int] = {}
    for batch in batches:
        wanted: dict[int, int] = dict(model)
        clash = False
        for number, size in batch:
            clash |= wanted.setdefault(number, size) != size
        store = SqliteStore(folder)
        bodies = [note(number, size=size) for number, size in batch]
        if clash:
            with pytest.raises(Conflict):
                store.append("a", bodies)
        else:
            store.append("a", bodies)
            model = wanted
        assert store.read("a") == tuple(note(n, size=s) for n, s in model.items())
