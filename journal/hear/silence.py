"""A recording written again with some of its seconds silent, for words and sound that must not stay."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from journal.hear import media
from journal.hear.audio import probe

SUFFIX = ".flac"  # what 'silence' writes
_BLOCK = 65536
_FINE = ("PCM_24", "PCM_32", "FLOAT", "DOUBLE")


def silence(source: Path, target: Path, start: float, end: float) -> None:
    """Write ``source`` to ``target`` as FLAC with the seconds ``start`` to ``end`` silent, of the same length.

    Raises ``SoundUnreadable`` for a source that cannot be read, ``OSError`` when the disk refuses.
    """
    sound = probe(source)
    first, last = round(start * sound.rate), round(end * sound.rate)
    subtype = "PCM_24" if sound.format.rpartition("/")[2] in _FINE else "PCM_16"
    at = 0
    with soundfile.SoundFile(
        str(target), "w", samplerate=sound.rate, channels=sound.channels, format="FLAC", subtype=subtype
    ) as out:
        for block in _blocks(source, sound.format):
            gone = block.copy()
            gone[max(0, first - at) : max(0, last - at)] = 0.0
            out.write(gone)
            at += len(block)


def _blocks(source: Path, form: str) -> Iterator[NDArray[np.float32]]:
    if form.startswith("media"):
        yield from media.blocks(source)
        return
    with soundfile.SoundFile(str(source)) as file:
        yield from file.blocks(_BLOCK, dtype="float32", always_2d=True)
