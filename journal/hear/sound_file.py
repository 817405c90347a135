"""Writing sound: what was spoken live becomes a FLAC file, without loss and at half the size."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from journal.hear.audio import SAMPLE_RATE


def write_flac(path: Path, chunks: Iterable[NDArray[np.int16]]) -> float:
    """Write mono samples at 16 kHz as FLAC and return their length in seconds.

    Raises ``OSError`` when the disk refuses; the file is then not complete and should be removed.
    """
    samples = 0
    try:
        with soundfile.SoundFile(str(path), "w", SAMPLE_RATE, 1, "PCM_16", format="FLAC") as file:
            for chunk in chunks:
                file.write(chunk)
                samples += len(chunk)
    except soundfile.LibsndfileError as error:
        raise OSError(f"the sound cannot be written ({error})") from error
    return samples / SAMPLE_RATE
