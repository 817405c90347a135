"""The store: what the rest of the journal sees of ``keep/``."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import TracebackType

from journal.domain.verdict import Outcome
from journal.domain.visit import Recording, Visit
from journal.errors import BadInput, NotFound, StoreUnusable
from journal.keep import files, ledger, overview, search, visits
from journal.keep.database import Database, open_database
from journal.keep.failures import told_plainly
from journal.keep.migrations import migrate
from journal.keep.plain import NotPlain


class Store:
    """A folder with ``journal.sqlite`` and the sound below ``recordings/``.

    Every method raises ``StoreUnusable`` when disk or database refuse, and then the store holds what it held before.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        self.folder = database.folder

    @classmethod
    def open(cls, folder: Path, *, create: bool = True) -> Store:
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

    def __enter__(self) -> Store:
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

    def add_visit(self, visit: Visit, sounds: Mapping[str, Path]) -> Visit:
        """Store a whole visit in one transaction, and a copy of its sound; returns it with code and file names.

        ``sounds`` maps each recording's name to the file to copy.  Ids, code, ``made``, ``file`` and ``sha256`` are
        filled where they are empty.  Raises ``BadInput`` when the visit cannot be stored as it is.
        """
        visit = visits.completed(visit, sounds)
        with self._database.read() as connection:
            visits.refuse_known(connection, visit.id)
        files.need_space(self.folder, sum(files.size_of(sound) for sound in sounds.values()))
        with self._arriving(visit.recordings):
            visit = visits.copy_sounds(self.folder, visit, sounds)
            with self._database.write() as db, _writable():
                event = ledger.next_event(db.conn)
                visit = visits.insert_visit(db.conn, visit, event)
                assert event.visit is not None
                event.close("visit added", visit.technician or "", "")
                overview.refresh(db.conn, event.visit, visit)
        return visit

    def visit(self, code_or_prefix: str) -> Visit:
        """Return a visit by its short code or a unique beginning of its UUID.

        Raises ``NotFound``, and ``BadInput`` for a beginning that several ids share.
        """
        with self._database.read() as connection:
            return visits.read_visit(connection, visits.number_of(connection, code_or_prefix))

    def visits(
        self,
        *,
        text: str | None = None,
        since: str | None = None,
        until: str | None = None,
        site: str | None = None,
        technician: str | None = None,
        equipment: str | None = None,
        outcome: Outcome | None = None,
        doubtful: bool | None = None,
        open: bool | None = None,
        limit: int | None = None,
    ) -> list[overview.VisitSummary]:
        """Return the visits that fit every filter given, the latest first; ``search.Wanted`` explains the filters."""
        wanted = search.Wanted(text, since, until, site, technician, equipment, outcome, doubtful, open, limit)
        with self._database.read() as connection:
            return search.find(connection, wanted)

    def sound_path(self, visit: Visit, recording_name: str) -> Path:
        """Return the file of a recording.  Raises ``NotFound`` for another name, ``StoreUnusable`` when it is gone."""
        for recording in visit.recordings:
            if recording.name == recording_name:
                path = self.folder / recording.file
                if not path.is_file():
                    raise StoreUnusable(
                        self.folder,
                        f"the sound {recording.file} is missing",
                        "Bring it back from a backup with 'journal restore'; the words are still there.",
                    )
                return path
        names = ", ".join(recording.name for recording in visit.recordings) or "none"
        raise NotFound(f"The visit {visit.code} has no recording {recording_name!r}; it has: {names}.")

    @contextlib.contextmanager
    def _arriving(self, recordings: tuple[Recording, ...]) -> Iterator[None]:
        with told_plainly(self.folder):
            paths = [recording.file for recording in recordings]
            if paths:
                with files.arriving(self.folder, paths, self._names_file):
                    yield
            else:
                yield

    def _names_file(self, file: str) -> bool:
        """Whether the database names a file below the store's folder as one to keep."""
        visit_id = Path(file).parent.name
        with self._database.read() as connection:
            asked = "SELECT 1 FROM recordings r JOIN visits v ON v.visit = r.visit WHERE v.id = ? AND r.file = ?"
            return bool(connection.execute(asked, [visit_id, file]).fetchone())


@contextlib.contextmanager
def _writable() -> Iterator[None]:
    """Say plainly that a value cannot be written down (infinity, half a character)."""
    try:
        yield
    except NotPlain as error:
        raise BadInput(f"Something in the visit cannot be stored: {error}.") from None
