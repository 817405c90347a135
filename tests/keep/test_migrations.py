"""Every released schema comes up to date with its content, its seals and its guards; a copy is left first."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
import sqlite_utils
from sqlite_utils.migrations import Migrations

from journal.errors import StoreUnusable
from journal.keep import Store, migrations
from journal.keep.guards import covered_tables, missing_guards, put_up_guards
from journal.keep.migrations import STEPS
from journal.keep.plain import to_plain
from tests.keep.dump import dump, load
from tests.keep.tampering import covered, open_for_tampering
from tests.keep.visits import a_sound, a_visit

STORES = Path(__file__).parent / "stores"
VISIT = "0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c11"


def an_old_store(step: str, folder: Path) -> Path:
    load(STORES / f"{step}.sql", folder)
    a_sound(folder / "recordings" / VISIT, "r1.wav")
    return folder


def test_every_step_but_the_last_has_a_dump() -> None:
    assert sorted(path.stem for path in STORES.glob("*.sql")) == list(STEPS[:-1])


@pytest.mark.parametrize("step", STEPS[:-1])
def test_an_old_store_comes_up_to_date(step: str, folder: Path) -> None:
    an_old_store(step, folder)
    with Store.open(folder) as store:
        visit = store.visit(VISIT)
        expected = a_visit(id=VISIT, code=visit.code, made=visit.made, recordings=visit.recordings)
        assert to_plain(visit, defaults=True) == to_plain(expected, defaults=True)
        assert [summary.title for summary in store.visits(text="typed")] == ["It's a typed visit"]
        assert store.verify().problems == ()
        after = store.correct(VISIT, "reading-1", {"value": "230"}, by="Ola", why="misheard")
        assert after.corrections
        assert store.verify().ok
    (copy,) = folder.glob("before-update-*.sqlite")
    assert step in copy.name
    connection = sqlite3.connect(copy)
    assert connection.execute("SELECT count(*) FROM visits").fetchone() == (2,)
    assert [row[0] for row in connection.execute("SELECT name FROM _sqlite_migrations")] == list(
        STEPS[: STEPS.index(step) + 1]
    )
    connection.close()


@pytest.mark.parametrize("last", range(1, len(STEPS) + 1))
def test_guards_stand_after_every_step(last: int, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(migrations, "STEPS", STEPS[:last])
    Store.open(folder).close()
    connection = open_for_tampering(folder)
    assert missing_guards(connection) == ()
    triggers = connection.execute("SELECT count(*) FROM sqlite_master WHERE type = 'trigger'").fetchone()[0]
    assert triggers == 3 * len(covered(connection))
    assert len(covered_tables(connection)) >= 12
    connection.close()


def test_sqlite_utils_transform_would_drop_guards_and_they_come_back(folder: Path) -> None:
    """Why guards are made anew after every migration."""
    Store.open(folder).close()
    connection = open_for_tampering(folder)
    table = sqlite_utils.Database(connection, execute_plugins=False)["notes"]
    assert isinstance(table, sqlite_utils.db.Table)
    table.transform(rename={"topic": "subject"})
    assert missing_guards(connection)
    put_up_guards(connection)
    assert missing_guards(connection) == ()
    connection.close()


def test_a_step_that_fails_leaves_the_store_as_it_was(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    an_old_store(STEPS[0], folder)
    before = list(dump(folder / "journal.sqlite"))

    def broken(name: str) -> list[str]:
        return ["CREATE TABLE halfway (x)", "SELECT * FROM nowhere"]

    monkeypatch.setattr(migrations, "statements", broken)
    with pytest.raises(StoreUnusable, match="database refused"):
        Store.open(folder)
    assert list(dump(folder / "journal.sqlite")) == before
    monkeypatch.undo()
    with Store.open(folder) as store:
        assert store.verify().ok


def test_no_room_for_the_copy_means_no_migration(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    an_old_store(STEPS[0], folder)
    before = list(dump(folder / "journal.sqlite"))

    def refuse(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr("journal.keep.database.Database.copy_to", refuse)
    with pytest.raises(StoreUnusable, match="disk is full"):
        Store.open(folder)
    assert list(dump(folder / "journal.sqlite")) == before


def test_an_empty_old_store_needs_no_copy(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(migrations, "STEPS", STEPS[:1])
    Store.open(folder).close()
    monkeypatch.undo()
    Store.open(folder).close()
    assert list(folder.glob("before-update*")) == []


def test_an_old_store_on_a_read_only_disk_is_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    an_old_store(STEPS[0], folder)
    monkeypatch.setattr("os.access", lambda *_: False)
    with pytest.raises(StoreUnusable, match="older version"):
        Store.open(folder)


def test_steps_are_recorded_with_their_names(store: Store) -> None:
    connection = open_for_tampering(store.folder)
    assert migrations.applied(connection) == STEPS
    assert Migrations.migrations_table == "_sqlite_migrations"
    connection.close()


def test_every_foreign_key_can_be_looked_up_by_an_index(store: Store) -> None:
    """Else each insert of a parent looks through all its children, and writing slows as the store grows."""
    connection = open_for_tampering(store.folder)
    tables = [row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    seen = 0
    for table in tables:
        info = connection.execute(f'PRAGMA table_info("{table}")').fetchall()
        indexed = [tuple(c["name"] for c in sorted(info, key=lambda c: c["pk"]) if c["pk"])]
        for index in connection.execute(f'PRAGMA index_list("{table}")').fetchall():
            indexed.append(tuple(c["name"] for c in connection.execute(f'PRAGMA index_info("{index["name"]}")')))
        keys: dict[int, list[str]] = {}
        for row in connection.execute(f'PRAGMA foreign_key_list("{table}")'):
            keys.setdefault(row["id"], []).append(row["from"])
        for columns in keys.values():
            seen += 1
            assert any(index[: len(columns)] == tuple(columns) for index in indexed), (table, columns)
    assert seen >= 15
    connection.close()
