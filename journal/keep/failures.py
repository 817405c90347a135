"""What the disk and SQLite say when they cannot go on, turned into one sentence with the way out."""

from __future__ import annotations

import errno
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from journal.errors import StoreUnusable

_FULL = ("the disk is full", "Free some space and run the same command again; what the store held is untouched.")
_READ_ONLY = (
    "the disk is read-only, so nothing can be added",
    "Choose another place with --store, or make the disk writable; what the store holds can still be read.",
)
_DENIED = ("this user may not write there", "Change the folder's permissions, or choose another place with --store.")
_BUSY = ("another program is writing to it", "Wait until that has finished and run the same command again.")
_DAMAGED = ("the database in it is damaged", "Keep it as it is, and bring back the last backup with 'journal restore'.")
_NO_DATABASE = (
    "journal.sqlite in it is not a database of this journal, and was left untouched",
    "Choose another folder with --store, or move that file away.",
)
_DISK = ("the disk reports an error", "Check the disk, then bring back the last backup with 'journal restore'.")

_LEAST_ROOM = 64 << 10

#: what stands in SQLite's message -> what to say; the first that fits
_SQLITE = (
    ("disk is full", _FULL),
    ("readonly database", _READ_ONLY),
    ("unable to open", _DENIED),
    ("locked", _BUSY),
    ("busy", _BUSY),
    ("not a database", _NO_DATABASE),
    ("malformed", _DAMAGED),
    ("disk i/o error", _DISK),
)
_ERRNO = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EROFS: _READ_ONLY,
    errno.EACCES: _DENIED,
    errno.EPERM: _DENIED,
    errno.EIO: _DISK,
}


def explain(error: Exception, folder: Path) -> StoreUnusable:
    """Return the sentence for an ``OSError`` or ``sqlite3.Error`` met while working on the store in ``folder``."""
    if isinstance(error, OSError):
        fallback = (error.strerror or "the disk refused").lower(), "Check the folder, then run the same command again."
        return StoreUnusable(folder, *_ERRNO.get(error.errno or 0, fallback))
    said = str(error)
    for part, sentence in _SQLITE:
        if part in said.lower():
            full = sentence in (_DISK, _DENIED) and _no_room(folder)
            return StoreUnusable(folder, *(_FULL if full else sentence))
    return StoreUnusable(folder, f"the database refused ({said})", "What the store held before is untouched.")


def _no_room(folder: Path) -> bool:
    """SQLite calls a full disk an I/O error when not even its index of the write-ahead log fits."""
    try:
        return shutil.disk_usage(folder).free < _LEAST_ROOM
    except OSError:
        return False


@contextmanager
def told_plainly(folder: Path) -> Iterator[None]:
    """Turn what SQLite and the disk raise inside the block into ``StoreUnusable``."""
    try:
        yield
    except (OSError, sqlite3.Error) as error:
        raise explain(error, folder) from error


def no_database(folder: Path) -> StoreUnusable:
    """Return the sentence for a journal.sqlite that is something else."""
    return StoreUnusable(folder, *_NO_DATABASE)


def disk_full(folder: Path) -> StoreUnusable:
    """Return the sentence for want of space seen before anything was written."""
    return StoreUnusable(folder, *_FULL)


def read_only(folder: Path) -> StoreUnusable:
    """Return the sentence for a write to a store that was opened for reading only."""
    return StoreUnusable(folder, *_READ_ONLY)
