"""Handing visits on and keeping the store safe: bundles, backups."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path

from journal.domain.visit import Attachment, Recording, Visit
from journal.errors import BadInput, NotFound
from journal.keep import backup, bundle, carrying, files, ledger, overview, typed, visits
from journal.keep.carrying import Carried, ImportReport
from journal.keep.corrections import current
from journal.keep.failures import told_plainly
from journal.keep.holding import Holding, writable

#: the ledger's line about a customer's copy that holds more than usual
RELEASED = "released to the customer"


class Safekeeping(Holding):
    """What goes out of the store and comes back."""

    def backup(self, target: Path) -> backup.BackupReport:
        """Copy the whole store into a new folder, while it is in use, and verify the copy."""
        return backup.backup(self._database, target)

    def export_bundle(self, code: str, target: Path, extras: Mapping[str, bytes] | None = None) -> Path:
        """Write a visit with its sound as one zip file; ``extras`` are pages and captions to go with it.

        The file appears whole or not at all.  Raises ``StoreUnusable`` when a sound is missing.
        """
        with self._database.read() as connection:
            carried = carrying.carry_out(connection, code)
        parts: tuple[Recording | Attachment, ...] = (*carried.visit.recordings, *carried.visit.attachments)
        sources = {part.file: self._kept_file(part.file) for part in parts}
        with told_plainly(target.parent):
            handle, unfinished = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}-")
            try:
                with os.fdopen(handle, "w+b") as out:
                    bundle.write_bundle(carried, sources, extras or {}, out)
                files.flush(Path(unfinished))
                Path(unfinished).chmod(0o644)
                Path(unfinished).replace(target)
            finally:
                Path(unfinished).unlink(missing_ok=True)
        return target

    def record_release(self, code: str, released: Collection[str], *, form: str, sha256: str, by: str) -> None:
        """Write down that a customer's copy let out what it usually does not hold.

        ``released``: the names of what was let out; ``form``: html, pdf...; ``sha256``: of the copy, so that it is
        known again.  Raises ``BadInput`` without a name or anything released, ``StoreUnusable`` for a read-only store:
        what cannot be written down is not let out.
        """
        by = typed.line("The name of who releases", by)
        if not by or not released:
            raise BadInput("A release says who lets out what.")
        with self._database.write() as db, writable():
            event = ledger.next_event(db.conn, visits.number_of(db.conn, code))
            event.close(RELEASED, by, f"{', '.join(sorted(released))}; {form}, SHA-256 {sha256}")

    def import_bundle(self, path: Path, *, by: str = "") -> ImportReport:
        """Bring in the visit of a bundle; the same bundle a second time changes nothing.

        A visit that grew elsewhere is brought up to date; one that was changed here and there is left alone and the
        differences are reported.  Raises ``BadInput`` for a damaged or hostile bundle, which is refused whole.
        """
        with bundle.open_bundle(path) as opened:
            visit = _placed(opened.carried.visit)
            theirs = replace(opened.carried, visit=visit)
            files.need_space(self.folder, opened.files_bytes)
            while (report := self._import(opened, theirs, by)) is None:
                pass  # somebody changed the visit while its files were copied: look again
            return report

    def _import(self, opened: bundle.Bundle, theirs: Carried, by: str) -> ImportReport | None:
        ours = self._ours(theirs.visit.id)
        if ours is not None:
            outcome, differences = carrying.compare(ours, theirs)
            if outcome != "extended":
                return ImportReport(outcome, ours.visit.code, ours.visit.id, differences)
        new = _new_files(ours, theirs, opened.carried)
        with self._arriving(list(new)):
            for file, name in new.items():
                target = self.folder / file
                target.parent.mkdir(parents=True, exist_ok=True)
                opened.copy(name, target)
                files.made_here(target)
            with self._database.write() as db, writable():
                if self._ours(theirs.visit.id) != ours:
                    return None
                if ours is None:
                    written = carrying.write_new(db.conn, theirs, by)
                else:
                    number = visits.number_of(db.conn, theirs.visit.id)
                    written = carrying.write_more(db.conn, number, ours, theirs, by)
                overview.refresh(db.conn, visits.number_of(db.conn, written.id), current(written))
        return ImportReport("added" if ours is None else "extended", written.code, written.id)

    def _ours(self, visit_id: str) -> Carried | None:
        with self._database.read() as connection:
            try:
                return carrying.carry_out(connection, visit_id)
            except NotFound:
                return None


def _placed(visit: Visit) -> Visit:
    """Give the files of a visit from a bundle their places in this store; nothing of its own paths is used."""
    sounds = {part.name: Path(part.file) for part in visit.recordings}
    attachments = tuple(
        replace(part, file=f"attachments/{visit.id}/{Path(part.file).name}") for part in visit.attachments
    )
    return replace(visits.completed(visit, sounds), attachments=attachments)


def _new_files(ours: Carried | None, theirs: Carried, packed: Carried) -> dict[str, str]:
    """Where each file this store lacks goes -> its name in the bundle."""
    have: set[str] = set()
    if ours is not None:
        have = {part.name for part in ours.visit.recordings} | {part.name for part in ours.visit.attachments}
    new: dict[str, str] = {}
    for placed, part in zip(theirs.visit.recordings, packed.visit.recordings, strict=True):
        if part.name not in have:
            new[placed.file] = part.file
    for kept, paper in zip(theirs.visit.attachments, packed.visit.attachments, strict=True):
        if paper.name not in have:
            new[kept.file] = paper.file
    return new
