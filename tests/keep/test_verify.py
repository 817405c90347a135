"""Verify finds every change of every covered row and file, and names the first."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from journal.domain.speech import utterance_of
from journal.domain.visit import Visit
from journal.errors import BadInput
from journal.keep import Store
from journal.keep.blanking import Place
from journal.keep.database import open_database
from journal.keep.guards import covered_tables, missing_guards
from journal.keep.seals import genesis, line_hash, new_salt, rows_digest, seal_of, table_digest
from journal.keep.verifying import VerifyReport, verify
from tests.keep.tampering import copy_of, covered, drop_guards, open_for_tampering, try_every_change, try_every_file
from tests.keep.test_corrections import judge
from tests.keep.visits import a_sound, a_visit

#: listed by hand, so that a covered table cannot be lost unseen
COVERED = {
    *("about", "ledger", "visits", "recordings", "utterances", "words", "equipment", "readings", "findings", "work"),
    *("notes", "fields", "assessments", "verdicts", "diagnoses", "corrections", "attachments", "blankings"),
    *("blanked_rows", "origins"),
}
EXEMPT = {"overview", "machines", "_sqlite_migrations"}


@pytest.fixture
def lived_in(store: Store, sound: Path, tmp_path: Path) -> Store:
    """A store with a row in every covered table."""
    visit = store.add_visit(a_visit(), {"r1": sound})
    store.correct(visit.code, "reading-1", {"value": "230"}, by="Ola", why="misheard", judge=judge)
    store.attach(visit.code, a_sound(tmp_path, "plate.jpg", b"picture"), by="Ola")
    store.blank(visit.code, Place("r1", 10.0, 10.6), by="Ola", why="private")
    with Store.open(tmp_path / "other") as other:
        brought = other.add_visit(Visit("", "", utterances=(utterance_of("a typed line"),)), {})
        bundle = other.export_bundle(brought.code, tmp_path / "visit.zip")
    store.import_bundle(bundle)
    return store


def look(folder: Path, against: str | None = None) -> VerifyReport:
    """Verify as a program would that opens the store anew, without writing to it."""
    database = open_database(folder, create=False, readonly=True)
    try:
        with database.read() as connection:
            return verify(connection, folder, against)
    finally:
        database.close()


def test_a_store_that_was_left_alone_passes(lived_in: Store) -> None:
    report = lived_in.verify()
    assert report.ok
    assert (report.lines, report.files) == (6, 2)
    assert report.head == lived_in.head()


def test_the_covered_tables_are_those_listed_and_all_hold_rows(lived_in: Store) -> None:
    connection = open_for_tampering(lived_in.folder)
    assert set(covered(connection)) == COVERED
    held = {table: connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in COVERED}
    assert all(held.values()), held
    tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    assert {table for table in tables if not table.startswith("findable")} == COVERED | EXEMPT


def test_every_change_of_every_row_is_found(lived_in: Store) -> None:
    """Hundreds of changes, each undone before the next: rows deleted, doubled, each single value altered."""
    lived_in.close()
    tried, missed = try_every_change(lived_in.folder)
    assert missed == []
    assert tried > 400
    assert look(lived_in.folder).ok


def test_every_change_of_every_file_is_found(lived_in: Store) -> None:
    tried, missed = try_every_file(lived_in.folder)
    assert (tried, missed) == (8, [])
    assert lived_in.verify().ok


def test_the_first_changed_line_is_named(lived_in: Store) -> None:
    connection = open_for_tampering(lived_in.folder)
    drop_guards(connection)
    connection.execute("UPDATE readings SET value = '12' WHERE n = 1")
    connection.execute("UPDATE corrections SET after = '12'")
    problems = lived_in.verify().problems
    of_rows = [problem for problem in problems if problem.line is not None]
    assert (of_rows[0].line, of_rows[0].place, of_rows[0].what) == (2, "readings 1", "its content was changed")
    code = lived_in.visits(site="larder")[0].code
    assert str(of_rows[0]) == f"line 2: visit {code}, readings 1: its content was changed"
    assert of_rows[1].line == 3


def test_a_guard_taken_down_is_found(lived_in: Store) -> None:
    connection = open_for_tampering(lived_in.folder)
    connection.execute("DROP TRIGGER readings_guards_delete")
    assert [problem.place for problem in lived_in.verify().problems] == ["readings_guards_delete"]


def test_a_deleted_visit_is_found(lived_in: Store) -> None:
    connection = open_for_tampering(lived_in.folder)
    back = drop_guards(connection)
    for table in (*covered_tables(connection), "words", "overview"):
        connection.execute(f"DELETE FROM {table} WHERE visit = 1")
    connection.execute("DELETE FROM ledger WHERE visit = 1")
    for statement in back:
        connection.execute(statement)
    assert not lived_in.verify().ok


def cut_tail(folder: Path) -> None:
    """Take the last line and its rows away, as if they had never been."""
    connection = open_for_tampering(folder)
    back = drop_guards(connection)
    (last,) = connection.execute("SELECT max(seq) FROM ledger").fetchone()
    connection.execute("DELETE FROM words WHERE visit IN (SELECT visit FROM visits WHERE event = ?)", [last])
    for table in covered_tables(connection):
        connection.execute(f"DELETE FROM {table} WHERE event = ?", [last])
    connection.execute("DELETE FROM ledger WHERE seq = ?", [last])
    for statement in back:
        connection.execute(statement)
    connection.close()


def rewrite(folder: Path, change: str) -> None:
    """Make a change and the whole chain anew, as somebody would who knows how it is made."""
    connection = open_for_tampering(folder)
    back = drop_guards(connection)
    connection.execute(change)
    seals: dict[int, dict[str, list[bytes]]] = {}
    for table in covered_tables(connection):
        keys = "visit" if table == "visits" else "visit, n"
        for row in connection.execute(f"SELECT * FROM {table} ORDER BY {keys}").fetchall():
            content = dict(row)
            if table == "utterances":
                words = connection.execute(
                    "SELECT * FROM words WHERE visit = ? AND utterance = ? ORDER BY n", [row["visit"], row["n"]]
                )
                content["words"] = [[word["text"], word["start"], word["end"], word["confidence"]] for word in words]
            salt = new_salt()
            seal = seal_of(table, content, salt)
            where = "visit = ?" if table == "visits" else "visit = ? AND n = ?"
            key = [row["visit"]] if table == "visits" else [row["visit"], row["n"]]
            connection.execute(f"UPDATE {table} SET salt = ?, seal = ? WHERE {where}", [salt, seal, *key])
            seals.setdefault(row["event"], {}).setdefault(table, []).append(seal)
    previous = genesis(connection.execute("SELECT value FROM about").fetchone()[0])
    for line in connection.execute("SELECT * FROM ledger ORDER BY seq").fetchall():
        digest = rows_digest({table: table_digest(some) for table, some in seals.get(line["seq"], {}).items()})
        changed = {**dict(line), "rows": digest}
        found = line_hash(changed, previous)
        connection.execute(
            'UPDATE ledger SET "rows" = ?, previous = ?, hash = ? WHERE seq = ?', [digest, previous, found, line["seq"]]
        )
        previous = found
    for statement in back:
        connection.execute(statement)
    connection.close()


def test_a_cut_tail_shows_against_a_kept_digest_only(store: Store, visit: Visit, tmp_path: Path) -> None:
    earlier = store.head()
    store.correct(visit.code, "reading-1", {"value": "230"}, by="Ola", why="misheard")
    kept = store.head()
    store.close()
    cut_tail(store.folder)
    assert look(store.folder).ok
    assert look(store.folder, earlier).ok
    report = look(store.folder, kept)
    assert "cut off" in report.problems[0].what


def test_a_rewritten_chain_shows_against_a_kept_digest_only(store: Store, visit: Visit) -> None:
    kept = store.head()
    store.close()
    rewrite(store.folder, "UPDATE readings SET value = '230' WHERE n = 0")
    assert look(store.folder).ok
    report = look(store.folder, kept)
    assert not report.ok
    assert "rewritten" in report.problems[0].what


def test_an_earlier_digest_is_found_in_a_store_that_grew(store: Store, visit: Visit) -> None:
    kept = store.head()
    store.correct(visit.code, "reading-1", {"value": "230"}, by="Ola", why="misheard")
    report = store.verify(kept[:16].upper())
    assert (report.ok, report.against_line, report.lines) == (True, 2, 3)
    for wrong in ("beef", "not a digest, surely"):
        with pytest.raises(BadInput, match="hexadecimal"):
            store.verify(wrong)


def test_each_store_has_a_head_of_its_own(tmp_path: Path) -> None:
    heads = set()
    for name in "ab":
        with Store.open(tmp_path / name) as store:
            heads.add(store.head())
    assert len(heads) == 2


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE {table} SET {column} = x'00'",
        "DELETE FROM {table}",
        "INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
    ],
)
def test_guards_refuse_changes_to_every_covered_table(lived_in: Store, statement: str) -> None:
    connection = open_for_tampering(lived_in.folder)
    for setting in ("ON", "OFF"):
        connection.execute(f"PRAGMA recursive_triggers = {setting}")
        for table in covered(connection):
            names = [column["name"] for column in connection.execute(f"PRAGMA table_info({table})")]
            column = "seal" if "seal" in names else names[-1]
            with pytest.raises(sqlite3.IntegrityError, match="what was written stays"):
                connection.execute(statement.format(table=table, column=column))
    assert missing_guards(connection) == ()


def test_values_of_a_wrong_kind_are_problems_too(store: Store, visit: Visit, tmp_path: Path) -> None:
    store.close()
    for number, change in enumerate(
        (
            "UPDATE ledger SET hash = 'text' WHERE seq = 2",
            "UPDATE ledger SET at = x'00' WHERE seq = 2",
            "UPDATE ledger SET counts = '[1' WHERE seq = 2",
            "UPDATE readings SET seal = 'text'",
            "UPDATE readings SET event = 'two'",
            "UPDATE words SET visit = 'one'",
            "UPDATE recordings SET file = x'2f00'",
            "UPDATE recordings SET file = '/etc/hostname'",
        )
    ):
        folder = copy_of(store.folder, tmp_path / f"copy{number}")
        connection = open_for_tampering(folder)
        drop_guards(connection)
        connection.execute(change)
        connection.close()
        assert not look(folder).ok, change


def test_a_visit_changed_in_memory_only_is_no_change(store: Store, visit: Visit) -> None:
    replace(visit, title="something else")
    assert store.verify().ok
