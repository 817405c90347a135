"""The steps from an empty file to the present schema, each a named file of ``schema/``.

All steps a store lacks run in one transaction with the record of them; a store that holds visits is copied first.
Released steps are never changed: a change is a new step.
"""

from __future__ import annotations

import datetime as dt
import os
import sqlite3
from collections.abc import Callable, Iterator
from importlib import resources
from pathlib import Path

import sqlite_utils
from sqlite_utils.migrations import Migrations

from journal.domain.ids import new_id
from journal.errors import StoreUnusable
from journal.keep.database import Database
from journal.keep.failures import told_plainly
from journal.keep.guards import put_up_guards, take_down_guards
from journal.keep.ledger import first_line

_SET = "journal"
STEPS = ("001_visits", "002_corrections")


def migrate(database: Database) -> tuple[str, ...]:
    """Bring a store to the present schema and return the steps taken.

    Raises ``StoreUnusable`` when the store was made by a newer journal, or is old and cannot be written.
    """
    with database.read() as connection:
        done = applied(connection)
    if unknown := [name for name in done if name not in STEPS]:
        raise StoreUnusable(
            database.folder,
            f"it was made by a newer version of the journal (step {unknown[0]})",
            "Install that version or a later one; nothing was changed.",
        )
    if list(done) == list(STEPS):
        return ()
    if database.readonly:
        raise StoreUnusable(
            database.folder,
            "it was made by an older version of the journal and cannot be brought up to date on a read-only disk",
            "Copy the folder to a disk that can be written, and name the copy with --store.",
        )
    if done and _holds_visits(database):
        _copy_first(database, done[-1])
    return _take_steps(database)


def applied(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Return the names of the steps a database has gone through, in order."""
    if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = ?", [Migrations.migrations_table]).fetchone():
        return ()
    found = connection.execute(
        f"SELECT name FROM {Migrations.migrations_table} WHERE migration_set = ? ORDER BY name", [_SET]
    )
    return tuple(row[0] for row in found)


def _take_steps(database: Database) -> tuple[str, ...]:
    steps = Migrations(_SET)
    for name in STEPS:
        steps(name=name)(_step(name))
    with database.write() as db:
        before = applied(db.conn)  # asked again: another process may have been quicker
        if before:
            take_down_guards(db.conn)
        steps.apply(db)
        put_up_guards(db.conn)
        if not db.execute("SELECT 1 FROM about").fetchone():
            first_line(db.conn, new_id())
    return tuple(name for name in STEPS if name not in before)


def _step(name: str) -> Callable[[sqlite_utils.Database], None]:
    def run(db: sqlite_utils.Database) -> None:
        for statement in statements(name):
            db.conn.execute(statement)

    return run


def statements(name: str) -> Iterator[str]:
    """Yield the SQL statements of a step; ``executescript`` would commit behind our back."""
    text = resources.files("journal.keep").joinpath("schema", f"{name}.sql").read_text(encoding="utf-8")
    statement = ""
    for line in text.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


def _holds_visits(database: Database) -> bool:
    with database.read() as connection:
        return bool(connection.execute("SELECT EXISTS (SELECT 1 FROM visits)").fetchone()[0])


def _copy_first(database: Database, step: str) -> Path:
    """Leave a copy of the database beside it, named after the schema it has, and return its path."""
    now = dt.datetime.now(tz=dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    target = database.folder / f"before-update-{step}-{now}.sqlite"
    unfinished = target.with_suffix(".part")
    with told_plainly(database.folder):
        unfinished.unlink(missing_ok=True)
        database.copy_to(unfinished)
        os.replace(unfinished, target)  # noqa: PTH105  (Path.replace is patched as one with os in tests)
    return target
