"""What goes in comes out, is found, and a failure leaves nothing."""

from __future__ import annotations

import errno
import os
import sqlite3
import threading
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import HealthCheck, given, settings

from journal.domain.reading import Evidence
from journal.domain.verdict import Outcome
from journal.domain.visit import Visit
from journal.errors import BadInput, NotFound, StoreUnusable
from journal.keep import Store, failures
from journal.keep.plain import to_plain
from tests.keep.strategies import VISITS
from tests.keep.visits import a_reading, a_sound, a_visit


def everything(folder: Path) -> dict[str, list[tuple[object, ...]]]:
    """Return every row of every table, and the files below the folder."""
    connection = sqlite3.connect(f"file:{folder / 'journal.sqlite'}?mode=ro", uri=True)
    tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    held = {table: connection.execute(f'SELECT * FROM "{table}"').fetchall() for table in tables}
    connection.close()
    held["files"] = [(str(p.relative_to(folder)),) for p in sorted(folder.rglob("*")) if "sqlite" not in p.name]
    return held


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(visit=VISITS)
def test_every_visit_comes_out_exactly_as_it_went_in(store: Store, tmp_path: Path, visit: Visit) -> None:
    sounds = {recording.name: a_sound(tmp_path, f"{recording.name}.wav") for recording in visit.recordings}
    stored = store.add_visit(visit, sounds)
    again = store.visit(stored.id)
    # Also what '==' leaves out: ids, evidence, alternatives.
    assert to_plain(again, defaults=True) == to_plain(stored, defaults=True)
    for recording in stored.recordings:
        assert (store.folder / recording.file).read_bytes() == sounds[recording.name].read_bytes()
    kept = replace(stored, code="", recordings=tuple(replace(r, file="", sha256="") for r in stored.recordings))
    assert to_plain(kept, defaults=True) == to_plain(visit, defaults=True)


def test_decimals_keep_their_digits(store: Store, visit: Visit) -> None:
    assert str(store.visit(visit.code).readings[0].value) == "24.30"
    row = (
        sqlite3.connect(store.folder / "journal.sqlite").execute("SELECT value, typeof(value) FROM readings").fetchone()
    )
    assert row == ("24.30", "text")


def test_what_is_empty_is_filled(store: Store, sound: Path) -> None:
    reading = a_reading(id="")
    stored = store.add_visit(a_visit(readings=(reading, reading), verdicts=()), {"r1": sound})
    assert stored.id
    assert stored.made
    assert len({reading.id for reading in stored.readings} - {""}) == 2
    assert stored.recordings[0].file == f"recordings/{stored.id}/r1.wav"
    assert store.sound_path(stored, "r1").read_bytes() == sound.read_bytes()


def test_a_visit_without_readings_or_sound_is_a_visit(store: Store) -> None:
    stored = store.add_visit(Visit(id="", code=""), {})
    assert store.visit(stored.code) == stored
    assert store.visits()[0].worst is None


@pytest.mark.parametrize(
    ("changes", "sounds", "message"),
    [
        ({}, {}, "one file of sound"),
        ({}, {"r1": "gone.wav"}, "gone.wav"),
        ({"id": "visit one"}, {"r1": "larder.wav"}, "UUID"),
        ({"readings": (a_reading(), a_reading())}, {"r1": "larder.wav"}, "same id"),
        (
            {"readings": (a_reading(evidence=Evidence("r1", 0, 0, 1, float("inf"), 2.0, "x")),)},
            {"r1": "larder.wav"},
            "cannot be stored",
        ),
        ({"title": "half a character \ud83d"}, {"r1": "larder.wav"}, "cannot be stored"),
    ],
)
def test_what_cannot_be_stored_is_refused_whole(
    store: Store, sound: Path, changes: dict[str, object], sounds: dict[str, str], message: str
) -> None:
    before = everything(store.folder)
    with pytest.raises(BadInput, match=message):
        store.add_visit(a_visit(**changes), {name: sound.parent / file for name, file in sounds.items()})
    after = everything(store.folder)
    after["files"] = [name for name in after["files"] if name not in (("incoming",), ("recordings",))]
    assert after == before


