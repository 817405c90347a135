"""Sound for tests: chunks of a known pattern, so that every sample can be found again."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from journal.live.frames import RATE, Flag, Frame, sound

CHUNK = RATE // 10
START = 1_772_000_000_000.0


def pattern(seconds: float, first: int = 0) -> NDArray[np.int16]:
    """Return samples whose values tell their place (modulo 30,011)."""
    return ((np.arange(first, first + round(seconds * RATE)) % 30_011) - 15_000).astype(np.int16)


def chunks(seconds: float, *, first: int = 0, at: float = START, flags: Flag = Flag.NONE) -> list[Frame]:
    """Return numbered frames of 0.1 s from chunk ``first`` on; ``at`` is the moment of chunk 0."""
    count = round(seconds * 10)
    return [sound(n, pattern(0.1, n * CHUNK), at + 100.0 * n, flags) for n in range(first, first + count)]
