"""Recognisers side by side, each as a function from 16 kHz sound to text, and the numbers in what they write.

Whisper writes digits, the others words: numbers are compared as values, read out of either writing by the language
stage, the same for all.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import numpy as np
import numpy.typing as npt

from journal.domain.speech import Utterance, Word, utterance_of
from journal.interpret.document import pieces_of
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import groupings, runs
from models.recipe import spoken

Sound = npt.NDArray[np.float32]
Listener = Callable[[Sound], str]
RATE = 16000
LONGEST = 28.0
"""Seconds that whisper is given at once."""


def whisper() -> Listener:
    """The second listener alone, prompted as the journal prompts it, on the whole item as one utterance."""
    from journal.cli.hearing import load_second_listener

    second = load_second_listener("auto")
    assert second is not None, "the second listener is not installed"

    def listen(sound: Sound) -> str:
        samples = (np.clip(sound, -1, 1) * 32767).astype(np.int16)
        seconds = min(LONGEST, len(samples) / RATE)
        heard = second.hear(samples, Utterance("r1", 0, (Word("?", 0.0, seconds),)))
        return heard.text if heard else ""

    return listen


def pocketsphinx(sentences: int = 120_000) -> Listener:
    """Pocketsphinx's own US English sounds with the recipe's dictionary and language model."""
    from pocketsphinx import Decoder, get_model_path  # type: ignore[import-untyped,unused-ignore]

    from models.recipe import graph, lexicon

    words, _ = lexicon.build()
    folder = Path(tempfile.mkdtemp(prefix="pocketsphinx-"))
    spelled = [
        f"{word}{f'({n})' if n > 1 else ''} {' '.join(way)}"
        for word, ways in words.items()
        for n, way in enumerate(ways, 1)
    ]
    (folder / "dict").write_text("\n".join([*spelled, ""]), encoding="utf-8")
    arpa = graph.language_mixture(words, sentences, seed=11, unknown_every=80, written=0.7, strings=2000).arpa()
    (folder / "lm").write_text(arpa.replace("[unk]", "<UNK>"), encoding="utf-8")
    sounds = str(Path(get_model_path()) / "en-us" / "en-us")
    decoder = Decoder(hmm=sounds, dict=str(folder / "dict"), lm=str(folder / "lm"), loglevel="FATAL")

    def listen(sound: Sound) -> str:
        decoder.start_utt()
        decoder.process_raw((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes(), full_utt=True)
        decoder.end_utt()
        heard = decoder.hyp()
        return str(heard.hypstr) if heard else ""

    return listen


def numbers(text: str) -> tuple[Decimal, ...]:
    """The numbers in a text, in words or digits, in order; 'l one' counts as one too, alike for all."""
    pieces = pieces_of(utterance_of(text)) if text.strip() else ()
    found: list[Decimal] = []
    for first, behind in runs(pieces, [True] * len(pieces)):
        ways = groupings(Reader(pieces), first, behind)
        found += [number.value for number in ways[0].numbers] if ways else []
    return tuple(value.normalize() + 0 for value in found)


_DIGIT_WORDS = {word: str(value) for value, word in enumerate(spoken.ONES[:10])}
_SOUNDS = {"oh": "0", "o": "0", "to": "2", "too": "2", "for": "4", "ate": "8", "won": "1"}


def digits(text: str) -> str:
    """A string of digits as one speaks them; what sounds like a digit is one, alike for all."""
    words = re.findall(r"[a-z]+|\d", text.lower())
    return "".join({**_DIGIT_WORDS, **_SOUNDS}.get(word, word if word.isdigit() else "?") for word in words)
