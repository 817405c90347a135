"""Everything that happens to a visit after it was first written; nothing that was written changes.

Each method is one line of the ledger and one transaction: the correction, the verdicts made again, the caches.  The
judging runs before the transaction, on the visit as it will stand; should somebody else have changed the visit
meanwhile, it runs again.
"""

from __future__ import annotations

import mimetypes
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from journal.domain.ids import new_id
from journal.domain.reading import Evidence, Reading
from journal.domain.visit import Attachment, Correction, Recording, Visit
from journal.errors import BadInput, StoreUnusable
from journal.keep import files, ledger, overview, rows, typed, visits
from journal.keep.corrections import OVERRULED, Judge, Judged, current, plan, with_steady_ids
from journal.keep.holding import Holding, writable

_TRIES = 5
CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Revision:
    """What is about to be added to a visit: new parts, in a visit that holds nothing else, and their files."""

    parts: Visit
    sources: Mapping[str, Path] = field(default_factory=dict)  # path below the store's folder -> file to copy
    judged: Judged | None = None


class Revising(Holding):
    """The changes people and later recordings make.  All raise ``BadInput`` or ``NotFound`` for what cannot be."""

    def correct(
        self, code: str, target: str, changes: Mapping[str, str], *, by: str, why: str, judge: Judge | None = None
    ) -> Visit:
        """Put something right: fields of a reading, finding, work, note or field (``target``: its id) or of the visit.

        ``changes`` maps fields to their new text (see ``corrections``); ``judge`` makes the verdicts again, the old
        ones stay.  Returns the visit with its corrections listed.
        """
        if "status" in changes:
            raise BadInput("A visit is closed by signing it off, not by a correction.")

        def planned(visit: Visit) -> Revision:
            made = plan(visit, target, changes, by=by, why=why, at=ledger.now())
            return Revision(_only(visit, corrections=made))

        return self._revise(code, "corrected", by, "", planned, judge)  # the reason stands in the correction

    def overrule(self, code: str, target: str, says: str, *, by: str, why: str) -> Visit:
        """Say what holds instead of a verdict or diagnosis; both stay."""
        return self.correct(code, target, {OVERRULED: says}, by=by, why=why)

    def add_reading(
        self,
        code: str,
        reading: Reading,
        *,
        by: str,
        why: str,
        moment: tuple[str, float] | None = None,
        judge: Judge | None = None,
    ) -> Visit:
        """Add a reading by hand, with the moment it belongs to: recording name and seconds from its start."""
        if not by.strip() or not why.strip():
            raise BadInput("A reading added by hand says who adds it and why.")
        typed.possible(reading)

        def planned(visit: Visit) -> Revision:
            evidence = _moment(visit, *moment) if moment else reading.evidence
            added = replace(reading, id=new_id(), heard_by=(f"by hand: {by}",), evidence=evidence)
            return Revision(_only(visit, readings=(added,)))

        return self._revise(code, "reading added by hand", by, why, planned, judge)

    def extend(
        self,
        code: str,
        more: Visit,
        sounds: Mapping[str, Path] | None = None,
        *,
        by: str,
        why: str = "",
        judge: Judge | None = None,
    ) -> Visit:
        """Append a later recording, typed notes, findings, fields: whatever parts ``more`` holds.

        Its frame (id, title, site...) is not looked at.  A machine known by name is told apart from a new one: what
        ``more`` knows of it besides becomes a correction.  Without ``judge``, verdicts in ``more`` are taken as a new
        judging.  A closed visit takes none of this.
        """
        sounds = sounds or {}
        typed.entered(more)

        def planned(visit: Visit) -> Revision:
            _refuse_closed(visit)
            if clash := {r.name for r in visit.recordings} & {r.name for r in more.recordings}:
                raise BadInput(f"The visit has a recording {min(clash)} already; give the new one another name.")
            parts = replace(visits.completed(replace(more, id=visit.id), sounds), code=visit.code)
            held, new = {m.name for m in visit.equipment}, {m.name for m in more.equipment}
            facts = _machine_corrections(visit, more, by or "journal")
            parts = replace(
                parts,
                equipment=tuple(m for m in more.equipment if m.name in new - held),
                corrections=(*more.corrections, *facts),
            )
            files.need_space(self.folder, sum(files.size_of(sound) for sound in sounds.values()))
            judged = more if more.verdicts or more.diagnoses or more.cautions else None
            return Revision(parts, {r.file: sounds[r.name] for r in parts.recordings}, judged)

        return self._revise(code, "extended", by, why, planned, judge)

    def attach(self, code: str, file: Path, *, by: str, caption: str = "", at: str | None = None) -> Visit:
        """Keep a copy of a photograph or paper with the visit.  ``at``: when it was taken (UTC), if that is known."""
        size = files.size_of(file)
        caption = typed.line("The caption", caption)
        files.need_space(self.folder, size)

        def planned(visit: Visit) -> Revision:
            _refuse_closed(visit)
            name = f"a{len(visit.attachments) + 1}"
            kept = f"attachments/{visit.id}/{name}-{new_id()[-6:]}{files.suffix_of(file.name)}"
            media = mimetypes.guess_type(file.name)[0] or "application/octet-stream"
            taken = at or ledger.now()
            made = Attachment(name, kept, file.name, "", size, media, caption, by, taken, new_id())
            return Revision(_only(visit, attachments=(made,)), {kept: file})

        return self._revise(code, "attached", by, "", planned, None)

    def sign_off(self, code: str, *, by: str, why: str = "signed off") -> Visit:
        """Close a visit: from now on it takes corrections, blankings and readings by hand, each with its reason."""

        def planned(visit: Visit) -> Revision:
            _refuse_closed(visit)
            return Revision(
                _only(visit, corrections=plan(visit, visit.id, {"status": CLOSED}, by=by, why=why, at=ledger.now()))
            )

        return self._revise(code, "signed off", by, "", planned, None)

    def reassess(self, code: str, judge: Judge, *, by: str = "journal", why: str = "judged again") -> Visit:
        """Make the verdicts again (other limits, a newer journal); the old ones stay."""
        return self._revise(code, "judged again", by, why, lambda visit: Revision(_only(visit)), judge)

    def note(self, action: str, *, by: str, why: str = "") -> None:
        """Write one line about the store itself: who came in, who was given access, what was taken along."""
        with self._database.write() as db, writable():
            ledger.next_event(db.conn).close(action, by, why)

    def _revise(
        self, code: str, action: str, by: str, why: str, planned: Callable[[Visit], Revision], judge: Judge | None
    ) -> Visit:
        by, why = typed.line("The name of who does it", by), typed.line("The reason", why, typed.TEXT)
        for _ in range(_TRIES):
            with self._database.read() as connection:
                number = visits.number_of(connection, code)
                seen = ledger.last_of(connection, number)
                before = visits.read_visit(connection, number)
            revision = planned(before)
            after = _joined(before, revision.parts)
            judged = judge(current(after)) if judge else revision.judged
            with self._arriving(list(revision.sources)):
                parts = _copied(self.folder, revision)
                with self._database.write() as db, writable():
                    if ledger.last_of(db.conn, number) != seen:
                        continue
                    event = ledger.next_event(db.conn, number)
                    visits.add_parts(event, parts)
                    if judged is not None:
                        made = with_steady_ids(before, judged)
                        visits.add_assessment(event, made.verdicts, made.diagnoses, made.cautions)
                    event.close(action, by, why)
                    after = visits.read_visit(db.conn, number)
                    overview.refresh(db.conn, number, current(after))
                    return after
        raise StoreUnusable(self.folder, "somebody else keeps changing this visit", "Try again in a moment.")


