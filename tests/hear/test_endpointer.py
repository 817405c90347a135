"""Every utterance ends at most 1.5 s after speech, also in noise, and a hesitation does not split it.

Speech is stood in for by bursts of band-limited noise with the rhythm of syllables; the times are known exactly.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from journal.hear.endpointer import RATE, EndRule, PauseMeter

STEP = 1600


def syllables(seconds: float, seed: int = 0) -> NDArray[np.float64]:
    """Loud and quiet in turn, five times a second, between 300 and 3000 Hz."""
    random = np.random.default_rng(seed)
    noise = np.fft.rfft(random.normal(0, 1, int(seconds * RATE)))
    hertz = np.fft.rfftfreq(int(seconds * RATE), 1 / RATE)
    noise[(hertz < 300) | (hertz > 3000)] = 0
    voice = np.fft.irfft(noise, int(seconds * RATE))
    voice /= voice.std()
    return 0.1 * voice * (0.55 + 0.45 * np.sign(np.sin(2 * np.pi * 5 * np.arange(len(voice)) / RATE)))


def sound(*parts: NDArray[np.float64], noise: float) -> NDArray[np.int16]:
    whole = np.concatenate(parts)
    steady = np.random.default_rng(9).normal(0, noise, len(whole))
    return np.clip((whole + steady) * 32767, -32767, 32767).astype(np.int16)


def pauses(samples: NDArray[np.int16]) -> list[tuple[float, float]]:
    """The time and the pause the meter shows, every step."""
    meter = PauseMeter()
    shown = []
    for first in range(0, len(samples), STEP):
        meter.accept(samples[first : first + STEP])
        shown.append(((first + STEP) / RATE, meter.pause))
    return shown


@pytest.mark.parametrize("noise", [1e-4, 1e-3, 1e-2, 2.5e-2], ids=["quiet", "room", "fan", "compressor"])
def test_the_pause_is_seen_within_a_second_and_a_half_of_speech(noise: float) -> None:
    silence = np.zeros(3 * RATE)
    samples = sound(silence, syllables(3.0), silence, noise=noise)
    forced = EndRule().forced
    ended = [time for time, pause in pauses(samples) if time > 6.0 and pause >= forced]
    assert ended, "the pause was never seen"
    assert ended[0] - 6.0 <= 1.5


@pytest.mark.parametrize("hesitation", [0.3, 0.5, 0.6])
def test_a_hesitation_does_not_end_an_utterance(hesitation: float) -> None:
    quiet = np.zeros(2 * RATE)
    samples = sound(quiet, syllables(1.5), np.zeros(int(hesitation * RATE)), syllables(1.5, 1), noise=1e-3)
    rule = EndRule()
    inside = [pause for time, pause in pauses(samples) if 2.2 < time < 2 + 1.5 + hesitation + 1.3]
    assert max(inside) < rule.agreed


def test_a_machine_that_starts_is_no_speech_for_long() -> None:
    samples = sound(np.zeros(2 * RATE), noise=1e-4)
    running = sound(np.zeros(6 * RATE), noise=2e-2)
    shown = pauses(np.concatenate([samples, running]))
    assert shown[-1][1] >= EndRule().forced


@pytest.mark.parametrize(
    ("given", "ends"),
    [
        ({"pause": 0.2, "asked_for": None, "still": 0.2, "length": 3.0, "spoken": True}, False),
        ({"pause": 0.75, "asked_for": 0.0, "still": 0.7, "length": 3.0, "spoken": True}, True),
        ({"pause": 0.6, "asked_for": 0.0, "still": 0.6, "length": 3.0, "spoken": True}, False),
        ({"pause": 1.1, "asked_for": None, "still": 0.1, "length": 3.0, "spoken": True}, True),
        ({"pause": 0.0, "asked_for": 0.5, "still": 0.5, "length": 3.0, "spoken": True}, True),
        ({"pause": 0.4, "asked_for": 0.0, "still": 0.4, "length": 16.0, "spoken": True}, True),
        ({"pause": 0.0, "asked_for": None, "still": 1.0, "length": 2.0, "spoken": False}, True),
    ],
)
def test_the_rule(given: dict[str, float], ends: bool) -> None:
    assert EndRule().ends(**given) is ends  # type: ignore[arg-type]
