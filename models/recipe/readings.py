"""Spoken readings to measure with: sentences with their true values, units and points, in the reserved voices.

The truth is drawn first and the words are made from it (``models/evaluation/readings.frames``), so that no rule of the
journal has a say in what is right.  ``rms`` is for learning (thresholds, counts of differences, calibration), ``joe``
for measuring; neither voice was trained on.  Noise is laid over when the sound is heard: ``in_noise``.

    python -m models.recipe.readings WORK        # once: WORK/readings/VOICE/NNNN.flac and truth.jsonl
"""

from __future__ import annotations

import argparse
import json
import re
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt
import soundfile

from models.recipe import noise, spoken

Sound = npt.NDArray[np.float32]
RATE = 16000
FRAMES = Path(__file__).parents[1] / "evaluation" / "readings.frames"
COUNTS = {"joe": 1000, "rms": 600}
SEEDS = {"joe": 71, "rms": 72}
NOISES = ("hum", "fans", "wind", "metal box", "radio")
_SLOT = re.compile(r"<([\w-]+)>")


@dataclass(frozen=True)
class Truth:
    """One spoken reading; ``points`` is None where careful colleagues would differ."""

    value: str
    unit: str
    points: tuple[str, ...] | None
    optional: bool = False


@dataclass(frozen=True)
class Line:
    """One sentence as spoken, and every reading in it."""

    text: str
    readings: tuple[Truth, ...]


@dataclass(frozen=True)
class Frame:
    """A sentence with slots, and for each slot its unit and points."""

    text: str
    slots: tuple[str, ...]
    meanings: tuple[tuple[str, tuple[str, ...] | None, bool], ...]


@dataclass(frozen=True)
class Frames:
    """The file: how values are drawn, and the sentences."""

    values: dict[str, tuple[str, ...]]
    frames: tuple[Frame, ...]


def read_frames(text: str) -> Frames:
    """Parse the file; ValueError where a slot has no meaning or no values."""
    values, frames = {}, []
    for line in (raw.strip() for raw in text.splitlines()):
        if line.startswith("@"):
            name, *choices = line[1:].split()
            values[name] = tuple(choices)
        elif line and not line.startswith("#"):
            said, sign, meant = line.partition("=")
            slots = tuple(_SLOT.findall(said))
            meanings = tuple(_meaning(part) for part in meant.split(";") if part.strip())
            if not sign or (meanings and len(meanings) != len(slots)):
                raise ValueError(f"as many meanings as values are needed: {line!r}")
            frames.append(Frame(said.strip(), slots, meanings))
    unknown = {slot for frame in frames for slot in frame.slots} - set(values)
    if unknown:
        raise ValueError(f"no such value: {', '.join(sorted(unknown))}")
    return Frames(values, tuple(frames))


def _meaning(text: str) -> tuple[str, tuple[str, ...] | None, bool]:
    unit, points = text.split()
    told = None if points == "?" else () if points == "-" else tuple(points.split("-"))
    return unit.lstrip("~"), told, unit.startswith("~")


def draw(choices: Sequence[str], rng: Random) -> str:
    """A value as it would be written: '24', '1.50', '-12'."""
    choice = rng.choice(choices)
    span, _, places = choice.partition("/")
    if ".." not in span:
        return choice
    low, high = span.split("..")
    return f"{rng.uniform(float(low), float(high)):.{places}f}" if places else str(rng.randint(int(low), int(high)))


def say(value: str, rng: Random) -> str:
    """A value in one of the ways people say it; halves are mostly said as such."""
    if value.endswith(".5") and rng.random() < 0.6:
        whole = int(value[:-2])
        return f"{spoken.integer(whole, rng)} and a half" if whole else "a half"
    if "." not in value and int(value) >= 1000:
        return _thousands(int(value), rng)
    return spoken.decimal(value, rng)


def _thousands(value: int, rng: Random) -> str:
    """1,550 as 'fifteen fifty' or 'one thousand five hundred fifty', 1,500 mostly as 'fifteen hundred'."""
    hundreds, rest = divmod(value, 100)
    if hundreds % 10 and rng.random() < 0.7:
        tail = "hundred" if not rest else f"oh {spoken.ONES[rest]}" if rest < 10 else spoken.below_hundred(rest)
        return f"{spoken.below_hundred(hundreds)} {tail}"
    thousands, within = divmod(value, 1000)
    more = [f"{spoken.ONES[within // 100]} hundred"] if within >= 100 else []
    more += [spoken.below_hundred(rest)] if rest else []
    return " ".join([f"{spoken.below_hundred(thousands)} thousand", *more])


def lines(voice: str, most: int | None = None) -> list[Line]:
    """Sentences with at least ``COUNTS[voice]`` readings that must come out, every frame about as often."""
    told, rng = read_frames(FRAMES.read_text(encoding="utf-8")), Random(SEEDS[voice])
    wanted, made, count = COUNTS[voice] if most is None else most, [], 0
    while count < wanted:
        for frame in rng.sample(told.frames, len(told.frames)):
            if count >= wanted:
                break
            values = [draw(told.values[slot], rng) for slot in frame.slots]
            said = iter([say(value, rng) for value in values])
            text = _SLOT.sub(lambda _, said=said: next(said), frame.text)  # type: ignore[misc]
            truths = tuple(
                Truth(str(Decimal(value)), unit, points, optional)
                for value, (unit, points, optional) in zip(values, frame.meanings, strict=False)
            )
            made.append(Line(text, truths))
            count += sum(not truth.optional for truth in truths)
    return made


