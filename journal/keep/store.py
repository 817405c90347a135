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


class Store(Looking, Revising, Safekeeping):
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
