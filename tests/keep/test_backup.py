"""Backups are whole, verified, made while others write, and come back."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from journal.domain.visit import Visit
from journal.errors import BadInput, StoreUnusable
from journal.keep import Store, restore
from journal.keep.plain import to_plain
from tests.keep.tampering import drop_guards, open_for_tampering
from tests.keep.test_opening import snapshot
from tests.keep.visits import a_sound, a_visit


def test_a_backup_is_a_whole_store(store: Store, visit: Visit, tmp_path: Path) -> None:
    store.attach(visit.code, a_sound(tmp_path, "plate.jpg", b"picture"), by="Ola")
    report = store.backup(tmp_path / "safe" / "backup")
    assert report.ok
    assert (report.visits, report.files, report.head) == (1, 2, store.head())
    with Store.open(report.path) as copy:
        assert to_plain(copy.visit(visit.code)) == to_plain(store.visit(visit.code))
        assert copy.verify(store.head()).ok
        assert copy.sound_path(visit, "r1").read_bytes() == store.sound_path(visit, "r1").read_bytes()
    assert not (tmp_path / "safe" / "backup.part").exists()


def test_a_backup_comes_back(store: Store, visit: Visit, tmp_path: Path) -> None:
    backup = store.backup(tmp_path / "backup").path
    before = snapshot(backup)
    report = restore(backup, tmp_path / "again")
    assert (report.ok, report.visits) == (True, 1)
    with Store.open(tmp_path / "again") as again:
        assert again.visit(visit.code) == visit
        assert again.verify(store.head()).ok
    assert snapshot(backup) == before


def test_a_store_is_replaced_only_when_told_and_stays_beside(store: Store, visit: Visit, tmp_path: Path) -> None:
    backup = store.backup(tmp_path / "backup").path
    store.correct(visit.code, "reading-1", {"value": "230"}, by="Ola", why="misheard")
    store.close()
    with pytest.raises(StoreUnusable, match="there is a store already"):
        restore(backup, store.folder)
    restore(backup, store.folder, replace=True)
    (aside,) = tmp_path.glob("store-before-*")
    with Store.open(aside) as old, Store.open(store.folder) as new:
        assert len(old.visit(visit.code).corrections) == 1
        assert new.visit(visit.code).corrections == ()


def test_an_earlier_backup_is_never_overwritten(store: Store, visit: Visit, tmp_path: Path) -> None:
    backup = store.backup(tmp_path / "backup").path
    before = snapshot(backup)
    with pytest.raises(BadInput, match="there already"):
        store.backup(backup)
    assert snapshot(backup) == before
    (tmp_path / "empty").mkdir()
    assert store.backup(tmp_path / "empty").ok


def test_an_unfinished_backup_is_replaced_and_other_folders_are_not(store: Store, visit: Visit, tmp_path: Path) -> None:
    part = tmp_path / "backup.part"
    part.mkdir()
    (part / "journal.sqlite").write_bytes(b"half")
    assert store.backup(tmp_path / "backup").ok
    other = tmp_path / "mine.part"
    other.mkdir()
    (other / "holiday.jpg").write_bytes(b"dear")
    with pytest.raises(BadInput, match="in the way"):
        store.backup(tmp_path / "mine")
    assert (other / "holiday.jpg").exists()


def test_a_folder_with_other_things_is_no_place_to_restore_to(store: Store, visit: Visit, tmp_path: Path) -> None:
    backup = store.backup(tmp_path / "backup").path
    with pytest.raises(BadInput, match="other things"):
        restore(backup, tmp_path)


def test_a_changed_backup_is_refused(store: Store, visit: Visit, tmp_path: Path) -> None:
    backup = store.backup(tmp_path / "backup").path
    connection = open_for_tampering(backup)
    drop_guards(connection)
    connection.execute("UPDATE readings SET value = '230' WHERE n = 0")
    connection.close()
    with pytest.raises(StoreUnusable, match="not what was written"):
        restore(backup, tmp_path / "again")
    assert not (tmp_path / "again").exists()


def test_a_changed_store_is_copied_and_the_change_reported(store: Store, visit: Visit, tmp_path: Path) -> None:
    (store.folder / visit.recordings[0].file).write_bytes(b"other sound")
    report = store.backup(tmp_path / "backup")
    assert [problem.what for problem in report.problems] == ["the file was changed"]


def test_a_store_that_lacks_a_file_is_no_whole_backup(store: Store, visit: Visit, tmp_path: Path) -> None:
    (store.folder / visit.recordings[0].file).unlink()
    with pytest.raises(StoreUnusable, match="is missing"):
        store.backup(tmp_path / "backup")
    assert sorted(path.name for path in tmp_path.glob("backup*")) == []


@pytest.mark.parametrize("error", [28, 30])
def test_a_full_or_read_only_disk_leaves_no_backup(
    store: Store, visit: Visit, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: int
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(error, "no")

    monkeypatch.setattr("journal.keep.files.flush", refuse)
    with pytest.raises(StoreUnusable, match=r"full|read-only"):
        store.backup(tmp_path / "backup")
    assert list(tmp_path.glob("backup*")) == []


def test_a_backup_while_others_write(store: Store, visit: Visit, sound: Path, tmp_path: Path) -> None:
    stop = threading.Event()
    written: list[str] = []

    def write() -> None:
        while not stop.is_set() and len(written) < 500:
            written.append(store.add_visit(a_visit(), {"r1": sound}).code)

    writer = threading.Thread(target=write)
    writer.start()
    reports = [store.backup(tmp_path / f"backup{n}") for n in range(3)]
    stop.set()
    writer.join()
    assert all(report.ok for report in reports)
    assert reports[-1].visits > 1
    for report in reports:
        assert store.verify(report.head).ok
