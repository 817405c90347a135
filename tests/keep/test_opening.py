"""Opening a store: new, old, newer, foreign, damaged, read-only, left behind by a crash."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from pathlib import Path

import pytest

from journal.domain.visit import Visit
from journal.errors import StoreUnusable
from journal.keep import Store, database, files
from tests.keep.visits import a_visit


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def test_a_missing_store_is_made_or_refused(folder: Path) -> None:
    with pytest.raises(StoreUnusable, match="there is no store"):
        Store.open(folder, create=False)
    assert not folder.exists()
    Store.open(folder).close()
    Store.open(folder, create=False).close()
    assert sorted(path.name for path in folder.iterdir()) == ["journal.sqlite"]


@pytest.mark.parametrize(
    "content", [b"dear diary", b"x" * 5000, b"SQLite format 3\x00", b"SQLite format 3\x00" + b"\x01" * 4096]
)
def test_a_file_that_is_no_database_stays_untouched(folder: Path, content: bytes) -> None:
    folder.mkdir()
    (folder / "journal.sqlite").write_bytes(content)
    with pytest.raises(StoreUnusable, match="not a database of this journal"):
        Store.open(folder)
    assert snapshot(folder) == {"journal.sqlite": content}


@pytest.mark.parametrize("mode", ["DELETE", "WAL"])
def test_another_programs_database_stays_untouched(folder: Path, mode: str) -> None:
    folder.mkdir()
    other = sqlite3.connect(folder / "journal.sqlite")
    other.execute(f"PRAGMA journal_mode = {mode}")
    other.execute("CREATE TABLE recipes (name)")
    other.commit()
    other.close()
    before = snapshot(folder)
    with pytest.raises(StoreUnusable, match="not a database of this journal"):
        Store.open(folder)
    assert snapshot(folder) == before


def test_a_folder_in_the_way_is_refused(folder: Path) -> None:
    (folder / "journal.sqlite").mkdir(parents=True)
    with pytest.raises(StoreUnusable, match="not a database of this journal"):
        Store.open(folder)


def test_a_file_in_place_of_the_folder_is_refused(folder: Path) -> None:
    folder.write_text("a file")
    with pytest.raises(StoreUnusable):
        Store.open(folder)


def test_an_empty_file_is_a_new_store(folder: Path) -> None:
    folder.mkdir()
    (folder / "journal.sqlite").touch()
    with Store.open(folder) as store:
        assert store.visits() == []


def test_a_newer_store_is_refused_and_untouched(store: Store, visit: Visit) -> None:
    store.close()
    connection = sqlite3.connect(store.folder / "journal.sqlite")
    connection.execute("INSERT INTO _sqlite_migrations VALUES (99, 'journal', '999_from_tomorrow', '2030-01-01')")
    connection.commit()
    connection.close()
    before = snapshot(store.folder)
    with pytest.raises(StoreUnusable, match="newer version of the journal"):
        Store.open(store.folder)
    assert snapshot(store.folder) == before


def test_a_damaged_database_is_said(store: Store, visit: Visit) -> None:
    store.close()
    path = store.folder / "journal.sqlite"
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xff" * (len(content) - 4096)
    path.write_bytes(bytes(content))
    with pytest.raises(StoreUnusable, match=r"damaged|database refused"), Store.open(store.folder) as broken:
        broken.visits()


def test_a_closed_store_leaves_one_file_and_can_be_opened_again(store: Store, visit: Visit) -> None:
    head = store.head()
    store.close()
    assert [path.name for path in store.folder.glob("journal*")] == ["journal.sqlite"]
    with Store.open(store.folder) as again:
        assert again.visit(visit.code) == visit
        assert again.head() == head


def refuse_writing(monkeypatch: pytest.MonkeyPatch) -> None:
    """What ``os.access`` answers on a read-only disk; a superuser may write everywhere else."""
    access = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: not mode & os.W_OK and access(path, mode))


def test_a_store_on_read_only_media_is_read_and_refuses_writes(
    store: Store, visit: Visit, monkeypatch: pytest.MonkeyPatch, sound: Path
) -> None:
    store.close()
    before = snapshot(store.folder)
    refuse_writing(monkeypatch)
    with Store.open(store.folder) as readable:
        assert readable.readonly
        assert readable.visit(visit.code) == visit
        with pytest.raises(StoreUnusable, match="read-only"):
            readable.add_visit(a_visit(), {"r1": sound})
    assert snapshot(store.folder) == before


def test_what_waits_in_the_log_of_a_read_only_store_is_not_passed_over(
    store: Store, visit: Visit, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(store.folder, tmp_path / "torn")
    assert (tmp_path / "torn" / "journal.sqlite-wal").stat().st_size
    refuse_writing(monkeypatch)
    with pytest.raises(StoreUnusable, match="not closed properly"):
        Store.open(tmp_path / "torn")


def test_files_of_a_crashed_arrival_are_swept_and_kept_ones_stay(store: Store, visit: Visit) -> None:
    stray = "recordings/0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c11/r1.wav"
    (store.folder / stray).parent.mkdir(parents=True)
    (store.folder / stray).write_bytes(b"half")
    kept = visit.recordings[0].file
    (store.folder / "incoming" / "crash.json").write_text(json.dumps([stray, kept]))
    with Store.open(store.folder):
        assert not (store.folder / stray).parent.exists()
        assert (store.folder / kept).exists()
        assert list((store.folder / "incoming").iterdir()) == []


def test_the_files_of_a_living_arrival_are_left_alone(store: Store) -> None:
    coming = "recordings/0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c11/r1.wav"
    with files.arriving(store.folder, [coming], lambda _: False):
        (store.folder / coming).parent.mkdir(parents=True)
        (store.folder / coming).write_bytes(b"half")
        Store.open(store.folder).close()
        assert (store.folder / coming).exists()
    assert not (store.folder / coming).exists()


def test_a_writer_that_has_to_wait_too_long_says_so(
    store: Store, folder: Path, monkeypatch: pytest.MonkeyPatch, sound: Path
) -> None:
    monkeypatch.setattr(database, "BUSY_MS", 50)
    with Store.open(folder) as second, store._database.write():
        with pytest.raises(StoreUnusable, match="another program is writing"):
            second.add_visit(a_visit(), {"r1": sound})
        assert second.visits() == []  # reading goes on


def test_every_connection_keeps_the_rules(store: Store) -> None:
    rules = {"foreign_keys": 1, "recursive_triggers": 1, "synchronous": 2, "secure_delete": 1}
    with store._database.write() as db:
        assert {rule: db.conn.execute(f"PRAGMA {rule}").fetchone()[0] for rule in rules} == rules
        assert db.conn.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    with store._database.read() as reader, pytest.raises(sqlite3.OperationalError, match="readonly"):
        reader.execute("DELETE FROM overview")
