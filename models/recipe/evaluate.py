"""How well a model hears: words, numbers, strangers, silence.

Two commands.  ``prepare`` makes the sound to measure with: sentences of ``models/evaluation/`` in the reserved voices
(piper
joe, flite rms), clean and in noise, and the real speech that is reserved for measuring.  ``measure`` decodes it with
one or
more Vosk models and prints one table, every model on the same files.

    python -m models.recipe.evaluate prepare WORK --speech SHARED_SPEECH_FOLDER
    python -m models.recipe.evaluate measure WORK MODEL [MODEL ...] [--json OUT]
"""

from __future__ import annotations

import argparse
import csv
import json
import os
import re
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt
import soundfile

from models.recipe import noise, spoken

Sound = npt.NDArray[np.float32]
RATE = 16000
SENTENCES = Path(__file__).parents[1] / "evaluation" / "narration.txt"
RESERVED_DIGIT_SPEAKERS = ("george", "lucas", "yweweler")
DIGITS = spoken.ONES[:10]
CONNECTED = "one zero zero zero one nine oh two one oh zero one eight zero three"
UNIT_WORDS = frozenset(
    [
        "volt",
        "volts",
        "amp",
        "amps",
        "ohm",
        "ohms",
        "kilohms",
        "megohms",
        "megs",
        "microfarads",
        "microfarad",
        "mikes",
        "mfd",
        "psi",
        "psig",
        "pounds",
        "degrees",
        "degree",
        "fahrenheit",
        "celsius",
        "microns",
        "micron",
        "hertz",
        "percent",
        "inches",
        "milliamps",
        "microamps",
        "millivolts",
        "cfm",
        "rpm",
        "ounces",
    ]
)
_NUMBERISH = spoken.NUMBER_WORDS | frozenset(
    ["negative", "half", "quarter", "quarters", "third", "thirds", "eighth", "eighths", "double", "triple"]
)


@dataclass
class Set:
    """Sounds of one row of the table, with what was said and by whom."""

    name: str
    sounds: list[Sound] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    speakers: list[str] = field(default_factory=list)

    def add(self, sound: Sound, said: str, speaker: str) -> None:
        """One more item."""
        self.sounds.append(sound)
        self.said.append(said)
        self.speakers.append(speaker)

    def save(self, folder: Path) -> None:
        """As ``NAME.npz`` in ``folder``."""
        whole = np.concatenate(self.sounds)
        lengths = np.array([len(s) for s in self.sounds])
        pcm = (np.clip(whole, -1, 1) * 32767).astype("<i2")
        np.savez(folder / f"{self.name}.npz", pcm=pcm, lengths=lengths, said=self.said, speakers=self.speakers)

    @classmethod
    def load(cls, path: Path) -> Set:
        """What ``save`` wrote."""
        with np.load(path) as packed:
            ends = np.cumsum(packed["lengths"])
            sounds = np.split(packed["pcm"].astype(np.float32) / 32768, ends[:-1])
            return cls(path.stem, list(sounds), list(map(str, packed["said"])), list(map(str, packed["speakers"])))