def prepare(work: Path, voice: str) -> int:
    """Speak the lines of one voice; returns how many there are.

    What is already there stays.  ValueError when that is other sentences, as after a change of the frames.
    """
    from models.recipe import voices
    from models.recipe.evaluate import padded

    folder = work / "readings" / voice
    folder.mkdir(parents=True, exist_ok=True)
    spelled, rows = voices.initialisms(), lines(voice)
    told, truth = "".join(json.dumps(asdict(line)) + "\n" for line in rows), folder / "truth.jsonl"
    old = truth.read_text(encoding="utf-8") if truth.exists() else ""
    if not (old.startswith(told) or told.startswith(old)):
        raise ValueError(f"{folder} holds the sound of other sentences; name another folder")
    truth.write_text(told, encoding="utf-8")
    with tempfile.TemporaryDirectory() as scratch:
        speak = voices.ENGINES[voice](scratch)
        for place, line in enumerate(rows):
            path = folder / f"{place:04d}.flac"
            if path.exists():
                continue
            sound, rate, _ = speak(voices.readable(line.text.split(), spelled), Random(place))
            tidied = voices.tidy(sound, rate)
            if tidied is None:
                raise RuntimeError(f"{voice} said nothing: {line.text!r}")
            soundfile.write(path, padded(tidied, np.random.default_rng([SEEDS[voice], place])), RATE, subtype="PCM_16")
    return len(rows)


def load(work: Path, voice: str) -> list[tuple[Path, Line]]:
    """The sounds of a voice with their truth, as ``prepare`` left them."""
    folder = work / "readings" / voice
    rows = [json.loads(row) for row in (folder / "truth.jsonl").read_text(encoding="utf-8").splitlines()]
    return [(folder / f"{place:04d}.flac", _line(row)) for place, row in enumerate(rows)]


def _line(row: dict[str, Any]) -> Line:
    truths = tuple(
        Truth(t["value"], t["unit"], None if t["points"] is None else tuple(t["points"]), t["optional"])
        for t in row["readings"]
    )
    return Line(row["text"], truths)


def in_noise(sound: Sound, place: int, ratio_db: float, radio: Sequence[Sound]) -> tuple[Sound, str]:
    """A sentence beside a machine at a speech-to-noise ratio, and which noise: they take turns by ``place``.

    The metal box echoes the voice and has a fan in it; the radio is another voice saying readings over a little hiss.
    """
    kind, rng = NOISES[place % len(NOISES)], np.random.default_rng([81, place])
    if kind == "metal box":
        boxed = noise.metal_box(sound, rng)[: len(sound)]
        return noise.mix(boxed, noise.fans(len(boxed), rng), ratio_db), kind
    if kind != "radio":
        return noise.mix(sound, noise.KINDS[kind](len(sound), rng), ratio_db), kind
    other = radio[place // len(NOISES) % len(radio)]
    other = np.tile(other, len(sound) // len(other) + 1)[: len(sound)]
    level = noise.speech_level(other)
    return noise.mix(sound, other.astype(np.float64) / level + 0.02 * rng.standard_normal(len(sound)), ratio_db), kind


RADIO = {
    "the other truck has two hundred and eleven volts and eight point six amps over there": ("211", "8.6"),
    "copy that we had four hundred ten psi and nineteen degrees on the last one": ("410", "19"),
    "somebody read me fifty five microfarads and three point three ohms": ("55", "3.3"),
    "he said seven hundred microns after thirty minutes and then sixty two degrees": ("700", "30", "62"),
}
"""What the radio says, and its values: none of them may become a reading."""


def radio() -> list[Sound]:
    """Another voice (flite slt) saying readings that are nobody's here, in a radio's band of 300 to 3,400 Hz."""
    from models.recipe import voices

    made = []
    with tempfile.TemporaryDirectory() as scratch:
        speak = voices.flite(scratch, ("slt",))
        for place, text in enumerate(RADIO):
            sound, rate, _ = speak(text, Random(place))
            tidied = voices.tidy(sound, rate)
            assert tidied is not None
            spectrum, hertz = np.fft.rfft(tidied), np.fft.rfftfreq(len(tidied), 1 / RATE)
            made.append(np.fft.irfft(spectrum * ((hertz > 300) & (hertz < 3400)), len(tidied)).astype(np.float32))
    return made


def main() -> None:
    """Speak the readings."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("work", type=Path)
    parser.add_argument("--voices", nargs="*", default=list(COUNTS))
    options = parser.parse_args()
    for voice in options.voices:
        rows = prepare(options.work, voice)
        truths = [truth for line in lines(voice) for truth in line.readings if not truth.optional]
        print(f"{voice}: {rows} sentences, {len(truths)} readings")


if __name__ == "__main__":
    main()
