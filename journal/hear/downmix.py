"""Several channels into one, without letting them cancel each other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

CANCELLING = 0.1
"""The mean of the channels may lose this much against the loudest (-10 dB) before it is given up."""

AUDIBLE = 1e-6
"""Mean square below which a block (-60 dB of full scale) proves nothing about its channels."""

FADE_SECONDS = 0.05


class Downmix:
    """The mean of all channels; once they are seen to cancel, the loudest channel alone.

    One leg wired the wrong way round makes two channels mirror images: their mean keeps the noise and loses the
    voice. That is a property of the recorder, so the choice, once made, stays; a short fade avoids a click.
    """

    def __init__(self, channels: int, rate: int) -> None:
        self._channels = channels
        self._fade = max(1, int(FADE_SECONDS * rate))
        self._energy = np.zeros(channels)
        self._gains = np.full(channels, 1.0 / channels, dtype=np.float32)
        self.cancelling = False

    def __call__(self, block: NDArray[np.float32]) -> NDArray[np.float32]:
        """Return one channel of the same length for a block of shape (samples, channels)."""
        if self._channels == 1:
            return block[:, 0]
        before = self._gains
        self._decide(block)
        mono: NDArray[np.float32] = block @ self._gains
        if before is not self._gains:
            length = min(self._fade, len(block))
            rise = np.linspace(0.0, 1.0, length, dtype=np.float32)
            mono[:length] = mono[:length] * rise + (block[:length] @ before) * (1 - rise)
        return mono

    def _decide(self, block: NDArray[np.float32]) -> None:
        if self.cancelling or not len(block):
            return
        each = np.mean(np.square(block, dtype=np.float64), axis=0)
        self._energy += each
        if each.max() < AUDIBLE or np.mean(np.square(block.mean(axis=1))) > CANCELLING * each.max():
            return
        if self._channels > 2 and not _mirrored(block):
            return  # one voice among many silent channels: the mean is quiet, not cancelled
        self.cancelling = True
        self._gains = np.zeros(self._channels, dtype=np.float32)
        self._gains[int(np.argmax(self._energy))] = 1.0


def _mirrored(block: NDArray[np.float32]) -> bool:
    """Return whether some channel is close to the negative of the loudest."""
    loudest = block[:, int(np.argmax(np.square(block).sum(axis=0)))]
    likeness = loudest @ block
    return bool(likeness.min() < -0.5 * float(loudest @ loudest))
