"""All captures of this process: begun, found again after a crash, finished into the store.

Each lies in a folder of its own below ``live/`` in the store's folder until its visit is in the store; only then is the
folder removed.  The visit's id is given at the beginning, so that finishing twice makes one visit.
"""

from __future__ import annotations

import datetime as dt
import shutil
import threading
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from journal.domain.ids import new_id
from journal.domain.reading import Evidence
from journal.domain.speech import Utterance
from journal.domain.visit import Equipment, Note, Recording, Visit
from journal.errors import BadInput, JournalError, NotFound
from journal.keep import typed
from journal.live.capture import Capture, ListenerOf
from journal.live.events import Event
from journal.live.frames import Kind
from journal.live.hearing import Mark, Snapshot
from journal.live.notebook import Notebook, first_narration
from journal.live.second import Second
from journal.live.shelf import Shelf
from journal.live.sound_log import NAME, SoundLog, read_frames
from journal.live.stretches import Stretch, Stretches
from journal.pipeline import Frame as VisitFrame
from journal.pipeline import Rules, compose

if TYPE_CHECKING:
    from journal.keep import Store

FOLDER = "live"
OPEN = "open"  # the status of a visit that is being spoken
BEFORE_MARK = 5.0  # seconds played before a marked moment


@dataclass(frozen=True, slots=True)
class Found:
    """A folder that could not be taken up again, with the sentence that says why."""

    folder: Path
    why: str


class Captures:
    """Begins, finds and finishes captures; safe to use from several threads."""

    def __init__(
        self, store: Store, rules: Rules, listener_of: ListenerOf, model_name: str, second: Second | None = None
    ) -> None:
        self.store = store
        self.folder = store.folder / FOLDER
        self._rules = rules
        self._listener_of = listener_of
        self._model_name = model_name
        self._second = second
        self._shelf = Shelf(store)
        self._lock = threading.RLock()
        self._open: dict[str, Capture] = {}
        self._finished: dict[str, Visit | None] = {}
        self._threads: list[threading.Thread] = []  # finishing what somebody said was finished
        self._finishing: dict[str, threading.Lock] = {}

    def begin(
        self,
        *,
        capture_id: str | None = None,
        technician: str | None = None,
        title: str = "",
        site: str | None = None,
        machine: str = "",
        owner: str = "",
    ) -> Capture:
        """Begin a visit; ``owner`` is the user whose it is.

        A device that began without a connection brings its own ``capture_id`` (a UUID); beginning it again returns what
        goes on.  Raises ``BadInput`` for an id that is taken or none, ``StoreUnusable`` when the disk refuses.
        """
        title, site = typed.line("The title", title), typed.line("The site", site or "") or None
        machine = typed.line("The machine", machine)
        about = {
            "id": _checked(capture_id) if capture_id else new_id(),
            "technician": technician,
            "title": title,
            "site": site,
            "machine": machine,
            "owner": owner,
            "began": _now(),
            "model": self._model_name,
            "second": self._second.name if self._second else "",
        }
        with self._lock:
            if (going := self._open.get(str(about["id"]))) is not None:
                if going.about.get("owner", "") != owner:
                    raise BadInput("That capture belongs to somebody else.")
                return going
            return self._take_up(SoundLog.create(self.folder / str(about["id"]), about))

    def recover(self) -> list[Found]:
        """Take up every capture that a crash or a restart left behind; returns those that cannot be."""
        broken = []
        for path in sorted(self.folder.glob(f"*/{NAME}")):
            with self._lock:
                if path.parent.name in self._open:
                    continue
                try:
                    self._take_up(SoundLog.reopen(path.parent))
                except (JournalError, OSError) as error:
                    broken.append(Found(path.parent, str(error)))
        return broken

    def get(self, capture_id: str) -> Capture:
        """Return an open capture.  Raises ``NotFound``."""
        with self._lock:
            if capture_id in self._open:
                return self._open[capture_id]
        raise NotFound("That capture is over or was never begun; the list of visits shows what is kept.")

    def finished(self, capture_id: str) -> Visit | None:
        """Return the visit a capture became, if it did in this process."""
        return self._finished.get(capture_id)

    def open(self) -> tuple[Capture, ...]:
        """Return the captures that go on, the latest first."""
        with self._lock:
            return tuple(sorted(self._open.values(), key=lambda capture: capture.id, reverse=True))

    def finish(self, capture_id: str) -> Visit | None:
        """Hear what is left, put the visit into the store and remove the folder; ``None`` when nothing was ever said.

        Twice at once is once.  Raises ``NotFound`` and ``StoreUnusable``; then the sound is still where it was.
        """
        with self._lock:
            lock = self._finishing.setdefault(capture_id, threading.Lock())
        with lock:
            if capture_id in self._finished:
                return self._finished[capture_id]
            capture = self.get(capture_id)
            capture.finish()
            visit = self._store(capture)
            with self._lock:
                self._finished[capture_id] = visit
                del self._open[capture_id]
            self._shelf.forget(capture_id)
            capture.log.close()
            shutil.rmtree(capture.log.folder, ignore_errors=True)
            capture.tell(Event("finished", visit.code if visit else ""))
            return visit

    def close(self) -> None:
        """Stop hearing; what is not finished is taken up at the next start."""
        for capture in self.open():
            capture.hurry()
        for thread in self._threads:
            thread.join(60)  # the store is closed next
        for capture in self.open():
            capture.interrupt(timeout=5)
            capture.log.close()
        self._shelf.close()
        if self._second is not None:
            self._second.close()

    def _take_up(self, log: SoundLog) -> Capture:
        about = log.about
        equipment = (Equipment(about["machine"]),) if about.get("machine") else ()
        by = str(about.get("technician") or about.get("owner") or "technician")
        names = self.store.known_names()
        again = first_narration(equipment, names) if self._second else None
        notebook = Notebook(self._rules, first_narration(equipment, names), by, again)
        stored = self._stored(str(about["id"]))
        if stored is not None:
            self._shelf.known(str(about["id"]), len(stored.utterances))
        capture = Capture(
            log,
            self._listener_of,
            notebook,
            known=stored.utterances if stored else (),
            kept=self._keep,
            second=self._second,
        )
        capture.watch(lambda event: self._finish_soon(capture) if event.kind == "finish" else None)
        with self._lock:
            self._open[capture.id] = capture
        capture.start()
        return capture

    def _finish_soon(self, capture: Capture) -> None:
        """Finish from a thread of its own: the one that heard the wish has to hear the rest."""

        def run() -> None:
            try:
                self.finish(capture.id)
            except (JournalError, OSError) as error:
                capture.tell(Event("trouble", f"The visit could not be stored: {error} Its sound is kept."))

        thread = threading.Thread(target=run, name=f"finishing {capture.id}", daemon=True)
        self._threads.append(thread)
        thread.start()

    def _store(self, capture: Capture) -> Visit | None:
        snapshot = capture.snapshot
        if not snapshot.stretches:
            return None
        self._shelf.settle()
        stored = self._stored(capture.id)
        if stored is not None and stored.status != OPEN:
            return stored  # a crash came between storing and removing
        sounds = write_sounds(capture.log.folder, snapshot.stretches)
        visit = visit_of(capture.about, snapshot, capture.hearing.notebook)
        return self.store.finish_spoken(visit, sounds) if stored else self.store.add_visit(visit, sounds)

    def _stored(self, capture_id: str) -> Visit | None:
        try:
            return self.store.visit(capture_id)
        except NotFound:
            return None

    def _keep(self, capture: Capture, utterance: Utterance) -> None:
        """Have an utterance written into the open visit; called by the thread that heard it."""
        self._shelf.add(capture, frame_of(capture.about, capture.hearing.stretches.all[0]), utterance)