def sentences(path: Path = SENTENCES) -> list[str]:
    """The sentences of another author than the grammar's."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return [line.strip() for line in lines if line.strip() and not line.startswith("#")]


def padded(sound: Sound, draw: np.random.Generator, before: float = 0.4, after: float = 0.6) -> Sound:
    """Room silence (faint hiss) around a sound, in seconds."""
    head = draw.standard_normal(int(before * RATE)) * 5e-4
    tail = draw.standard_normal(int(after * RATE)) * 5e-4
    return np.concatenate([head, sound, tail]).astype(np.float32)


def in_noise(source: Set, name: str, ratio_db: float, seed: int) -> Set:
    """The same items under hum, fans or wind, one kind an item in turn."""
    result, kinds = Set(name), sorted(noise.KINDS)
    for place, sound in enumerate(source.sounds):
        draw = np.random.default_rng([seed, place])
        other = noise.KINDS[kinds[place % len(kinds)]](len(sound), draw)
        result.add(noise.mix(sound, other, ratio_db), source.said[place], source.speakers[place])
    return result


def voiced(name: str, engine: str, lines: list[str], seed: int) -> Set:
    """``lines`` said by a reserved voice."""
    from models.recipe import voices

    result, rng, spelled = Set(name), Random(seed), voices.initialisms()
    with tempfile.TemporaryDirectory() as folder:
        say = voices.ENGINES[engine](folder)
        for place, line in enumerate(lines):
            sound, rate, voice = say(voices.readable(line.split(), spelled), rng)
            tidied = voices.tidy(sound, rate)
            if tidied is not None:
                result.add(padded(tidied, np.random.default_rng([seed, place])), line, voice)
    return result


def _digit_takes(speech: Path) -> dict[tuple[str, int], list[Sound]]:
    takes: dict[tuple[str, int], list[Sound]] = {}
    import soxr

    whole = {s: soundfile.read(speech / f"digits/{s}.flac", dtype="float32")[0] for s in RESERVED_DIGIT_SPEAKERS}
    with (speech / "digits" / "manifest.csv").open(encoding="utf-8") as rows:
        for row in csv.DictReader(rows):
            if row["speaker"] in whole:
                start, frames = int(row["start"]), int(row["frames"])
                cut = soxr.resample(whole[row["speaker"]][start : start + frames], int(row["rate"]), RATE)
                cut = (cut * (0.5 / (np.abs(cut).max() + 1e-6))).astype(np.float32)
                takes.setdefault((row["speaker"], DIGITS.index(row["text"])), []).append(cut)
    return takes


def digit_sets(speech: Path, strings: int = 40, singles: int = 10) -> Iterator[Set]:
    """Single digits, and strings of three to five, of the three reserved speakers."""
    takes = _digit_takes(speech)
    single, joined = Set("digits_single"), Set("digits_strings")
    for speaker in RESERVED_DIGIT_SPEAKERS:
        draw = np.random.default_rng([5, RESERVED_DIGIT_SPEAKERS.index(speaker)])
        for digit in range(10):
            for take in takes[speaker, digit][:singles]:
                single.add(padded(take, draw), DIGITS[digit], speaker)
        for _ in range(strings):
            digits = draw.integers(0, 10, draw.integers(3, 6))
            parts: list[Any] = []
            for digit in digits:
                choices = takes[speaker, int(digit)]
                parts += [choices[int(draw.integers(len(choices)))]]
                parts += [draw.standard_normal(int(RATE * draw.uniform(0.03, 0.2))) * 5e-4]
            joined.add(padded(np.concatenate(parts), draw), " ".join(DIGITS[d] for d in digits), speaker)
    yield single
    yield joined


def real_sets(speech: Path) -> Iterator[Set]:
    """Everything real that is reserved for measuring."""
    yield from digit_sets(speech)
    draw = np.random.default_rng(9)
    words = Set("number_words")
    with (speech / "number_words" / "manifest.csv").open(encoding="utf-8") as rows:
        for row in csv.DictReader(rows):
            name = row.get("file") or row["path"]
            sound, _ = soundfile.read(speech / name if "/" in name else speech / "number_words" / name, dtype="float32")
            words.add(padded(sound * (0.5 / np.abs(sound).max()), draw), row["text"], "prompt voice")
    yield words
    connected = Set("connected_digits")
    connected.add(soundfile.read(speech / "connected_digits.wav", dtype="float32")[0], CONNECTED, "one speaker")
    yield connected
    other = Set("other_speech")
    for number in range(400, 619):
        sound, _ = soundfile.read(speech / f"other_speech/{number:03d}.ogg", dtype="float32")
        other.add(padded(sound, draw), "", "strangers")
    yield other


def prepare(work: Path, speech: Path) -> None:
    """Make every set."""
    work.mkdir(parents=True, exist_ok=True)
    for engine, seed in (("joe", 31), ("rms", 32)):
        clean = voiced(f"narration_{engine}", engine, sentences(), seed)
        clean.save(work)
        in_noise(clean, f"narration_{engine}_10dB", 10, seed).save(work)
    for real in real_sets(speech):
        real.save(work)


def numbers(text: str) -> list[str]:
    """The number words of a sentence, run by run; 'oh' is 'zero', 'and' inside a number is dropped."""
    words = ["zero" if w == "oh" else "minus" if w == "negative" else w for w in text.lower().split()]
    runs: list[list[str]] = [[]]
    for place, word in enumerate(words):
        after = words[place + 1] if place + 1 < len(words) else ""
        if word in _NUMBERISH:
            runs[-1].append(word)
        elif word == "a" and after in ("hundred", "thousand"):
            runs[-1].append("one")
        elif word in ("and", "a", "an") and after in _NUMBERISH and runs[-1]:
            continue
        elif runs[-1]:
            runs.append([])
    return [" ".join(run) for run in runs if run]


def edits(said: Sequence[object], heard: Sequence[object]) -> int:
    """Levenshtein distance in words, phones, or whatever the sequences hold."""
    row = list(range(len(heard) + 1))
    for i, word in enumerate(said, 1):
        corner, row[0] = row[0], i
        for j, other in enumerate(heard, 1):
            corner, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, corner + (word != other))
    return row[-1]


Hearing = tuple[str, float]
Listener = Callable[[Sound], str]


def vosk_listener(folder: Path) -> Listener:
    """A Vosk model as a function from 16 kHz sound to words."""
    import vosk

    vosk.SetLogLevel(-1)
    model = vosk.Model(str(folder))

    def listen(sound: Sound) -> str:
        recogniser = vosk.KaldiRecognizer(model, RATE)
        pcm = (np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes()
        heard = []
        for start in range(0, len(pcm), 8000):
            if recogniser.AcceptWaveform(pcm[start : start + 8000]):
                heard.append(json.loads(recogniser.Result())["text"])
        heard.append(json.loads(recogniser.FinalResult())["text"])
        return " ".join(h for h in heard if h)

    return listen


def never_ended(folder: Path, source: Set, patience: float = 1.5) -> int:
    """How many items are still open ``patience`` seconds after their last sound (a faint hiss follows)."""
    import vosk

    model, late = vosk.Model(str(folder)), 0
    for place, sound in enumerate(source.sounds):
        hiss = np.random.default_rng(place).standard_normal(int(patience * RATE)) * 5e-4
        whole = np.concatenate([sound[: len(sound) - int(0.6 * RATE)], hiss])
        pcm = (np.clip(whole, -1, 1) * 32767).astype("<i2").tobytes()
        recogniser = vosk.KaldiRecognizer(model, RATE)
        ended_at = -1
        for start in range(0, len(pcm), 3200):
            if recogniser.AcceptWaveform(pcm[start : start + 3200]):
                ended_at = start
        late += ended_at < len(pcm) - 2 * int((patience + 0.3) * RATE)
    return late


def report(source: Set, heard: list[str]) -> dict[str, Any]:
    """Counts of one set."""
    plain = [re.sub(r"\boh\b", "zero", h) for h in heard]
    said = [re.sub(r"\boh\b", "zero", s) for s in source.said]
    result: dict[str, Any] = {"items": len(heard)}
    if source.name == "other_speech":
        everything = " ".join(plain).split()
        result["number words"] = sum(w in spoken.NUMBER_WORDS for w in everything)
        result["readings"] = sum(
            a in _NUMBERISH and b in UNIT_WORDS for h in plain for a, b in zip(h.split(), h.split()[1:], strict=False)
        )
        result["unit words"] = sum(w in UNIT_WORDS for w in everything)
        result["[unk] words"] = sum(w == "[unk]" for w in everything)
        result["words"] = len(everything)
        return result
    wrong = sum(edits(s.split(), h.split()) for s, h in zip(said, plain, strict=True))
    result["words"] = sum(len(s.split()) for s in said)
    result["word errors"] = wrong
    result["WER %"] = round(100 * wrong / max(1, int(result["words"])), 1)
    result["all right"] = sum(s == h for s, h in zip(said, plain, strict=True))
    result["numbers right"] = sum(numbers(s) == numbers(h) for s, h in zip(said, plain, strict=True))
    for speaker in sorted(set(source.speakers)):
        rows = [i for i, who in enumerate(source.speakers) if who == speaker]
        errors = sum(edits(said[i].split(), plain[i].split()) for i in rows)
        result[f"WER % {speaker}"] = round(100 * errors / sum(len(said[i].split()) for i in rows), 1)
    return result


def measure(work: Path, folder: Path, names: list[str] | None = None) -> dict[str, dict[str, Any]]:
    """All sets through one model; every set's row has what was heard under 'heard'."""
    listen, rows = vosk_listener(folder), {}
    for path in sorted(work.glob("*.npz")):
        if names and path.stem not in names:
            continue
        source = Set.load(path)
        began = time.process_time()
        heard = [listen(sound) for sound in source.sounds]
        spent, length = time.process_time() - began, sum(map(len, source.sounds)) / RATE
        rows[source.name] = report(source, heard)
        rows[source.name]["real-time factor"] = round(spent / length, 3)
        if source.name.startswith("narration"):
            rows[source.name]["still open after 1.5 s"] = never_ended(folder, source)
        rows[source.name]["heard"] = heard
    return rows


def main() -> None:
    """Prepare the sound, or measure models with it."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("what", choices=["prepare", "measure"])
    parser.add_argument("work", type=Path)
    parser.add_argument("models", type=Path, nargs="*")
    parser.add_argument("--speech", type=Path, default=Path(os.environ.get("JOURNAL_SPEECH", "../shared/data/speech")))
    parser.add_argument("--json", type=Path)
    parser.add_argument("--only", nargs="*")
    options = parser.parse_args()
    if options.what == "prepare":
        prepare(options.work, options.speech)
        return
    found = {}
    for folder in options.models:
        found[str(folder)] = rows = measure(options.work, folder, options.only)
        print(folder)
        for name, row in rows.items():
            print(f"  {name:24}", ", ".join(f"{k} {v}" for k, v in row.items() if k != "heard"), flush=True)
    if options.json:
        options.json.write_text(json.dumps(found, indent=1), encoding="utf-8")


if __name__ == "__main__":
    main()
