"""The store's way of taking out what must not stay: words, sound and parts, in one transaction; see ``blanking``."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from journal.domain.ids import new_id
from journal.domain.visit import Blanking, Visit
from journal.errors import BadInput, NotFound
from journal.keep import files, ledger, overview, rows, typed, visits
from journal.keep.blanking import Place, blank_rows, purge_search, seconds_of, take
from journal.keep.corrections import Judge, current, with_steady_ids
from journal.keep.holding import Holding, writable

#: silence(source, target, start, end): writes a recording again with those seconds silent
Silencer = Callable[[Path, Path, float, float], None]


class Silencing(Holding):
    """Blanking, which is open to signed-off visits too."""

    def blank(
        self,
        code: str,
        place: Place | None = None,
        *,
        parts: Sequence[str] = (),
        by: str,
        why: str,
        silence: Silencer | None = None,
        suffix: str = ".flac",
        judge: Judge | None = None,
    ) -> Visit:
        """Take out words (and what rests on them), their sound, or ``parts`` by id; a marker stays, ``verify`` passes.

        ``silence(source, target, start, end)`` writes the recording again with those seconds silent, into a file with
        the ending ``suffix``; without it the sound stays as it is.  Copies and backups made earlier are not touched.
        """
        by, why = typed.line("The name of who asks", by), typed.line("The reason", why, typed.TEXT)
        if not by or not why:
            raise BadInput("A blanking says who asks for it and why; the reason stays readable.")
        if place is None and not parts:
            raise BadInput("Say what to blank: seconds of a recording, words of an utterance, or parts by their id.")
        before = self.visit(code)
        if before.status == visits.OPEN and not before.recordings:
            raise BadInput(f"The visit {before.code} is still being spoken; finish it first.")
        seconds = seconds_of(before, place) if place else None
        sound = _sound_to_silence(before, place, suffix) if silence and seconds and place else None
        photographs = [attachment.file for attachment in before.attachments if attachment.id in parts]
        with self._arriving([*photographs, *((sound.old, sound.new) if sound else ())]):
            fresh = {}
            if sound and silence and seconds:
                silence(self.folder / sound.old, self.folder / sound.new, *seconds)
                fresh = {sound.n: {"file": sound.new, "sha256": files.made_here(self.folder / sound.new)}}
            with self._database.write() as db, writable():
                number = visits.number_of(db.conn, code)
                taken = take(db.conn, number, place, parts)
                if taken.nothing and not fresh:
                    raise NotFound("There is nothing to blank at that place.")
                event = ledger.next_event(db.conn, number)
                what = " and ".join(["words"] * bool(taken.words) + ["sound"] * bool(fresh)) or "parts of the record"
                start, end = seconds or (None, None)
                recording = place.recording if place else ""
                marker = Blanking(recording, start, end, what, by, event.at, why, new_id())
                n = visits.next_n(event, "blankings")
                event.add("blankings", [rows.BLANKING.row(marker, visit=number, n=n)])
                blank_rows(event, n, taken, fresh)
                self._judge_blanked(event, number, judge)
                event.close("blanked", by, why)
                after = visits.read_visit(db.conn, number)
                overview.refresh(db.conn, number, current(after))
                purge_search(db.conn)
        self._database.tidy()
        return after

    @staticmethod
    def _judge_blanked(event: ledger.Event, number: int, judge: Judge | None) -> None:
        """Judge what is left, or at least drop what rested on the blanked parts and keep the rest."""
        left = visits.read_visit(event.connection, number)
        made = with_steady_ids(left, judge(current(left)) if judge else left)
        visits.add_assessment(event, made.verdicts, made.diagnoses, made.cautions)


@dataclass(frozen=True, slots=True)
class _Sound:
    n: int
    old: str
    new: str


def _sound_to_silence(visit: Visit, place: Place, suffix: str) -> _Sound:
    for n, recording in enumerate(visit.recordings):
        if recording.name == place.recording:
            old = Path(recording.file)
            return _Sound(
                n, recording.file, str(old.with_name(f"{files.fit_name(recording.name)}-{new_id()[-6:]}{suffix}"))
            )
    raise NotFound(f"The visit {visit.code} has no recording {place.recording!r}.")
