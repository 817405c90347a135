"""What was heard: words with their seconds and confidence, in utterances between pauses."""

from __future__ import annotations

import math
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Word:
    """One heard or typed word.

    ``start`` and ``end`` are seconds from the recording's start (both 0.0 for typed notes);
    ``confidence`` is the recogniser's own figure, 0..1 (1.0 for typed notes).
    """

    text: str
    start: float = 0.0
    end: float = 0.0
    confidence: float = 1.0

    def __post_init__(self) -> None:
        if not self.text or self.text.split() != [self.text]:
            raise ValueError(f"a word has no white space and is not empty: {self.text!r}")
        if not (math.isfinite(self.start) and math.isfinite(self.end)) or self.end < self.start:
            raise ValueError(f"a word cannot end before it starts: {self.start}..{self.end}")
        if not 0.0 <= self.confidence <= 1.0:
            raise ValueError(f"confidence lies in 0..1, not {self.confidence}")


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """Another sequence of words the recogniser thought possible for the same utterance.

    ``score`` orders the hypotheses of one utterance (higher is likelier); it is no probability.
    """

    words: tuple[Word, ...]
    score: float

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)


@dataclass(frozen=True, slots=True)
class Utterance:
    """The words between two pauses of one recording, or one line of a typed note.

    ``recording`` names the recording inside the visit (``r1``, ``r2``...; ``note`` for typed text);
    ``index`` counts utterances of that recording from 0.
    """

    recording: str
    index: int
    words: tuple[Word, ...]
    alternatives: tuple[Hypothesis, ...] = field(default=(), compare=False)
    heard_by: str = "vosk"

    def __post_init__(self) -> None:
        for before, after in zip(self.words, self.words[1:], strict=False):
            if after.start < before.start:
                raise ValueError(
                    f"words out of order: {before.text!r} at {before.start}, {after.text!r} at {after.start}"
                )

    @property
    def text(self) -> str:
        return " ".join(word.text for word in self.words)

    @property
    def start(self) -> float:
        return self.words[0].start if self.words else 0.0

    @property
    def end(self) -> float:
        return self.words[-1].end if self.words else 0.0


def utterance_of(text: str, recording: str = "note", index: int = 0) -> Utterance:
    """Return a typed line as an utterance without times: one word per run of non-space."""
    return Utterance(recording, index, tuple(Word(part) for part in text.split()), heard_by="typed")