def test_a_recording_that_changed_since_it_was_heard_is_refused(store: Store, sound: Path) -> None:
    heard = tuple(replace(recording, sha256="0" * 64) for recording in a_visit().recordings)
    with pytest.raises(BadInput, match="changed after it was heard"):
        store.add_visit(a_visit(recordings=heard), {"r1": sound})
    assert not list(store.folder.glob("recordings/*/*"))


def test_the_same_visit_is_not_stored_twice(store: Store, visit: Visit, sound: Path) -> None:
    before = everything(store.folder)
    with pytest.raises(BadInput, match="in the store already"):
        store.add_visit(visit, {"r1": sound})
    assert everything(store.folder) == before


def test_visits_are_named_by_code_or_beginning_of_id(store: Store, visit: Visit) -> None:
    for name in (visit.code, visit.code.lower(), f"{visit.code[:3]}-{visit.code[3:]}", visit.id, visit.id[:13].upper()):
        assert store.visit(name).id == visit.id
    with pytest.raises(NotFound, match="begins with"):
        store.visit("ffff")
    with pytest.raises(BadInput, match="at least four"):
        store.visit(visit.id[:3])
    with pytest.raises(BadInput, match="names no visit"):
        store.visit("the one with the ice")


def test_a_mistyped_code_is_told_from_an_unknown_one(store: Store, visit: Visit) -> None:
    other = "R" if visit.code[2] != "R" else "W"
    with pytest.raises(NotFound, match="one symbol of it is wrong"):
        store.visit(visit.code[:2] + other + visit.code[3:])


def test_a_beginning_shared_by_two_visits_is_refused(store: Store) -> None:
    for last in "12":
        store.add_visit(Visit(id=f"0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c1{last}", code=""), {})
    with pytest.raises(BadInput, match="several ids"):
        store.visit("0192f0c4")


def test_filters_find_what_they_say(store: Store, visit: Visit) -> None:
    other = store.add_visit(
        Visit(
            id="", code="", started="2026-04-01T10:00:00Z", site="Harbour Kitchen", technician="Ana Ruiz", title="PM"
        ),
        {},
    )
    both, first, second = {visit.code, other.code}, {visit.code}, {other.code}

    def found(**filters: object) -> set[str]:
        return {summary.code for summary in store.visits(**filters)}  # type: ignore[arg-type]

    assert found() == both
    assert found(since="2026-03-02", until="2026-03-02") == first
    assert found(since="2026-03-03") == second
    assert found(site="larder") == first
    assert found(site="lar%r") == set()
    assert found(technician="ruiz") == second
    assert found(equipment="77-1904") == first
    assert found(equipment="nordhus") == first
    assert found(outcome=Outcome.OUTSIDE) == first
    assert found(outcome=Outcome.WITHIN) == set()
    assert found(doubtful=True) == first
    assert found(doubtful=False) == second
    assert found(open=True) == both
    assert found(text="fan turning") == first
    assert found(text="evaporator") == first
    assert found(text="Sund") == first
    assert found(text="WO-1188") == first
    assert found(text='iced" (') == first
    assert found(text="iced OR nothing") == set()
    assert found(text="larder", outcome=Outcome.WITHIN) == set()
    assert [summary.code for summary in store.visits(limit=1)] == [other.code]
    with pytest.raises(BadInput, match="at least one word"):
        store.visits(text="-")


def test_the_summary_counts(store: Store, visit: Visit) -> None:
    (summary,) = store.visits()
    assert (summary.readings, summary.doubtful, summary.seconds) == (2, 1, 61.5)
    assert summary.worst is Outcome.OUTSIDE
    assert summary.machines == ("reach-in 2",)
    assert summary.complaint == "case has been warm since Sunday"


def test_a_missing_sound_is_said(store: Store, visit: Visit) -> None:
    with pytest.raises(NotFound, match="it has: r1"):
        store.sound_path(visit, "r9")
    (store.folder / visit.recordings[0].file).unlink()
    with pytest.raises(StoreUnusable, match="restore"):
        store.sound_path(visit, "r1")


