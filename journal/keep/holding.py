"""What every part of the store rests on: the open database, its files, and reading one visit."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

from journal.domain.visit import Visit
from journal.errors import BadInput, NotFound, StoreUnusable
from journal.keep import files, ledger, visits
from journal.keep.database import Database, open_database
from journal.keep.failures import told_plainly
from journal.keep.migrations import migrate
from journal.keep.plain import NotPlain


class Holding:
    """An open store.  Every method raises ``StoreUnusable`` when disk or database refuse."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self.folder = database.folder

    @classmethod
    def open(cls, folder: Path, *, create: bool = True) -> Self:
        """Open the store in ``folder``; with ``create`` a missing one is made.

        Raises ``StoreUnusable`` for a folder without store (unless ``create``), a file that is no store, a newer store,
        a damaged one; none of them is changed.
        """
        database = open_database(folder, create=create)
        try:
            migrate(database)
            store = cls(database)
            if not database.readonly:
                with told_plainly(folder):
                    files.sweep(folder, store._names_file)
        except BaseException:
            database.close()
            raise
        return store

    def close(self) -> None:
        """Close the store; it can be opened again."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def readonly(self) -> bool:
        """True when the store lies where nothing can be written."""
        return self._database.readonly

    def head(self) -> str:
        """Return the digest (64 hexadecimal digits) that everything in the store adds up to."""
        with self._database.read() as connection:
            return ledger.head(connection).hex()

    def visit(self, code_or_prefix: str) -> Visit:
        """Return a visit as it was written, with its corrections listed and its last verdicts.

        ``code_or_prefix``: the short code, or a unique beginning of the UUID.  ``corrections.current`` applies the
        corrections.  Raises ``NotFound``, and ``BadInput`` for a beginning that several ids share.
        """
        with self._database.read() as connection:
            return visits.read_visit(connection, visits.number_of(connection, code_or_prefix))

    def sound_path(self, visit: Visit, recording_name: str) -> Path:
        """Return the file of a recording.  Raises ``NotFound`` for another name, ``StoreUnusable`` when it is gone."""
        for recording in visit.recordings:
            if recording.name == recording_name:
                return self._kept_file(recording.file)
        names = ", ".join(recording.name for recording in visit.recordings) or "none"
        raise NotFound(f"The visit {visit.code} has no recording {recording_name!r}; it has: {names}.")

    def attachment_path(self, visit: Visit, name: str) -> Path:
        """Return the file of a photograph or paper.  Raises as ``sound_path`` does."""
        for attachment in visit.attachments:
            if attachment.name == name:
                return self._kept_file(attachment.file)
        names = ", ".join(attachment.name for attachment in visit.attachments) or "none"
        raise NotFound(f"The visit {visit.code} has no attachment {name!r}; it has: {names}.")

    def _kept_file(self, file: str) -> Path:
        path = self.folder / file
        if not path.resolve().is_relative_to(self.folder.resolve()) or not path.is_file():
            remedy = "Bring it back from a backup with 'journal restore'; the words are still there."
            raise StoreUnusable(self.folder, f"the file {file} is missing", remedy)
        return path

    @contextlib.contextmanager
    def _arriving(self, paths: Sequence[str]) -> Iterator[None]:
        """Files on their way in or out, as ``files.arriving``; nothing to announce without files."""
        with told_plainly(self.folder), contextlib.ExitStack() as stack:
            if paths:
                stack.enter_context(files.arriving(self.folder, paths, self._names_file))
            yield

    def _names_file(self, file: str) -> bool:
        """Whether the database names a file below the store's folder as one to keep."""
        visit_id = Path(file).parent.name
        with self._database.read() as connection:
            asked = (
                "SELECT 1 FROM visits v JOIN recordings r ON r.visit = v.visit WHERE v.id = :id AND r.file = :file"
                " UNION ALL SELECT 1 FROM visits v JOIN attachments a ON a.visit = v.visit"
                " WHERE v.id = :id AND a.file = :file"
            )
            return bool(connection.execute(asked, {"id": visit_id, "file": file}).fetchone())


@contextlib.contextmanager
def writable() -> Iterator[None]:
    """Say plainly that a value cannot be written down (infinity, half a character, a number beyond 64 bits)."""
    try:
        yield
    except (NotPlain, OverflowError, sqlite3.InterfaceError) as error:
        raise BadInput(f"Something in the visit cannot be stored: {error}.") from None
