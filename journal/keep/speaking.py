"""A visit in the store while it is being spoken: its frame and its words, one line of the ledger an utterance.

It is ``open`` until its sound, its readings and their verdicts are appended in one transaction: from then on it has a
judging, and is ``complete``.  Nothing that was written while it was open changes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from journal.domain.speech import Utterance
from journal.domain.visit import Visit
from journal.errors import BadInput
from journal.keep import files, ledger, overview, visits
from journal.keep.corrections import current
from journal.keep.holding import Holding, writable


class Speaking(Holding):
    """Writing a visit as it is spoken.  Raises ``BadInput`` for a visit that is not open (any more)."""

    def begin_spoken(self, visit: Visit) -> Visit:
        """Store the frame of a visit and the utterances it begins with; returns it with its code.

        Its recordings and whatever is understood come with ``finish_spoken``.
        """
        visit = replace(visit, made=visit.made or ledger.now(), status=visits.SPOKEN)
        with self._database.write() as db, writable():
            event = ledger.next_event(db.conn)
            visit = visits.insert_frame(db.conn, visit, event)
            visits.add_utterances(event, visit.utterances)
            event.close("began to be spoken", visit.technician or "", "")
            visit = replace(visit, status=visits.OPEN)
            overview.refresh(db.conn, event.number, visit)
        return visit

    def add_spoken(self, visit_id: str, utterances: Sequence[Utterance]) -> None:
        """Append utterances to an open visit; when this returns they outlast a power cut."""
        with self._database.write() as db, writable():
            number = visits.number_of(db.conn, visit_id)
            if not visits.is_open(db.conn, number):
                raise BadInput("That visit is not being spoken any more.")
            event = ledger.next_event(db.conn, number)
            visits.add_utterances(event, tuple(utterances))
            event.close(ledger.SPOKEN, "", "")

    def finish_spoken(self, visit: Visit, sounds: Mapping[str, Path]) -> Visit:
        """Append all that an open visit lacks: its sound, the rest of its words, readings, verdicts, corrections.

        Its first utterances have to be those that were stored; ``sounds`` as in ``Store.add_visit``.
        """
        visit = visits.completed(visit, sounds)
        files.need_space(self.folder, sum(files.size_of(sound) for sound in sounds.values()))
        with self._arriving([recording.file for recording in visit.recordings]):
            visit = visits.copy_sounds(self.folder, visit, sounds)
            with self._database.write() as db, writable():
                number = visits.number_of(db.conn, visit.id)
                known = visits.read_utterances(db.conn, number)
                if not visits.is_open(db.conn, number) or visit.utterances[: len(known)] != known:
                    raise BadInput(f"The visit {visit.id} is not the one that was being spoken.")
                event = ledger.next_event(db.conn, number)
                visits.add_parts(event, replace(visit, utterances=visit.utterances[len(known) :]))
                visits.add_assessment(event, visit.verdicts, visit.diagnoses, visit.cautions)
                event.close("visit added", visit.technician or "", "")
                visit = visits.read_visit(db.conn, number)
                overview.refresh(db.conn, number, current(visit))
        return visit
