"""The second listener while somebody speaks: a niced process of its own behind all captures.

It hears ended utterances one after the other, and whoever asked is answered when it has; the first listener waits
for nothing.  The queue is bounded: what does not fit, or comes after the process died, is not heard, and the record
says so.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import queue
import threading
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from journal.domain.speech import Utterance
from journal.live.frames import RATE

if TYPE_CHECKING:
    from journal.hear.second_listener import WhisperFolder

WAITING = 200  # utterances, 100 kB each on the average
NICENESS = 15
MARGIN = 0.3  # seconds of sound before the first and behind the last word
KEPT = 45.0  # seconds of sound that are remembered: more than the longest utterance

#: what was heard, if anything could be relied on; and whether it was heard at all
Answer = Callable[[Utterance | None, bool], None]


class Second(Protocol):
    """Whoever hears again.  ``hear`` returns False, and never answers, when it cannot take any more."""

    @property
    def name(self) -> str: ...
    def hear(self, samples: NDArray[np.int16], utterance: Utterance, answer: Answer) -> bool: ...
    def close(self) -> None: ...


@dataclass(frozen=True, slots=True)
class _Job:
    samples: NDArray[np.int16]
    utterance: Utterance
    answer: Answer


class SecondEar:
    """The process, the queue before it, and the thread between them; the process starts with the first utterance."""

    def __init__(self, folder: WhisperFolder, prompt: str) -> None:
        self.name = folder.name
        self._told = (folder, prompt)
        self._jobs: queue.Queue[_Job | None] = queue.Queue(WAITING)
        self._thread: threading.Thread | None = None
        self._lock = threading.Lock()
        self._dead = False

    def hear(self, samples: NDArray[np.int16], utterance: Utterance, answer: Answer) -> bool:
        """Have an utterance heard again; ``answer`` is called from another thread."""
        with self._lock:  # what is put behind the last refusal would never be answered
            if self._dead:
                return False
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="second listener", daemon=True)
                self._thread.start()
            try:
                self._jobs.put_nowait(_Job(samples, utterance, answer))
            except queue.Full:
                return False
        return True

    def close(self) -> None:
        """Stop; what waits is not heard any more."""
        with self._lock:
            self._dead = True
        with contextlib.suppress(queue.Full):
            self._jobs.put_nowait(None)
        if self._thread is not None:
            self._thread.join(5)

    def _run(self) -> None:
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        process = context.Process(target=_work, args=(theirs, *self._told), name="second listener", daemon=True)
        process.start()
        theirs.close()
        try:
            while (job := self._jobs.get()) is not None and not self._dead:
                ours.send((job.samples, job.utterance))
                job.answer(ours.recv(), True)
                job = None
        except (OSError, EOFError):  # the process is gone: killed for its memory, or its model cannot be loaded
            if job is not None:
                job.answer(None, False)
        finally:
            with self._lock:
                self._dead = True
            self._refuse_waiting()
            ours.close()
            process.terminate()
            process.join(5)

    def _refuse_waiting(self) -> None:
        with contextlib.suppress(queue.Empty):
            while True:
                if (job := self._jobs.get_nowait()) is not None:
                    job.answer(None, False)


def _work(pipe: Connection, folder: WhisperFolder, prompt: str) -> None:
    """Hear what comes through the pipe, behind everything else on this machine."""
    import os
    import signal

    from journal.hear.second_listener import SecondListener

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is for the one that asked
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    listener = SecondListener(folder, prompt=prompt)
    with contextlib.suppress(EOFError):
        while True:
            samples, utterance = pipe.recv()
            pipe.send(listener.hear(samples, utterance))


class Remembered:
    """The last seconds of sound of one recording, to cut utterances from."""

    def __init__(self) -> None:
        self._parts: list[NDArray[np.int16]] = []
        self._first = 0  # the sample the oldest part begins with
        self._behind = 0  # the sample after the newest

    def add(self, samples: NDArray[np.int16]) -> None:
        self._parts.append(samples)
        self._behind += len(samples)
        while self._behind - self._first - len(self._parts[0]) > KEPT * RATE:
            self._first += len(self._parts.pop(0))

    def cut(self, start: float, end: float) -> NDArray[np.int16]:
        """Return the samples from ``start`` to ``end`` (seconds) with the margin, as far as they are remembered."""
        whole = np.concatenate(self._parts) if self._parts else np.empty(0, dtype=np.int16)
        first = max(0, round((start - MARGIN) * RATE) - self._first)
        return whole[first : max(first, round((end + MARGIN) * RATE) - self._first)]
