"""The store: what the rest of the journal sees of ``keep/``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from journal.domain.visit import Visit
from journal.keep import files, ledger, overview, visits
from journal.keep.corrections import current
from journal.keep.holding import writable
from journal.keep.looking import Looking
from journal.keep.revising import Revising
from journal.keep.safekeeping import Safekeeping
from journal.keep.silencing import Silencing
from journal.keep.speaking import Speaking

#: visits whose caches are made again in one transaction, so that other writers get their turn
_AT_ONCE = 100


class Store(Looking, Revising, Speaking, Silencing, Safekeeping):
    """A folder with ``journal.sqlite``, the sound below ``recordings/`` and photographs below ``attachments/``.

    Every method raises ``StoreUnusable`` when disk or database refuse, and then the store holds what it held before.
    """

    def add_visit(self, visit: Visit, sounds: Mapping[str, Path]) -> Visit:
        """Store a whole visit in one transaction, and a copy of its sound; returns it with code and file names.

        ``sounds`` maps each recording's name to the file to copy.  Ids, code, ``made``, ``file`` and ``sha256`` are
        filled where they are empty.  Raises ``BadInput`` when the visit cannot be stored as it is.
        """
        visit = visits.completed(visit, sounds)
        with self._database.read() as connection:
            visits.refuse_known(connection, visit.id)
        files.need_space(self.folder, sum(files.size_of(sound) for sound in sounds.values()))
        with self._arriving([recording.file for recording in visit.recordings]):
            visit = visits.copy_sounds(self.folder, visit, sounds)
            with self._database.write() as db, writable():
                event = ledger.next_event(db.conn)
                visit = visits.insert_visit(db.conn, visit, event)
                event.close("visit added", visit.technician or "", "")
                overview.refresh(db.conn, event.number, current(visit))
        return visit

    def rebuild_caches(self) -> int:
        """Make overview, machines and full-text search again from what is covered; return the number of visits."""
        with self._database.read() as connection:
            numbers = [row[0] for row in connection.execute("SELECT visit FROM visits ORDER BY visit")]
        for first in range(0, len(numbers), _AT_ONCE):
            with self._database.write() as db:
                for number in numbers[first : first + _AT_ONCE]:
                    overview.refresh(db.conn, number, current(visits.read_visit(db.conn, number)))
        return len(numbers)
