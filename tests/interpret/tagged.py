"""Sentences understood as if the tagger had a given opinion of every word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pytest

from journal.domain.reading import Reading
from journal.domain.speech import Utterance, Word
from journal.interpret import board, interpret
from journal.interpret.tagger.encoder import learned
from journal.interpret.tagger.tags import Tags


def said(line: str, index: int = 0) -> Utterance:
    words = tuple(Word(w, 6.0 * index + n * 0.3, 6.0 * index + n * 0.3 + 0.25) for n, w in enumerate(line.split()))
    return Utterance("r1", index, words)


def read(*lines: str) -> tuple[Reading, ...]:
    return interpret([said(line, n) for n, line in enumerate(lines)]).readings


def opinion(
    monkeypatch: pytest.MonkeyPatch,
    kinds: Mapping[str, float],
    roles: Mapping[str, float] | None = None,
    components: Mapping[str, float] | None = None,
    starts: Sequence[float] | None = None,
) -> None:
    """Let the tagger say the same of every word; ``starts`` word by word, half and half where it is not given."""
    outputs = learned().outputs
    told = {"kind": kinds, "role": roles or {"measured": 1.0}, "component": components or {}}

    def tags(words: Sequence[str], earlier: object) -> Tags:
        shares = {
            name: np.array([[told[name].get(label, 0.0) for label in outputs[name]]] * len(words), np.float32)
            for name in told
        }
        begun = [*(starts or ()), *[0.5] * len(words)][: len(words)]
        shares["start"] = np.array([[1 - share, share] for share in begun], np.float32)
        return Tags(outputs, shares)

    monkeypatch.setattr(board, "tags_of", tags)
