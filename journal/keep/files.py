"""The files of a store: sound and photographs below ``recordings/`` and ``attachments/``.

A file comes in under its final, new name, is flushed to the disk, and only then do the rows that name it become
visible.  A note in ``incoming/`` says which files are on their way; what a crash left behind is told from what is kept
by asking the database, when the store is next opened for writing.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import shutil
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from journal.domain.ids import new_id
from journal.errors import BadInput
from journal.keep.failures import disk_full, told_plainly

if sys.platform != "win32":
    import fcntl

_CHUNK = 1 << 20
#: kept free beside the files themselves, for rows, log and temporary pages
SPARE_BYTES = 16 << 20
_STALE_SECONDS = 3600
_UNFIT = re.compile(r"[^A-Za-z0-9._-]+")


Named = Callable[[str], bool]


@contextmanager
def arriving(folder: Path, files: Sequence[str], named: Named) -> Iterator[None]:
    """Announce that ``files`` (paths below ``folder``) are being written or given up.

    The block writes them and commits the rows that name them.  Afterwards, and when it fails, files that the database
    does not name are removed; when the process dies in it, ``sweep`` does that.
    """
    notes = folder / "incoming"
    notes.mkdir(parents=True, exist_ok=True)
    unfinished = notes / f"{new_id()}.part"
    note = unfinished.with_suffix(".json")
    with unfinished.open("x", encoding="utf-8") as held:
        try:
            _lock(held)
            json.dump(list(files), held)
            _flush(held)
            unfinished.rename(note)  # only now does a sweep see it, and it is locked
            sync_folder(notes)
            yield
        finally:
            with contextlib.suppress(OSError):
                unfinished.unlink(missing_ok=True)
            # Should the database itself not answer, the note stays for the next sweep.
            _settle(folder, files, named)
            with contextlib.suppress(OSError):
                note.unlink(missing_ok=True)


def sweep(folder: Path, named: Named) -> list[str]:
    """Remove what crashed arrivals left behind: their files that the database does not name.  Returns their paths."""
    gone: list[str] = []
    for begun in (folder / "incoming").glob("*.part"):
        with contextlib.suppress(FileNotFoundError):  # a note that never said anything, if it is not just being written
            if time.time() - begun.stat().st_mtime > _STALE_SECONDS:
                begun.unlink()
    for note in sorted((folder / "incoming").glob("*.json")):
        with contextlib.suppress(FileNotFoundError), note.open("r+", encoding="utf-8") as held:
            if _lock(held):  # else somebody is still at it
                gone += _settle(folder, json.load(held), named)
                note.unlink(missing_ok=True)
    return gone


def _settle(folder: Path, files: Sequence[str], named: Named) -> list[str]:
    unwanted = [file for file in files if not named(file)]
    for file in unwanted:
        remove(folder, file)
    return unwanted


def copy_in(source: Path, folder: Path, file: str) -> str:
    """Copy ``source`` to ``file`` below ``folder``, flushed to the disk, and return its SHA-256 (hexadecimal).

    Never overwrites.  Raises ``BadInput`` for a source that is not there, ``OSError`` when the disk refuses.
    """
    target = folder / file
    try:
        reading = source.open("rb")
    except OSError as error:
        raise BadInput(f"{source} cannot be read ({(error.strerror or '').lower()}); check the path.") from None
    with reading:
        target.parent.mkdir(parents=True, exist_ok=True)
        digest = hashlib.sha256()
        with target.open("xb") as writing:
            while chunk := reading.read(_CHUNK):
                digest.update(chunk)
                writing.write(chunk)
            _flush(writing)
    sync_folder(target.parent)
    sync_folder(target.parent.parent)
    return digest.hexdigest()


def made_here(path: Path) -> str:
    """Flush a file that was written in its place and return its SHA-256."""
    flush(path)
    sync_folder(path.parent)
    return sha256_of(path)


def flush(path: Path) -> None:
    """Flush a file that is written and closed."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def remove(folder: Path, file: str) -> None:
    """Remove a file and the folder it leaves empty; it may already be gone."""
    with contextlib.suppress(OSError):
        (folder / file).unlink()
    with contextlib.suppress(OSError):
        (folder / file).parent.rmdir()


def sha256_of(path: Path) -> str:
    """Return a file's SHA-256 in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def need_space(folder: Path, wanted: int) -> None:
    """Raise ``StoreUnusable`` when the disk has no room for ``wanted`` bytes and the rows that go with them."""
    with told_plainly(folder):
        if free_bytes(folder) < wanted + SPARE_BYTES:
            raise disk_full(folder)


def free_bytes(folder: Path) -> int:
    """Return the room on the disk that holds ``folder`` or will hold it."""
    there = next(place for place in (folder, *folder.parents) if place.exists())
    return shutil.disk_usage(there).free


def size_of(source: Path) -> int:
    """Return a file's size, or say that it is not there."""
    try:
        if not source.is_file():
            raise BadInput(f"{source} is not a file; name the file itself.")
        return source.stat().st_size
    except OSError as error:
        raise BadInput(f"{source} cannot be read ({(error.strerror or '').lower()}); check the path.") from None


def fit_name(name: str) -> str:
    """Return ``name`` as a harmless file name."""
    return _UNFIT.sub("-", name).strip(".-")[:80] or "file"


def suffix_of(name: str) -> str:
    """Return a file's ending, if it is a harmless one."""
    suffix = Path(name).suffix.lower()
    return suffix if re.fullmatch(r"\.[a-z0-9]{1,8}", suffix) else ""


def sync_folder(folder: Path) -> None:
    """Flush a folder, so that the names in it survive a power cut (where the system can do that)."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _flush(file: IO[bytes] | IO[str]) -> None:
    file.flush()
    os.fsync(file.fileno())


def _lock(file: IO[str]) -> bool:
    """Hold a note while its arrival lives.  Windows removes no open file, which serves as well."""
    if sys.platform == "win32":
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
