"""Recordings of every kind as 16 kHz mono, and what is no recording, one sentence each.

What must come out is a sine of known pitch and level: the reference is arithmetic, not another decoder.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from journal.errors import SoundUnreadable
from journal.hear import audio, media
from journal.hear.audio import SAMPLE_RATE, chunks, probe

TONE = 440.0


def sine(rate: int, seconds: float, channels: int = 1) -> NDArray[np.float64]:
    wave = 0.25 * np.sin(2 * np.pi * TONE * np.arange(int(rate * seconds)) / rate)
    return np.stack([wave] * channels, axis=1)


def whole(path: Path) -> NDArray[np.int16]:
    return np.concatenate(list(chunks(path)))


def pitch_and_level(samples: NDArray[np.int16]) -> tuple[float, float]:
    middle = samples[2000:-2000].astype(float) / 32768
    spectrum = np.abs(np.fft.rfft(middle * np.hanning(len(middle))))
    return float(np.argmax(spectrum) * SAMPLE_RATE / len(middle)), float(middle.std() * np.sqrt(2))


@pytest.mark.parametrize("channels", [1, 2, 6])
@pytest.mark.parametrize("rate", [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000])
def test_any_rate_and_channel_count_keeps_pitch_level_and_length(tmp_path: Path, rate: int, channels: int) -> None:
    path = tmp_path / "tone.wav"
    soundfile.write(path, sine(rate, 2.0, channels), rate)
    sound = probe(path)
    assert (sound.rate, sound.channels, sound.seconds) == (rate, channels, pytest.approx(2.0, abs=1e-3))
    samples = whole(path)
    assert len(samples) == pytest.approx(2 * SAMPLE_RATE, abs=160)
    pitch, level = pitch_and_level(samples)
    assert pitch == pytest.approx(TONE, abs=2)
    assert level == pytest.approx(0.25, rel=0.05)


@pytest.mark.parametrize(
    ("suffix", "subtype"),
    [("wav", "PCM_24"), ("wav", "FLOAT"), ("flac", "PCM_16"), ("ogg", "VORBIS"), ("opus", "OPUS"), ("mp3", None)],
)
def test_formats(tmp_path: Path, suffix: str, subtype: str | None) -> None:
    path = tmp_path / f"tone.{suffix}"
    container = {"opus": "OGG"}.get(suffix, suffix.upper())
    soundfile.write(path, sine(48_000, 2.0), 48_000, format=container, subtype=subtype)
    samples = whole(path)
    pitch, level = pitch_and_level(samples)
    assert pitch == pytest.approx(TONE, abs=2)
    assert level == pytest.approx(0.25, rel=0.1)
    assert len(samples) == pytest.approx(2 * SAMPLE_RATE, abs=0.15 * SAMPLE_RATE)


def test_two_microphones_out_of_phase_do_not_cancel(tmp_path: Path) -> None:
    path = tmp_path / "phase.wav"
    stereo = sine(16_000, 2.0, 2)
    stereo[:, 1] *= -1
    soundfile.write(path, stereo, 16_000)
    assert pitch_and_level(whole(path))[1] > 0.1


def test_clipped_sound_stays_in_range(tmp_path: Path) -> None:
    path = tmp_path / "loud.wav"
    soundfile.write(path, np.clip(sine(16_000, 1.0) * 20, -1, 1), 16_000, subtype="FLOAT")
    samples = whole(path)
    assert samples.max() == 32767
    assert samples.min() >= -32767


def test_a_recording_is_read_in_blocks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "long.flac"
    soundfile.write(path, sine(16_000, 30.0), 16_000)
    asked = []
    read = soundfile.SoundFile.read

    def counting(self: soundfile.SoundFile, frames: int = -1, *rest: object, **more: object) -> object:
        asked.append(frames)
        return read(self, frames, *rest, **more)

    monkeypatch.setattr(soundfile.SoundFile, "read", counting)
    sizes = [len(chunk) for chunk in chunks(path, 0.25)]
    assert max(asked) <= 16_000
    assert min(asked) > 0
    assert set(sizes[:-1]) == {4000}


def phone_recording(path: Path, seconds: float = 2.0) -> Path:
    """An M4A as telephones record it, written with PyAV."""
    import av

    with av.open(str(path), "w") as container:
        stream = container.add_stream("aac", rate=44_100)
        samples = (sine(44_100, seconds).T).astype(np.float32)
        frame = av.AudioFrame.from_ndarray(np.ascontiguousarray(samples), format="fltp", layout="mono")
        frame.sample_rate = 44_100
        for packet in (*stream.encode(frame), *stream.encode(None)):
            container.mux(packet)
    return path


@pytest.mark.filterwarnings("ignore")
def test_what_telephones_record(tmp_path: Path) -> None:
    pytest.importorskip("av", reason="needs the extra [media]")
    path = phone_recording(tmp_path / "call.m4a")
    assert probe(path).rate == 44_100
    assert pitch_and_level(whole(path))[0] == pytest.approx(TONE, abs=3)


@pytest.mark.filterwarnings("ignore")
def test_without_the_extra_the_sentence_names_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("av", reason="needs the extra [media]")
    path = phone_recording(tmp_path / "call.m4a")
    monkeypatch.setitem(sys.modules, "av", None)
    with pytest.raises(SoundUnreadable, match=r"visit-journal\[media\]"):
        probe(path)
    assert media is not None


def missing(folder: Path) -> Path:
    return folder / "none.wav"


def text(folder: Path) -> Path:
    path = folder / "text.wav"
    path.write_text("suction thirty two\n" * 40, encoding="utf-8")
    return path


def nothing(folder: Path) -> Path:
    path = folder / "nothing.flac"
    path.touch()
    return path


def header_only(folder: Path) -> Path:
    path = folder / "header.wav"
    soundfile.write(path, np.zeros((0, 1)), 16_000)
    return path


@pytest.mark.parametrize("make", [missing, text, nothing, header_only, lambda folder: folder])
def test_what_is_no_recording_is_one_sentence(tmp_path: Path, make: Callable[[Path], Path]) -> None:
    path = make(tmp_path)
    with pytest.raises(SoundUnreadable) as caught:
        whole(path)
    sentence = str(caught.value)
    assert str(path) in sentence
    assert sentence.endswith(".")
    assert "\n" not in sentence


@pytest.mark.parametrize("suffix", ["flac", "wav", "ogg", "mp3"])
def test_a_cut_off_recording_says_how_much_could_be_read(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"cut.{suffix}"
    noise = np.random.default_rng(3).normal(0, 0.1, 10 * 16_000)
    soundfile.write(path, noise, 16_000, format=suffix.upper())
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    with pytest.raises(SoundUnreadable, match="second") as caught:
        whole(path)
    assert audio.SALVAGE in str(caught.value)
