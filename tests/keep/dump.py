"""Write a store's database as SQL text, for ``stores/``: one file for each released schema.

``python -m tests.keep.dump STORE > tests/keep/stores/NNN_name.sql`` before a new step is added; ``load`` builds it
again.
"""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Iterator
from pathlib import Path


def dump(database: Path) -> Iterator[str]:
    """Yield the statements that make the database again, the full-text table and its words included."""
    connection = sqlite3.connect(database)
    objects = connection.execute(
        "SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'"
    ).fetchall()
    virtual = [name for kind, name, sql in objects if sql.startswith("CREATE VIRTUAL")]
    shadow = {f"{name}_{part}" for name in virtual for part in ("data", "idx", "content", "docsize", "config")}
    yield f"PRAGMA application_id = {connection.execute('PRAGMA application_id').fetchone()[0]};"
    tables = [(name, sql) for kind, name, sql in objects if kind == "table" and name not in shadow]
    for name, sql in tables:
        yield f"{sql};"
        columns = [row[1] for row in connection.execute(f"PRAGMA table_info({name})")]
        columns = ["rowid", *columns] if name in virtual else columns
        quoted = ", ".join(f'quote("{column}")' for column in columns)
        for row in connection.execute(f'SELECT {quoted} FROM "{name}"'):
            named = ", ".join(f'"{column}"' for column in columns)
            yield f'INSERT INTO "{name}" ({named}) VALUES ({", ".join(row)});'
    for kind, _, sql in objects:
        if kind in ("index", "trigger"):
            yield f"{sql};"
    connection.close()


def load(script: Path, folder: Path) -> None:
    """Build a store's database from a dump, in WAL mode as the journal leaves it."""
    folder.mkdir(parents=True)
    connection = sqlite3.connect(folder / "journal.sqlite")
    connection.executescript(script.read_text(encoding="utf-8"))
    connection.execute("PRAGMA journal_mode = WAL")
    connection.close()


if __name__ == "__main__":
    print("\n".join(dump(Path(sys.argv[1]) / "journal.sqlite")))