OF_THE_DISK = [
    (OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)), "disk is full"),
    (OSError(errno.EROFS, os.strerror(errno.EROFS)), "read-only"),
    (PermissionError(errno.EACCES, os.strerror(errno.EACCES)), "may not write"),
]
OF_SQLITE = [
    (sqlite3.OperationalError("database or disk is full"), "disk is full"),
    (sqlite3.OperationalError("attempt to write a readonly database"), "read-only"),
    (sqlite3.OperationalError("database is locked"), "another program"),
    (sqlite3.DatabaseError("database disk image is malformed"), "damaged"),
]


@pytest.mark.parametrize(
    ("where", "error", "message"),
    [
        *[("journal.keep.files.sync_folder", *failure) for failure in OF_THE_DISK],
        *[("journal.keep.files._flush", *failure) for failure in OF_THE_DISK],
        *[("journal.keep.ledger.insert", *failure) for failure in OF_SQLITE],
        *[("journal.keep.overview.insert", *failure) for failure in OF_SQLITE],
    ],
)
def test_a_disk_that_refuses_leaves_nothing(
    store: Store, visit: Visit, sound: Path, monkeypatch: pytest.MonkeyPatch, where: str, error: Exception, message: str
) -> None:
    before = everything(store.folder)

    def refuse(*_: object) -> None:
        raise error

    with monkeypatch.context() as patch:
        patch.setattr(where, refuse)
        with pytest.raises(StoreUnusable, match=message):
            store.add_visit(a_visit(), {"r1": sound})
    assert everything(store.folder) == before
    store.add_visit(a_visit(), {"r1": sound})


@pytest.mark.parametrize(("free", "says"), [(0, "disk is full"), (1 << 30, "reports an error")])
def test_an_error_of_a_full_disk_is_called_that(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, free: int, says: str
) -> None:
    """Seen on a full tmpfs: SQLite says 'disk I/O error' when its shared index cannot grow."""
    monkeypatch.setattr("journal.keep.failures.shutil.disk_usage", lambda _: SimpleNamespace(free=free))
    assert says in str(failures.explain(sqlite3.OperationalError("disk I/O error"), tmp_path))


def test_too_little_space_is_said_before_anything_is_written(
    store: Store, sound: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("journal.keep.files.shutil.disk_usage", lambda _: SimpleNamespace(free=9))
    with pytest.raises(StoreUnusable, match="disk is full"):
        store.add_visit(a_visit(), {"r1": sound})
    assert not (store.folder / "recordings").exists()


def test_a_path_out_of_the_store_is_never_followed(store: Store, visit: Visit, tmp_path: Path) -> None:
    (tmp_path / "private.txt").write_text("private")
    elsewhere = replace(visit, recordings=(replace(visit.recordings[0], file="../private.txt"),))
    with pytest.raises(StoreUnusable, match="is missing"):
        store.sound_path(elsewhere, "r1")


def test_caches_are_made_again_from_what_is_covered(store: Store, visit: Visit) -> None:
    store.correct(visit.code, visit.id, {"site": "Mill Lane"}, by="Ola", why="moved")
    before = everything(store.folder)
    connection = sqlite3.connect(store.folder / "journal.sqlite")
    for table in ("overview", "machines", "findable"):
        connection.execute(f"DELETE FROM {table}")
    connection.commit()
    connection.close()
    assert store.visits() == []
    assert store.rebuild_caches() == 1
    after = everything(store.folder)
    assert {table: after[table] for table in ("overview", "machines", "findable", "ledger", "readings")} == {
        table: before[table] for table in ("overview", "machines", "findable", "ledger", "readings")
    }
    assert len(store.visits(text="iced", site="mill")) == 1


def test_threads_read_while_one_writes(store: Store, visit: Visit, sound: Path) -> None:
    failures: list[BaseException] = []
    seen: list[int] = []

    def read() -> None:
        try:
            for _ in range(30):
                seen.append(len(store.visits(text="iced")))
                assert store.visit(visit.code).id == visit.id
        except BaseException as error:
            failures.append(error)

    readers = [threading.Thread(target=read) for _ in range(4)]
    for reader in readers:
        reader.start()
    for _ in range(10):
        store.add_visit(a_visit(), {"r1": sound})
    for reader in readers:
        reader.join()
    assert failures == []
    assert len(seen) == 120
    assert len(store.visits()) == 11
