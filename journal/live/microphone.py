"""Where sound comes from without a browser: a microphone of this machine, or a recording in its place."""

from __future__ import annotations

import queue
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from journal.errors import BadInput
from journal.live.frames import RATE

CHUNK = RATE // 10

#: samples, and the milliseconds since 1970 (UTC) at which they began
Source = Iterator[tuple[NDArray[np.int16], float]]


def from_file(path: Path, *, fast: bool = False) -> Source:
    """Yield a recording as if it were spoken now; ``fast`` does not wait.  Raises ``SoundUnreadable`` at once."""
    from journal.hear.audio import chunks, probe

    probe(path)

    def play() -> Source:
        began, heard = time.time(), 0
        for chunk in chunks(path, seconds=0.1):
            at = began + heard / RATE
            heard += len(chunk)
            if not fast:
                time.sleep(max(0.0, began + heard / RATE - time.time()))
            yield chunk, 1000 * at

    return play()


def from_microphone(device: str | None = None) -> Source:
    """Yield what the microphone hears, until the iterator is closed.

    Raises ``BadInput`` where sounddevice, PortAudio or a microphone is missing.
    """
    try:
        import sounddevice
    except ModuleNotFoundError:
        raise BadInput(
            "Listening needs the extra [microphone]: pip install 'visit-journal[microphone]', or use --from FILE."
        ) from None
    except OSError:
        raise BadInput("Listening needs PortAudio; on Debian: apt install libportaudio2. Or use --from FILE.") from None
    waiting: queue.SimpleQueue[tuple[NDArray[np.int16], float]] = queue.SimpleQueue()

    def heard(samples: Any, frames: int, clock: Any, status: Any) -> None:
        waiting.put((np.frombuffer(bytes(samples), dtype=np.int16).copy(), 1000 * (time.time() - frames / RATE)))

    try:
        stream = sounddevice.RawInputStream(
            samplerate=RATE, blocksize=CHUNK, channels=1, dtype="int16", device=device, callback=heard
        )
    except (sounddevice.PortAudioError, ValueError) as error:
        reason = str(error).partition("\n")[0]
        raise BadInput(
            f"There is no microphone that gives sound ({reason}). Connect one, or use --from FILE."
        ) from None

    def listen() -> Source:
        with stream:
            while True:
                yield waiting.get()

    return listen()
