"""Triggers that keep covered tables append-only, made anew after every migration.

They stop this program's mistakes and honest tools; whoever may write the file can drop them, which ``verify`` reports.
"""

from __future__ import annotations

import sqlite3

#: covered beside every table that has a seal
_ALSO = ("ledger", "words", "about")
_REFUSED = "only new rows may be added here; what was written stays"


def covered_tables(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Return the sealed tables, in a fixed order."""
    found = connection.execute(
        "SELECT m.name FROM sqlite_master m JOIN pragma_table_info(m.name) c ON c.name = 'seal'"
        " WHERE m.type = 'table' ORDER BY m.name"
    )
    return tuple(row[0] for row in found)


def guards(connection: sqlite3.Connection) -> dict[str, str]:
    """Return the trigger statements that belong to the present schema, by name."""
    sealed = covered_tables(connection)
    wanted: dict[str, str] = {}
    for table in (*sealed, *_ALSO):
        keys = _keys(connection, table)
        blanking = _blanking(table, "blanked_rows" in sealed)
        for verb, condition in (
            ("INSERT", f"EXISTS (SELECT 1 FROM {table} WHERE {_same(keys, 'NEW')})"),
            ("UPDATE", f"NOT ({blanking})" if blanking else "1"),
            ("DELETE", "1"),
        ):
            name = f"{table}_guards_{verb.lower()}"
            wanted[name] = (
                f"CREATE TRIGGER {name} BEFORE {verb} ON {table} WHEN {condition} "
                f"BEGIN SELECT RAISE(ABORT, '{table}: {_REFUSED}'); END"
            )
    return wanted


def put_up_guards(connection: sqlite3.Connection) -> None:
    """Drop every trigger of the journal and make those that belong to the present schema."""
    for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        connection.execute(f'DROP TRIGGER "{name}"')
    for statement in guards(connection).values():
        connection.execute(statement)


def take_down_guards(connection: sqlite3.Connection) -> None:
    """Drop the triggers for a migration that rewrites tables; ``put_up_guards`` follows in its transaction."""
    for name in guards(connection):
        connection.execute(f'DROP TRIGGER IF EXISTS "{name}"')


def missing_guards(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Return the names of triggers that should be there and are not, or read differently."""
    there = {row[0]: row[1] for row in connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")}
    return tuple(name for name, sql in guards(connection).items() if there.get(name) != sql)


def _keys(connection: sqlite3.Connection, table: str) -> list[str]:
    info = connection.execute(f"PRAGMA table_info({table})").fetchall()
    return [row[1] for row in sorted(info, key=lambda row: row[5]) if row[5]]


def _same(keys: list[str], row: str) -> str:
    return " AND ".join(f"{key} = {row}.{key}" for key in keys)


def _blanking(table: str, possible: bool) -> str:
    """The one change that is allowed: of a row that a blanking, already written, names; its seal and place stay."""
    if not possible or table in ("ledger", "about", "blankings", "blanked_rows"):
        return ""
    named = "EXISTS (SELECT 1 FROM blanked_rows b WHERE b.visit = OLD.visit AND b.tab = '{}' AND b.row = {}{})"
    if table == "words":
        return "NEW.visit = OLD.visit AND NEW.utterance = OLD.utterance AND NEW.n = OLD.n AND " + named.format(
            "utterances", "OLD.utterance", ""
        )
    place = "0" if table == "visits" else "OLD.n"
    same_place = "NEW.visit = OLD.visit" + ("" if table == "visits" else " AND NEW.n = OLD.n")
    unchanged = f"{same_place} AND NEW.event = OLD.event AND NEW.seal = OLD.seal AND NEW.blanked IS NOT NULL AND "
    return unchanged + named.format(table, place, " AND b.blanking = NEW.blanked")
