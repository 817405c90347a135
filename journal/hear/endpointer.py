"""Where an utterance ends: a meter for pauses that stands on the sound alone, and the rule that reads it.

A recogniser left to itself may hold an utterance open for many seconds when its last word was unknown or when a
compressor runs. So the pause is measured on the sound: the level of five bands of the voice against the quietest
fifth of the last second. The floor follows a machine that starts within that second, because the pause is worked
out anew at every step: what first looked like a voice turns out to have been the machine.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
FRAME = 320  # samples: 20 ms
FRAME_SECONDS = FRAME / RATE
WINDOW = 60  # frames the floor is taken from: 1.2 s
BANDS_HZ = (200, 500, 1000, 2000, 3600, 7000)  # mains hum and its first harmonics stay below
SMOOTH = 3  # frames
FLOOR_SHARE = 0.2  # the floor is the level that this share of the window stays under
MARGIN_DB = 6.0  # above the floor: steady noise smoothed over 60 ms stays within 4 dB of it
RANGE_DB = 35.0  # below the loudest of the utterance: breath and room, not speech
SILENT_DB = -72.0  # of full scale: below this nothing is speech
RUN = 4  # frames in a row: a click is shorter than a word
FADE_DB_PER_SECOND = 5.0  # how fast the memory of the loudest sound fades

_EDGES = tuple(hz * FRAME // RATE for hz in BANDS_HZ)
_TAPER = np.hanning(FRAME).astype(np.float32)
_SCALE = 2.0 / (FRAME * float(np.square(_TAPER).sum()) * 32768.0**2)


class PauseMeter:
    """Measures how long nothing like speech has been heard."""

    def __init__(self) -> None:
        self._rest = np.empty(0, dtype=np.int16)
        self._levels = np.full((WINDOW + SMOOTH - 1, len(_EDGES) - 1), 10 ** (SILENT_DB / 10))
        self._peak = np.full(len(_EDGES) - 1, -200.0)
        self._frames = 0
        self._last_speech = 0  # the frame after the last that sounded like speech

    @property
    def pause(self) -> float:
        """Seconds since the last sound like speech (since the start, when there was none)."""
        return (self._frames - self._last_speech) * FRAME_SECONDS

    @property
    def last_speech(self) -> float:
        """Where the last sound like speech ended, in seconds from the first sample; 0.0 when there was none."""
        return self._last_speech * FRAME_SECONDS

    def accept(self, samples: NDArray[np.int16]) -> None:
        """Measure the next 16 kHz samples, at most ``WINDOW`` frames at a time."""
        samples = np.concatenate((self._rest, samples))
        count = len(samples) // FRAME
        self._rest = samples[count * FRAME :]
        for first in range(0, count, WINDOW // 6):
            last = min(count, first + WINDOW // 6)
            self._measure(samples[first * FRAME : last * FRAME].reshape(-1, FRAME))

    def _measure(self, frames: NDArray[np.int16]) -> None:
        power = _band_power(frames)
        self._frames += len(frames)
        self._levels = np.concatenate((self._levels[len(frames) :], power))
        smooth = np.add.reduce([self._levels[first : first + WINDOW] for first in range(SMOOTH)]) / SMOOTH
        level = 10 * np.log10(smooth)
        self._peak = np.maximum(
            self._peak - FADE_DB_PER_SECOND * FRAME_SECONDS * len(frames), level[-len(frames) :].max(axis=0)
        )
        floor = np.maximum(_floor(level), SILENT_DB)
        threshold = np.maximum(floor + MARGIN_DB, self._peak - RANGE_DB)
        last = _last_of_run((level > threshold).any(axis=1))
        start = self._frames - WINDOW
        # Nothing in the window: whatever was taken for speech there was not.
        self._last_speech = max(0, start + last + 1) if last is not None else max(0, min(self._last_speech, start))


def _band_power(frames: NDArray[np.int16]) -> NDArray[np.float64]:
    """Return the mean square of each band (full scale 1) for frames of shape (n, FRAME): shape (n, bands)."""
    spectrum = np.square(np.abs(np.fft.rfft(frames * _TAPER, axis=1))) * _SCALE
    bands = [spectrum[:, low:high].sum(axis=1) for low, high in pairwise(_EDGES)]
    power: NDArray[np.float64] = np.maximum(np.stack(bands, axis=1), 1e-12)
    return power


def _floor(level: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the level of each band that ``FLOOR_SHARE`` of the window stays under.

    As ``np.percentile`` has it, at a tenth of its time: it is asked ten times a second.
    """
    place = FLOOR_SHARE * (len(level) - 1)
    below = int(place)
    lowest = np.partition(level, (below, below + 1), axis=0)
    floor: NDArray[np.float64] = lowest[below] + (lowest[below + 1] - lowest[below]) * (place - below)
    return floor


def _last_of_run(active: NDArray[np.bool_]) -> int | None:
    """Return the last index that belongs to ``RUN`` or more true values in a row."""
    starts = len(active) - RUN + 1
    if starts <= 0:
        return None
    whole = active[:starts].copy()
    for later in range(1, RUN):
        whole &= active[later : later + starts]
    runs = np.flatnonzero(whole)
    return int(runs[-1]) + RUN - 1 if len(runs) else None


@dataclass(frozen=True, slots=True)
class EndRule:
    """When an open utterance ends; all in seconds.

    ``agreed``: the recogniser thinks it is over and the sound has paused this long, so that a hesitation inside a
    number ('two ... forty one') does not split it. ``forced``: the sound has paused this long, whatever the
    recogniser thinks; with a step and a chunk of sound on top it stays under 1.5 s. ``insisted``: the recogniser has
    thought so this long although the sound goes on (clanking, other machines). ``whole``: the sound has paused this
    long and whoever understands the words says that nothing is left open in them. ``blind``: words came without
    any sound like speech, so only their standing still can tell. ``long``: from this length on half a pause is
    enough, from twice this length any place the recogniser names.
    """

    agreed: float = 0.7
    forced: float = 1.1
    insisted: float = 0.4
    whole: float = 0.4
    blind: float = 1.0
    long: float = 15.0

    def ends(self, *, pause: float, asked_for: float | None, still: float, length: float, spoken: bool) -> bool:
        """Return whether to end now.

        ``asked_for``: how long the recogniser has been asking for the end, ``None`` if it is not; ``still``: how long
        the words have not changed; ``length``: of the utterance so far; ``spoken``: whether sound like speech
        was heard in it.
        """
        if not spoken:
            return still >= self.blind
        if pause >= self.forced:
            return True
        if asked_for is None:
            return False
        if asked_for >= self.insisted or length >= 2 * self.long:
            return True
        return pause >= (self.agreed / 2 if length >= self.long else self.agreed)