def frame_of(about: dict[str, Any], first: Stretch) -> Visit:
    """What is known of a visit while it is being spoken."""
    return Visit(
        id=about["id"], code="", status=OPEN, started=_moment(first.began), started_from="given", made=_now(),
        title=about.get("title") or "", technician=about.get("technician"), site=about.get("site"),
        listened_with=_listeners(about),
    )  # fmt: skip


def _listeners(about: dict[str, Any]) -> tuple[str, ...]:
    return tuple(filter(None, (str(about.get("model") or ""), str(about.get("second") or ""))))


def visit_of(about: dict[str, Any], snapshot: Snapshot, notebook: Notebook) -> Visit:
    """Put a visit together from a capture that is over."""
    started = _moment(snapshot.stretches[0].began)
    frame = VisitFrame(about.get("title") or "", about.get("technician"), about.get("site"), started)
    recordings = [
        Recording(
            name=stretch.name, file="", original_name=f"{stretch.name}.flac", sha256="", seconds=stretch.seconds,
            rate=16_000, channels=1, model=about.get("model") or "", started=_moment(stretch.began),
            started_from="given",
        )
        for stretch in snapshot.stretches
    ]  # fmt: skip
    understanding, corrections = notebook.told()
    heard = snapshot.utterances + snapshot.again
    visit = compose(frame, recordings, heard, understanding, listened_with=_listeners(about))
    return replace(visit, id=about["id"], notes=visit.notes + tuple(_notes(snapshot)), corrections=corrections)


def write_sounds(folder: Path, stretches: Sequence[Stretch]) -> dict[str, Path]:
    """Write each stretch of a log as a FLAC file beside it and return the files by recording."""
    from journal.hear.sound_file import write_flac

    files = {}
    for stretch in stretches:
        files[stretch.name] = folder / f"{stretch.name}.flac"
        write_flac(files[stretch.name], sound_of(folder, stretch.name))
    return files


def sound_of(folder: Path, name: str) -> Iterator[NDArray[np.int16]]:
    """Yield the samples of one recording of a log, as they were kept."""
    stretches = Stretches()
    for frame in read_frames(folder):
        stretch, _ = stretches.take(frame)
        if stretch is not None and frame.kind is Kind.SOUND and stretch.name == name:
            yield frame.samples


def _notes(snapshot: Snapshot) -> Iterator[Note]:
    if missed := snapshot.behind + snapshot.unheard:
        whole = missed + len(snapshot.again)
        text = (
            f"The second listener had not heard {missed} of about {whole} utterances when the visit was finished; "
            "readings in them rest on one listener."
        )
        yield Note("second listener", text)
    for gap in snapshot.gaps:
        yield Note("gap in the sound", gap.sentence)
    for stretch in snapshot.stretches:
        for since, until in stretch.paused:
            text = f"Paused by the technician from {since:.0f} s to {until:.0f} s of {stretch.name}; not kept."
            yield Note("pause", text)
    for mark in snapshot.marks:
        yield Note("marked moment", f"Marked at {mark.second:.0f} s of {mark.recording}.", _around(mark))


def _around(mark: Mark) -> Evidence:
    start = max(0.0, mark.second - BEFORE_MARK)
    return Evidence(mark.recording, 0, 0, 0, start, max(mark.second, start), "marked")


def _checked(capture_id: str) -> str:
    try:
        return str(uuid.UUID(capture_id))
    except ValueError:
        raise BadInput("The device gave its capture an id that is no UUID; reload the page.") from None


def _moment(milliseconds: float) -> str:
    return dt.datetime.fromtimestamp(milliseconds / 1000, tz=dt.UTC).isoformat(timespec="seconds")


def _now() -> str:
    return dt.datetime.now(tz=dt.UTC).isoformat(timespec="seconds")
