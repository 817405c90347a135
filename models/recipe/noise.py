"""Noise and rooms for measuring: what a recorder hears beside a machine.  Made by numpy, seeded.

Training makes its own noise (``augment``); this one is for the sound the model is measured with.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

Sound = npt.NDArray[np.float32]
Maker = Callable[[int, np.random.Generator], npt.NDArray[np.float64]]
RATE = 16000


def coloured(length: int, draw: np.random.Generator, slope: float) -> npt.NDArray[np.float64]:
    """Gaussian noise whose power falls with frequency to the power of ``slope`` (0 white, 1 pink, 2 brown)."""
    spectrum = np.fft.rfft(draw.standard_normal(length))
    bins = np.arange(len(spectrum), dtype=float)
    bins[0] = 1
    return _unit(np.fft.irfft(spectrum / bins ** (slope / 2), length))


def hum(length: int, draw: np.random.Generator) -> npt.NDArray[np.float64]:
    """A running compressor: mains or shaft frequency and its harmonics, slowly beating, over a little hiss."""
    time = np.arange(length) / RATE
    base = draw.choice([58.3, 60.0, 50.0, 29.1, 120.0]) * draw.normal(1, 0.003)
    tones = np.zeros(length)
    for harmonic in range(1, int(draw.integers(8, 30))):
        level = draw.uniform(0.2, 1) / harmonic ** draw.uniform(0.3, 1.1)
        tones += level * np.sin(2 * np.pi * base * harmonic * time + draw.uniform(0, 2 * np.pi))
    tones *= 1 + 0.25 * np.sin(2 * np.pi * draw.uniform(0.3, 6) * time)
    return _unit(_unit(tones) + draw.uniform(0.2, 0.7) * coloured(length, draw, 1))


def fans(length: int, draw: np.random.Generator) -> npt.NDArray[np.float64]:
    """Evaporator fans: broad rush of air with a weak blade tone."""
    time = np.arange(length) / RATE
    blade = draw.uniform(80, 160)
    tone = sum(np.sin(2 * np.pi * blade * k * time + draw.uniform(0, 6.28)) / k for k in (1, 2, 3))
    return _unit(coloured(length, draw, draw.uniform(0.7, 1.4)) + 0.3 * tone)


def wind(length: int, draw: np.random.Generator) -> npt.NDArray[np.float64]:
    """Gusts on an open microphone: low noise that swells and falls."""
    knots = np.arange(length // 8000 + 2) * 8000
    gusts = np.interp(np.arange(length), knots, draw.uniform(0.2, 1.5, len(knots)))
    return _unit(coloured(length, draw, 2.0) * gusts + 0.15 * coloured(length, draw, 0.5))


def _unit(sound: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    return np.asarray(sound / (sound.std() + 1e-9), dtype=np.float64)


KINDS: dict[str, Maker] = {"hum": hum, "fans": fans, "wind": wind}


def speech_level(sound: Sound) -> float:
    """Root mean square of the part of ``sound`` that is speech (above a twentieth of the peak)."""
    size = np.abs(sound)
    spoken = sound[size > 0.05 * size.max(initial=0.0)]
    return float(np.sqrt((spoken.astype(np.float64) ** 2).mean() + 1e-12)) if len(spoken) else 1e-6


def mix(sound: Sound, other: npt.NDArray[np.float64], ratio_db: float) -> Sound:
    """``sound`` with ``other`` (unit power, same length) under it at a speech-to-noise ratio in decibels; peak 0.6."""
    both = sound + other * speech_level(sound) * 10 ** (-ratio_db / 20)
    return np.asarray(both * (0.6 / (np.abs(both).max() + 1e-9)), dtype=np.float32)


def metal_box(sound: Sound, draw: np.random.Generator) -> Sound:
    """The echo inside a metal box: dense early reflections and a bright tail of about 0.4 s."""
    length = int(RATE * draw.uniform(0.25, 0.5))
    tail = draw.standard_normal(length) * np.exp(-6.9 * np.arange(length) / length)
    tail[: int(0.004 * RATE)] = 0
    tail *= draw.uniform(0.25, 0.45) / np.sqrt((tail**2).sum())
    tail[0] = 1
    size = 1 << (len(sound) + length).bit_length()
    wet = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(tail, size), size)[: len(sound) + length // 2]
    return np.asarray(wet * (0.5 / (np.abs(wet).max() + 1e-9)), dtype=np.float32)
