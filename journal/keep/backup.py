"""Copies of the whole store, made while it is in use, verified before they count, and brought back."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from journal.errors import BadInput, StoreUnusable
from journal.keep import files, ledger, verifying
from journal.keep.database import FILE, Database, open_database
from journal.keep.failures import told_plainly

_TRIES = 5


@dataclass(frozen=True, slots=True)
class BackupReport:
    """Where a copy lies, the digest it adds up to, how much it holds, and what ``verify`` found in it."""

    path: Path
    head: str
    visits: int
    files: int
    bytes: int
    problems: tuple[verifying.Problem, ...]

    @property
    def ok(self) -> bool:
        return not self.problems


def backup(database: Database, target: Path) -> BackupReport:
    """Copy a store into the new folder ``target`` while others go on working, and verify the copy.

    What was changed behind the journal's back is copied as it is and reported.  A crash leaves no ``target``, only a
    folder ``target.part`` that the next backup to the same place replaces.
    """
    _refuse_taken(target)
    with told_plainly(target.parent), _part_of(target) as part:
        for _ in range(_TRIES):
            shutil.rmtree(part, ignore_errors=True)
            part.mkdir(parents=True)
            files.need_space(part, (database.folder / FILE).stat().st_size)
            database.copy_to(part / FILE)
            try:
                _copy_files(database.folder, part)
            except FileNotFoundError as error:
                missing = Path(str(error.filename)).name
                continue  # blanked since the database was copied: begin again
            return _finish(part, target)
    raise StoreUnusable(
        database.folder,
        f"the file {missing} is missing, so that no whole backup can be made",
        "'journal verify' lists what is missing; bring it back from an earlier backup.",
    )


def restore(source: Path, folder: Path, *, replace: bool = False) -> BackupReport:
    """Bring a backup back as the store in ``folder``; it is verified before and after it is copied.

    An existing store is only replaced when ``replace`` says so, and then stays beside it under another name.  Raises
    ``StoreUnusable`` for a backup that is damaged or was changed.
    """
    if (folder / FILE).exists() and not replace:
        raise StoreUnusable(
            folder,
            "there is a store already",
            "Restore into another folder with --store, or say --replace: the present store is then kept beside it.",
        )
    if folder.exists() and not (folder / FILE).exists() and any(folder.iterdir()):
        raise BadInput(f"{folder} holds other things; restore into a new or empty folder.")
    database = open_database(source, create=False, readonly=True)
    try:
        with database.read() as connection:
            report = verifying.verify(connection, source)
    finally:
        database.close()
    if report.problems:
        raise StoreUnusable(
            source, f"this backup is not what was written ({report.problems[0]})", "Take an earlier backup."
        )
    with told_plainly(folder), _part_of(folder) as part:
        shutil.rmtree(part, ignore_errors=True)
        part.mkdir(parents=True)
        files.need_space(part, sum(path.stat().st_size for path in source.rglob("*") if path.is_file()))
        shutil.copyfile(source / FILE, part / FILE)
        _copy_files(source, part)
        if (folder / FILE).exists():
            _set_aside(folder)
        return _finish(part, folder)


def _finish(part: Path, target: Path) -> BackupReport:
    """Verify a copy, flush it and give it its name."""
    copy = open_database(part, create=False, readonly=True)
    try:
        with copy.read() as connection:
            report = verifying.verify(connection, part)
            (visits,) = connection.execute("SELECT count(*) FROM visits").fetchone()
    finally:
        copy.close()
    held = [path for path in part.rglob("*") if path.is_file()]
    for path in held:
        files.flush(path)
    for path in (part, *(path for path in part.rglob("*") if path.is_dir())):
        files.sync_folder(path)
    size = sum(path.stat().st_size for path in held)
    if target.exists():
        target.rmdir()  # an empty folder, as was looked at before
    part.rename(target)
    files.sync_folder(target.parent)
    return BackupReport(target, report.head, visits, report.files, size, report.problems)


def _copy_files(source: Path, part: Path) -> None:
    """Copy the files that the copied database names."""
    copy = open_database(part, create=False, readonly=True)
    try:
        with copy.read() as connection:
            named = _named_files(connection)
    finally:
        copy.close()
    for file in named:
        target = part / file
        if target.resolve().is_relative_to(part.resolve()):  # else no path of ours; 'verify' reports the row
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source / file, target)


def _named_files(connection: sqlite3.Connection) -> list[str]:
    tables = verifying.tables_with_files(connection)
    return [str(row[0]) for table in tables for row in connection.execute(f"SELECT file FROM {table}") if row[0]]


def _refuse_taken(target: Path) -> None:
    if target.exists() and not (target.is_dir() and not any(target.iterdir())):
        raise BadInput(
            f"{target} is there already; give the backup a new folder, so that an earlier one is never lost."
        )


@contextmanager
def _part_of(target: Path) -> Iterator[Path]:
    """The folder a copy grows in; it is gone afterwards, whatever happens."""
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(f"{target.name}.part")
    if part.exists() and not (part / FILE).exists() and any(part.iterdir()):
        raise BadInput(f"{part} is in the way and is no unfinished copy; move it.")
    try:
        yield part
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _set_aside(folder: Path) -> None:
    stamp = ledger.now().replace(":", "").replace("-", "")[:15]
    os.rename(folder, folder.with_name(f"{folder.name}-before-{stamp}"))  # noqa: PTH104  (the name stays a folder's)
