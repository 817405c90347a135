"""Visits that are still being spoken: the sound goes straight to its final place, the words into a draft.

A draft is committed utterance by utterance, so a crash loses nothing that was acknowledged; the next start finds it,
and hears again from the sound.  Storing the finished visit under the draft's id takes the draft away in the same
transaction.
"""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass, replace
from pathlib import Path

from journal.domain.ids import new_id
from journal.domain.speech import Utterance
from journal.domain.visit import Visit
from journal.errors import NotFound
from journal.keep import files, ledger
from journal.keep.failures import told_plainly
from journal.keep.holding import Holding, writable
from journal.keep.plain import from_plain, to_plain, write_json
from journal.keep.visits import sound_file

#: less free disk than this while speaking: stop aloud (about ten minutes of 16 kHz mono sound)
LOW_SPACE_BYTES = 20 << 20


@dataclass(frozen=True, slots=True)
class Draft:
    """A visit being spoken.  ``path`` is where its sound belongs; ``frame`` what was known before a word was heard."""

    id: str
    began: str
    frame: Visit
    path: Path
    utterances: tuple[Utterance, ...] = ()


class Capturing(Holding):
    """Live capture, as the store sees it."""

    def begin(self, frame: Visit, *, suffix: str = ".wav", recording: str = "r1") -> Draft:
        """Reserve a visit and the place of its sound.  Finish with ``add_visit`` under the draft's id and path."""
        files.need_space(self.folder, LOW_SPACE_BYTES)
        frame = replace(frame, id=frame.id or new_id(), status="open")
        file = sound_file(frame.id, recording, Path(f"sound{suffix}"))
        with told_plainly(self.folder):
            (self.folder / file).parent.mkdir(parents=True, exist_ok=True)
        began = ledger.now()
        with self._database.write() as db, writable():
            row = {"id": frame.id, "began": began, "frame": write_json(to_plain(frame)), "file": file}
            ledger.insert(db.conn, "drafts", [row])
        return Draft(frame.id, began, frame, self.folder / file)

    def add_to_draft(self, draft_id: str, utterance: Utterance) -> None:
        """Keep an utterance that was heard; when this returns, it survives a power cut."""
        with self._database.write() as db, writable():
            asked = "SELECT coalesce(max(n), -1) + 1 FROM draft_utterances WHERE draft = ?"
            (n,) = db.conn.execute(asked, [draft_id]).fetchone()
            row = {"draft": draft_id, "n": n, "content": write_json(to_plain(utterance))}
            ledger.insert(db.conn, "draft_utterances", [row])

    def drafts(self) -> tuple[Draft, ...]:
        """Return the visits that were begun and not finished, the oldest first."""
        with self._database.read() as connection:
            found = connection.execute("SELECT * FROM drafts ORDER BY began, id").fetchall()
            return tuple(_draft(connection, row, self.folder) for row in found)

    def abandon(self, draft_id: str) -> None:
        """Give a draft up, and its sound with it: only when somebody says so."""
        with self._database.read() as connection:
            row = connection.execute("SELECT * FROM drafts WHERE id = ?", [draft_id]).fetchone()
        if row is None:
            raise NotFound(f"There is no unfinished visit {draft_id}.")
        with self._arriving([row["file"]]), self._database.write() as db:
            db.conn.execute("DELETE FROM drafts WHERE id = ?", [draft_id])

    def low_on_space(self) -> bool:
        """True when the disk is about to be full: say so aloud and finish the recording."""
        with told_plainly(self.folder):
            return files.free_bytes(self.folder) < LOW_SPACE_BYTES


def _draft(connection: sqlite3.Connection, row: sqlite3.Row, folder: Path) -> Draft:
    asked = "SELECT content FROM draft_utterances WHERE draft = ? ORDER BY n"
    spoken = tuple(from_plain(Utterance, json.loads(found[0])) for found in connection.execute(asked, [row["id"]]))
    frame = from_plain(Visit, json.loads(row["frame"]))
    return Draft(row["id"], row["began"], frame, folder / row["file"], spoken)
