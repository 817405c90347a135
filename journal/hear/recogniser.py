"""What every listener can do, whichever engine is inside."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from journal.domain.speech import Utterance
from journal.hear.audio import SAMPLE_RATE, chunks

Whole = Callable[[tuple[str, ...]], bool]
"""Whether words leave nothing open, so that a short pause may end them; the language stage knows."""

UNKNOWN = "[unk]"
"""The text of a word that was spoken but is not in the model's vocabulary."""


class Recogniser(Protocol):
    """One recording being heard: chunks of 16 kHz mono go in, in order; utterances come out as they end.

    Times of words are seconds from the first sample ever accepted.
    """

    def accept(self, chunk: NDArray[np.int16]) -> list[Utterance]:
        """Hear the next samples; return the utterances that ended, in order (mostly none)."""
        ...

    def partial(self) -> tuple[str, ...]:
        """Return the words heard so far of the utterance still open; provisional, they may yet change."""
        ...

    def end_sooner(self, whole: Whole) -> None:
        """Somebody waits for the answer: words that ``whole`` says leave nothing open may end after a shorter pause."""
        ...

    def finish(self) -> list[Utterance]:
        """End the recording; return what was still open."""
        ...


def hear(
    path: Path | str, listener: Recogniser, progress: Callable[[float], None] | None = None
) -> Iterator[Utterance]:
    """Yield the utterances of a recording in order, as they end, whoever listens.

    ``progress`` is called after each chunk with the seconds of the recording heard so far (``audio.probe`` tells the
    whole length). Raises ``SoundUnreadable``; when a file is cut off, after the last chunk that could be read.
    """
    heard = 0
    for chunk in chunks(path):
        yield from listener.accept(chunk)
        heard += len(chunk)
        if progress:
            progress(heard / SAMPLE_RATE)
    yield from listener.finish()
