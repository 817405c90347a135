"""Every connection to ``journal.sqlite``: one writer, any number of readers that cannot write.

WAL, so readers never wait; foreign keys and recursive triggers on; ``BEGIN IMMEDIATE``, so a writer knows at once
whether it may; ``synchronous=FULL``, so what was acknowledged survives a power cut; ``secure_delete``, so what was
blanked is gone from the file. Each sqlite-utils call commits by itself unless a transaction is open: ``write()`` opens
the one transaction.
"""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

import sqlite_utils

from journal.errors import StoreUnusable
from journal.keep.failures import explain, no_database, read_only, told_plainly

FILE = "journal.sqlite"
#: 'VsJn': tells our databases from other programs'
APPLICATION_ID = 0x56734A6E
BUSY_MS = 10_000
_MAGIC = b"SQLite format 3\x00"


class Database:
    """The connections to one store.  Threads may share it: writes queue up, each thread has its own reader."""

    def __init__(self, folder: Path, *, readonly: bool, immutable: bool = False) -> None:
        self.folder = folder
        self.path = folder / FILE
        self.readonly = readonly
        self._immutable = immutable
        self._lock = threading.RLock()
        self._local = threading.local()
        self._opened: list[sqlite3.Connection] = []
        self._writer: sqlite_utils.Database | None = None
        self._writing_thread: int | None = None
        if not readonly:
            self._writer = sqlite_utils.Database(self._connect("rwc"), execute_plugins=False)
            self._make_ours(self._writer.conn)

    @contextmanager
    def write(self) -> Iterator[sqlite_utils.Database]:
        """One transaction: all of the block is kept, or none of it.  Raises ``StoreUnusable``."""
        if self._writer is None:
            raise read_only(self.folder)
        with self._lock, told_plainly(self.folder):
            if self._writer.conn.in_transaction:
                raise RuntimeError("a write is one transaction; it cannot hold another")
            self._writer.conn.execute("BEGIN IMMEDIATE")
            self._writing_thread = threading.get_ident()
            try:
                yield self._writer
                self._writer.conn.execute("COMMIT")
            except BaseException:
                self._writer.rollback()
                raise
            finally:
                self._writing_thread = None

    @contextmanager
    def read(self) -> Iterator[sqlite3.Connection]:
        """One consistent look at the store; sees its own thread's unfinished write.  Raises ``StoreUnusable``."""
        if self._writer is not None and self._writing_thread == threading.get_ident():
            yield self._writer.conn
            return
        with told_plainly(self.folder):
            connection = self._reader()
            connection.execute("BEGIN")
            try:
                yield connection
            finally:
                connection.execute("COMMIT")

    def tidy(self) -> None:
        """Write the log back into the file and empty it, so that nothing blanked lingers there."""
        with self._lock, told_plainly(self.folder):
            if self._writer is not None:
                self._writer.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    def copy_to(self, target: Path) -> None:
        """Write a consistent copy of the whole database while others go on working."""
        with told_plainly(self.folder):
            copy = sqlite3.connect(target)
            try:
                self._reader().backup(copy)  # in one step: in WAL mode a reader holds up no writer
                copy.execute("PRAGMA journal_mode = DELETE")
            finally:
                copy.close()

    def close(self) -> None:
        """Close every connection; the last one to leave empties the log."""
        for connection in reversed(self._opened):  # the writer, which was first, has to be the last
            connection.close()
        self._opened.clear()

    @staticmethod
    def _make_ours(connection: sqlite3.Connection) -> None:
        """Sign a new file before it goes over to WAL, so that the signature stands in the file from the start."""
        if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute("PRAGMA journal_mode = WAL")

    def _reader(self) -> sqlite3.Connection:
        connection: sqlite3.Connection | None = getattr(self._local, "reader", None)
        if connection is None:
            connection = self._local.reader = self._connect("ro")
        return connection

    def _connect(self, mode: str) -> sqlite3.Connection:
        name = f"file:{quote(str(self.path))}?mode={mode}" + ("&immutable=1" if self._immutable else "")
        connection = sqlite3.connect(name, uri=True, isolation_level=None, check_same_thread=False)
        connection.row_factory = sqlite3.Row
        for pragma in (
            f"busy_timeout = {BUSY_MS}",
            "foreign_keys = ON",
            "recursive_triggers = ON",
            "synchronous = FULL",
            "secure_delete = ON",
            "cache_size = -16000",
        ):
            connection.execute(f"PRAGMA {pragma}")
        self._opened.append(connection)
        return connection


def open_database(folder: Path, *, create: bool, readonly: bool = False) -> Database:
    """Open the database in ``folder``: for writing where the disk allows it, else (or with ``readonly``) for reading.

    A file that is not ours is refused before anything touches it.  Raises ``StoreUnusable``.
    """
    path = folder / FILE
    try:
        if not path.exists():
            if not create:
                remedy = "'journal ingest FILE' makes one, or name another with --store."
                raise StoreUnusable(folder, "there is no store", remedy)
            folder.mkdir(parents=True, exist_ok=True)
        elif not _is_ours(path):
            raise no_database(folder)
        if path.exists() and (readonly or not (os.access(path, os.W_OK) and os.access(folder, os.W_OK))):
            return _open_read_only(folder)
        return Database(folder, readonly=False)
    except (OSError, sqlite3.Error) as error:
        raise explain(error, folder) from error


def _open_read_only(folder: Path) -> Database:
    """Open a store on a medium that cannot be written.  What waits in its log would be missed, so that is refused."""
    log = folder / f"{FILE}-wal"
    if log.exists() and log.stat().st_size:
        raise StoreUnusable(
            folder,
            "it lies on a read-only disk and was not closed properly before it came there",
            "Copy the whole folder to a disk that can be written, and name the copy with --store.",
        )
    return Database(folder, readonly=True, immutable=True)


def _is_ours(path: Path) -> bool:
    """Look at a file's header without opening it as a database: an empty file counts as a new store."""
    if not path.is_file():
        return False
    with path.open("rb") as file:
        head = file.read(100)
    if not head:
        return True
    if len(head) < 100 or not head.startswith(_MAGIC):
        return False
    # Bytes 68..71 of the header are the application id (SQLite file format, section 1.3.17); a crash in the first
    # moment of a new store leaves it 0 in a file without tables.
    application = int.from_bytes(head[68:72], "big")
    return application == APPLICATION_ID or (application == 0 and _has_no_tables(path))


def _has_no_tables(path: Path) -> bool:
    """Look into a database without touching it or anything beside it."""
    if path.with_name(f"{FILE}-wal").exists():
        return False
    connection = sqlite3.connect(f"file:{quote(str(path))}?mode=ro&immutable=1", uri=True)
    try:
        return bool(connection.execute("SELECT count(*) = 0 FROM sqlite_master").fetchone()[0])
    except sqlite3.DatabaseError:
        return False
    finally:
        connection.close()
