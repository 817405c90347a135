"""Utterances go into the store as they end, from a thread of its own: a busy store holds up nobody who speaks."""

from __future__ import annotations

import queue
import threading
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from journal.domain.speech import Utterance
from journal.errors import JournalError
from journal.live.events import Event

if TYPE_CHECKING:
    from journal.domain.visit import Visit
    from journal.keep import Store
    from journal.live.capture import Capture


@dataclass(slots=True)
class _Row:
    """One capture's visit in the store: what waits to be written, how much is written."""

    waiting: list[Utterance] = field(default_factory=list)
    written: int = 0
    began: bool = False


class Shelf:
    """Writes for all captures; what cannot be written now is tried again with the next utterance and at the end."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._rows: dict[str, _Row] = {}
        self._lock = threading.Lock()
        self._queue: queue.SimpleQueue[tuple[Capture, Visit] | threading.Event | None] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None

    def known(self, capture_id: str, written: int) -> None:
        """A visit that is in the store already, with so many utterances."""
        self._rows[capture_id] = _Row(written=written, began=True)

    def add(self, capture: Capture, frame: Visit, utterance: Utterance) -> None:
        """Have an utterance written; ``frame`` is the visit without its parts.  Returns at once."""
        with self._lock:
            self._rows.setdefault(capture.id, _Row()).waiting.append(utterance)
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="shelf", daemon=True)
                self._thread.start()
        self._queue.put((capture, frame))

    def settle(self, timeout: float = 10.0) -> None:
        """Wait until everything handed in so far was written or refused."""
        if self._thread is not None:
            done = threading.Event()
            self._queue.put(done)
            done.wait(timeout)

    def began(self, capture_id: str) -> bool:
        """Return whether the store knows the visit."""
        with self._lock:
            return capture_id in self._rows and self._rows[capture_id].began

    def forget(self, capture_id: str) -> None:
        with self._lock:
            self._rows.pop(capture_id, None)

    def close(self) -> None:
        """Write what waits and stop."""
        if self._thread is not None:
            self._queue.put(None)
            self._thread.join(10)

    def _run(self) -> None:
        while (item := self._queue.get()) is not None:
            if isinstance(item, threading.Event):
                item.set()
            else:
                self._write(*item)

    def _write(self, capture: Capture, frame: Visit) -> None:
        with self._lock:
            row = self._rows.get(capture.id)
            new = tuple(row.waiting) if row else ()
        if row is None or not new:
            return
        try:
            if row.began:
                self._store.add_spoken(capture.id, new)
            else:
                self._store.begin_spoken(replace(frame, utterances=new))
        except JournalError as error:
            capture.tell(Event("trouble", f"The words wait to be stored: {error} The sound is kept."))
            return
        with self._lock:
            row.began = True
            row.written += len(new)
            del row.waiting[: len(new)]
        capture.tell(Event("stored", str(row.written)))