def _only(visit: Visit, **parts: Any) -> Visit:
    """A visit that holds nothing but new parts."""
    return Visit(visit.id, visit.code, **parts)


def _joined(visit: Visit, more: Visit) -> Visit:
    both: dict[str, Any] = {name: getattr(visit, name) + getattr(more, name) for name in (*rows.PARTS, "utterances")}
    for name in visits.ENTERED:
        visits.with_ids(both[name])  # refuses an id that is there already
    return replace(visit, **both)


def _refuse_closed(visit: Visit) -> None:
    if current(visit).status == CLOSED:
        raise BadInput(f"The visit {visit.code} is signed off; it takes corrections with a reason, nothing else.")
    if visit.status == visits.OPEN and not visit.recordings:
        raise BadInput(f"The visit {visit.code} is still being spoken; finish it first.")


def _moment(visit: Visit, recording: str, seconds: float) -> Evidence:
    if recording not in {r.name for r in visit.recordings}:
        raise BadInput(f"The visit has no recording {recording!r} this moment could belong to.")
    (length,) = [r.seconds for r in visit.recordings if r.name == recording]
    if not 0 <= seconds <= length:
        raise BadInput(f"The recording {recording} is {length:.1f} seconds long; {seconds:g} s is not in it.")
    spoken = [u for u in visit.utterances if u.recording == recording and u.start <= seconds]
    return Evidence(recording, spoken[-1].index if spoken else 0, 0, 0, seconds, seconds, "")


def _machine_corrections(visit: Visit, more: Visit, by: str) -> tuple[Correction, ...]:
    """What a later recording tells of machines already in the visit."""
    now = current(visit)
    known = {machine.name: machine for machine in now.equipment}
    told: dict[str, str] = {}
    for machine in more.equipment:
        old = known.get(machine.name)
        if old is None:
            continue
        for name in ("type", "maker", "model", "serial", "refrigerant", "charge", "charge_unit", "location", "use"):
            new = getattr(machine, name)
            if new is not None and new != getattr(old, name):
                told[f"equipment/{machine.name}/{name}"] = str(new)
    return plan(visit, visit.id, told, by=by, why="told later in the visit", at=ledger.now()) if told else ()


def _copied(folder: Path, revision: Revision) -> Visit:
    """Copy the files of new parts in and return the parts with the files' hashes."""
    digests = {file: files.copy_in(source, folder, file) for file, source in revision.sources.items()}

    def hashed(part: Recording | Attachment) -> Any:
        digest = digests[part.file]
        if part.sha256 and part.sha256 != digest:
            raise BadInput(f"{revision.sources[part.file]} changed after it was heard; run the command again.")
        return replace(part, sha256=digest)

    parts = revision.parts
    return replace(
        parts,
        recordings=tuple(hashed(part) for part in parts.recordings),
        attachments=tuple(hashed(part) for part in parts.attachments),
    )
