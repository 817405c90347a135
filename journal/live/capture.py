"""One visit being spoken: frames come in, are put on disk, heard in a thread, and understood.

``take`` runs on the side of the connection and returns once the frames are on the disk; the hearing thread does the
rest and tells those who ``watch``.  What has been understood is read from ``snapshot``, replaced and never changed.
"""

from __future__ import annotations

import contextlib
import queue
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from journal.domain.speech import Utterance
from journal.errors import JournalError
from journal.hear.recogniser import Recogniser
from journal.live.events import Event
from journal.live.frames import Flag, Frame, Kind
from journal.live.hearing import Hearing, Snapshot
from journal.live.notebook import Notebook
from journal.live.second import Second
from journal.live.sound_log import SoundLog

PATIENCE = 20.0  # seconds a finished visit waits for the second listener

Watcher = Callable[[Event], None]
ListenerOf = Callable[[str], Recogniser]


@dataclass(frozen=True, slots=True)
class _Item:
    """A frame as it is on the disk, and its sound as it came in, which differs while paused."""

    frame: Frame
    heard: Frame


@dataclass(frozen=True, slots=True)
class _Again:
    """What the second listener made of an utterance."""

    utterance: Utterance
    again: Utterance | None
    heard: bool


class Capture:
    """A capture with its log, its hearing thread and those who watch it."""

    def __init__(
        self,
        log: SoundLog,
        listener_of: ListenerOf,
        notebook: Notebook,
        *,
        known: Sequence[Utterance] = (),
        kept: Callable[[Capture, Utterance], None] | None = None,
        second: Second | None = None,
    ) -> None:
        """``known``: utterances of it that are in the store; ``kept`` is called with each that is not."""
        self.id: str = log.about["id"]
        self.about: dict[str, Any] = log.about
        self.log = log
        self.second = second
        self.hearing = Hearing(
            listener_of,
            notebook,
            self.tell,
            known=known,
            kept=(lambda utterance: kept(self, utterance)) if kept else None,
            second=self._ask_second if second else None,
        )
        self.trouble: str = ""
        self._inbox: queue.SimpleQueue[_Item | _Again | None] = queue.SimpleQueue()
        self._watchers: list[Watcher] = []
        self._disk = threading.Lock()
        self._ended = threading.Event()
        self._closing = False
        self._hurry = False
        self._interrupted = False
        self._left_behind = log.next_number
        self._thread = threading.Thread(target=self._run, name=f"hearing {self.id}", daemon=True)

    def start(self) -> None:
        """Begin to hear; what a crash left in the log is heard first."""
        self._thread.start()

    @property
    def snapshot(self) -> Snapshot:
        return self.hearing.snapshot

    @property
    def next_number(self) -> int:
        """The number of the first frame that is not on the disk yet."""
        return self.log.next_number

    def take(self, frames: Sequence[Frame]) -> int:
        """Put frames on the disk, hand them to the hearing, and return the number of the next one wanted.

        Frames that are there already are dropped; behind a missing one nothing is taken.  Raises ``StoreUnusable`` when
        the disk refuses; then nothing of it was taken.
        """
        with self._disk:
            if self._closing:
                return self.log.next_number
            fresh: list[_Item] = []
            number = self.log.next_number
            for frame in frames:
                if frame.number == number:
                    fresh.append(self._item(frame))
                    number += 1
            try:
                self.log.append([item.frame for item in fresh])
            except JournalError as error:
                self.trouble = str(error)
                self.tell(Event("trouble", text=str(error)))
                raise
            self.trouble = ""
            for item in fresh:
                self._inbox.put(item)
            return self.log.next_number

    def watch(self, watcher: Watcher) -> Callable[[], None]:
        """Call ``watcher`` from the hearing thread at every event; returns how to stop that."""
        self._watchers.append(watcher)
        return lambda: self._watchers.remove(watcher) if watcher in self._watchers else None

    def finish(self, timeout: float | None = None, *, hurry: bool = False) -> bool:
        """Take no more sound, hear what is there, and stop; returns whether all was heard in time.

        The second listener is waited for ``PATIENCE`` seconds, with ``hurry`` not at all.
        """
        with self._disk:
            self._hurry = self._hurry or hurry
            if not self._closing:
                self._closing = True
                self._inbox.put(None)
        return self._ended.wait(timeout)

    def hurry(self) -> None:
        """Wait for the second listener no longer."""
        self._hurry = True

    def interrupt(self, timeout: float) -> None:
        """Stop for now: words being spoken are left open, so that half of them never stands as an utterance.

        At the next start they are heard whole, from the sound on disk and what follows it.
        """
        self._interrupted = True
        self.finish(timeout, hurry=True)

    def _item(self, frame: Frame) -> _Item:
        if self.hearing.paused and frame.kind is Kind.SOUND:
            # What is said during a pause is not kept: the log holds silence of the same length.
            blank = replace(frame, body=bytes(len(frame.body)), flags=frame.flags | Flag.PAUSED)
            return _Item(blank, frame)
        return _Item(frame, frame)

    def _run(self) -> None:
        try:
            for frame in self.log.frames() if self._left_behind else ():
                if frame.number >= self._left_behind:
                    break  # came in while this was being heard: it is in the inbox
                self.hearing.take(frame, frame, replaying=True)
            self.hearing.caught_up()
            while item := self._inbox.get():
                self._take(item)
            if not self._interrupted:
                self.hearing.finish()
            self._wait_for_second()
        except Exception as error:  # a thread has nobody above it: the page is told, the sound goes on to the disk
            self.trouble = (
                str(error)
                if isinstance(error, JournalError)
                else (f"Hearing stopped ({type(error).__name__}). Sound is still being kept and can be heard again.")
            )
            self.tell(Event("trouble", text=self.trouble))
        finally:
            self._ended.set()

    def _take(self, item: _Item | _Again) -> None:
        if isinstance(item, _Again):
            self.hearing.heard_again(item.utterance, item.again, item.heard)
        else:
            self.hearing.take(item.frame, item.heard)

    def _ask_second(self, samples: NDArray[np.int16], utterance: Utterance) -> bool:
        assert self.second is not None
        return self.second.hear(
            samples, utterance, lambda again, heard: self._inbox.put(_Again(utterance, again, heard))
        )

    def _wait_for_second(self) -> None:
        """Give the second listener a while to come to the end; what it has not heard by then the record says."""
        until = time.monotonic() + PATIENCE
        while self.hearing.snapshot.behind and not self._hurry and (left := until - time.monotonic()) > 0:
            with contextlib.suppress(queue.Empty):
                if item := self._inbox.get(timeout=min(left, 0.5)):
                    self._take(item)

    def tell(self, event: Event) -> None:
        """Tell everybody who watches."""
        for watcher in tuple(self._watchers):
            watcher(event)
