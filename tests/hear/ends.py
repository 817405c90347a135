"""How long after speech a listener holds an utterance open, measured on real recordings."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from journal.hear.audio import SAMPLE_RATE, chunks
from journal.hear.endpointer import PauseMeter
from journal.hear.vosk_recogniser import VoskModel

STEP = 1600
LONGEST = 1.5
"""Seconds after speech that an utterance may stay open; its end is seen on the next step."""


def reserved_orders(speech_data: Path) -> list[Path]:
    """The 120 spoken orders about something else that are for measuring only."""
    files = sorted((speech_data / "other_speech").glob("*"))
    return [path for path in files if path.stem.isdigit() and 400 <= int(path.stem) < 520]


def seconds_open(model: VoskModel, path: Path) -> float | None:
    """Return the seconds from the last sound like speech to the last end; ``None`` when it stayed open for 4 s.

    Where speech ends is measured on the recording itself, before the quiet that follows is laid behind it.
    """
    samples = np.concatenate(list(chunks(path)))
    meter = PauseMeter()
    for first in range(0, len(samples), STEP):
        meter.accept(samples[first : first + STEP])
    hiss = np.random.default_rng(0).normal(0, 15, 4 * SAMPLE_RATE).astype(np.int16)
    whole = np.concatenate([samples, hiss])
    listener = model.recogniser(alternatives=0)
    last_end = 0.0
    for first in range(0, len(whole), STEP):
        if listener.accept(whole[first : first + STEP]):
            last_end = (first + STEP) / SAMPLE_RATE
    if listener.finish():
        return None
    return max(0.0, last_end - meter.last_speech)
