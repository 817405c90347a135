"""Every single change that can be made to a store behind the journal's back, one after the other."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path

from journal.keep.guards import covered_tables
from journal.keep.verifying import verify

#: what the ledger answers for beside the sealed tables
COVERED_TOO = ("ledger", "words", "about")


def covered(connection: sqlite3.Connection) -> tuple[str, ...]:
    return (*covered_tables(connection), *COVERED_TOO)


def open_for_tampering(folder: Path) -> sqlite3.Connection:
    """A connection that keeps none of the journal's rules."""
    connection = sqlite3.connect(folder / "journal.sqlite", isolation_level=None)
    connection.row_factory = sqlite3.Row
    connection.execute("PRAGMA foreign_keys = OFF")
    connection.execute("PRAGMA ignore_check_constraints = ON")
    return connection


def drop_guards(connection: sqlite3.Connection) -> list[str]:
    """Take the triggers away and return the statements that bring them back, so that only the rows give it away."""
    found = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for row in found:
        connection.execute(f'DROP TRIGGER "{row["name"]}"')
    return [row["sql"] for row in found]


def try_every_change(folder: Path, told: Callable[[int], None] = lambda _: None) -> tuple[int, list[str]]:
    """Make each change, verify, and undo it; return how many were tried, and those that were not found."""
    connection = open_for_tampering(folder)
    back = drop_guards(connection)
    for statement in back:
        connection.execute(statement)
    tried, missed = 0, []
    for done, change in list(changes(connection)):
        connection.execute("BEGIN")
        drop_guards(connection)
        before = connection.total_changes
        connection.execute(change)
        real = connection.total_changes > before
        for statement in back:
            connection.execute(statement)
        if real:  # a doubled row or a changed key may find its place taken
            tried += 1
            if verify(connection, folder).ok:
                missed.append(done)
            told(tried)
        connection.execute("ROLLBACK")
    connection.close()
    return tried, missed


def try_every_file(folder: Path) -> tuple[int, list[str]]:
    """Change each file kept beside the database in four ways; return how many were tried, and those not found."""
    tried, missed = 0, []
    for done, path, content in file_changes(folder):
        before = path.read_bytes()
        path.unlink() if content is None else path.write_bytes(content)
        connection = open_for_tampering(folder)
        tried += 1
        if verify(connection, folder).ok:
            missed.append(done)
        connection.close()
        path.write_bytes(before)
    return tried, missed


def changes(connection: sqlite3.Connection) -> Iterator[tuple[str, str]]:
    """Yield (what is done, the statement that does it): each row deleted, doubled, each of its values changed."""
    for table in covered(connection):
        columns = connection.execute(f"PRAGMA table_info({table})").fetchall()
        keys = [column["name"] for column in sorted(columns, key=lambda column: column["pk"]) if column["pk"]]
        for row in connection.execute(f"SELECT * FROM {table}").fetchall():
            where = " AND ".join(f'"{key}" = {_quoted(row[key])}' for key in keys)
            yield f"{table} {where}: deleted", f"DELETE FROM {table} WHERE {where}"
            other = {key: row[key] for key in keys} | {keys[-1]: _other(row[keys[-1]])}
            copied = ", ".join(_quoted(other.get(c["name"], row[c["name"]])) for c in columns)
            yield f"{table} {where}: doubled", f"INSERT OR IGNORE INTO {table} VALUES ({copied})"
            for column in columns:
                name = column["name"]
                changed = f'UPDATE OR IGNORE {table} SET "{name}" = {_quoted(_other(row[name]))} WHERE {where}'
                yield f"{table} {where}: {name} changed", changed


def file_changes(folder: Path) -> Iterator[tuple[str, Path, bytes | None]]:
    """Yield (what is done, file, new content or nothing for a deletion) for every file kept beside the database."""
    for path in sorted((*folder.glob("recordings/*/*"), *folder.glob("attachments/*/*"))):
        content = path.read_bytes()
        yield f"{path.name}: one bit turned", path, bytes([content[0] ^ 1]) + content[1:]
        yield f"{path.name}: cut", path, content[:-1]
        yield f"{path.name}: lengthened", path, content + b"\x00"
        yield f"{path.name}: deleted", path, None


def copy_of(folder: Path, target: Path) -> Path:
    shutil.rmtree(target, ignore_errors=True)
    return Path(shutil.copytree(folder, target))


def _other(value: object) -> object:
    """A value that is as near as can be, and not the same."""
    if value is None:
        return "something"
    if isinstance(value, int):
        return value + 1_000_003
    if isinstance(value, float):
        return value + 0.5
    if isinstance(value, bytes):
        return bytes([value[0] ^ 1]) + value[1:]
    text = str(value)
    return text[:-1] + chr(ord(text[-1]) ^ 1) if text else "x"


def _quoted(value: object) -> str:
    if value is None:
        return "NULL"
    if isinstance(value, bytes):
        return f"x'{value.hex()}'"
    if isinstance(value, int | float):
        return repr(value)
    return "'" + str(value).replace("'", "''") + "'"
