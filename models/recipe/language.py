"""A back-off trigram model of the trade's sentences, as ARPA text (Witten-Bell smoothing, interpolated).

Witten and Bell, 'The zero-frequency problem', IEEE Transactions on Information Theory 37(4), 1991.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from random import Random

Gram = tuple[str, ...]
UNKNOWN = "[unk]"
ORDER = 3


class Trigrams:
    """Counts sentences and turns them into probabilities."""

    def __init__(self, vocabulary: Iterable[str], unknown_every: int, seed: int) -> None:
        self.vocabulary = set(vocabulary) | {UNKNOWN}
        self.unknown_every = unknown_every
        self.rng = Random(seed)
        self.counts: list[Counter[Gram]] = [Counter() for _ in range(ORDER)]

    def add(self, sentence: Sequence[str], times: int = 1) -> None:
        """Count one sentence; words outside the vocabulary, and one in ``unknown_every``, become unknown."""
        inside = [
            w if w in self.vocabulary and self.rng.random() * self.unknown_every >= 1 else UNKNOWN for w in sentence
        ]
        words = ["<s>", *inside, "</s>"]
        for order in range(1, ORDER + 1):
            for start in range(len(words) - order + 1):
                self.counts[order - 1][tuple(words[start : start + order])] += times

    def arpa(self, cutoffs: Sequence[int] = (1, 1, 2)) -> str:
        """ARPA text; grams seen less often than their order's cut-off are left to the back-off."""
        singles = Counter(self.counts[0])
        for word in self.vocabulary:
            singles[(word,)] += 1
        singles.pop(("<s>",), None)
        total = sum(singles.values())
        chances: list[dict[Gram, float]] = [{g: c / total for g, c in singles.items()}]
        backoffs: list[dict[Gram, float]] = [{}]
        for order in range(2, ORDER + 1):
            self._add_order(order, cutoffs[order - 1], chances, backoffs)
        chances[0][("<s>",)] = 1e-99
        lines = ["\\data\\", *(f"ngram {n}={len(p)}" for n, p in enumerate(chances, 1))]
        for order, table in enumerate(chances, 1):
            lines += ["", f"\\{order}-grams:"]
            for gram, chance in table.items():
                backoff = backoffs[order].get(gram) if order < ORDER else None
                end = "" if backoff is None else f"\t{math.log10(backoff):.5f}"
                lines.append(f"{math.log10(max(chance, 1e-99)):.5f}\t{' '.join(gram)}{end}")
        return "\n".join([*lines, "", "\\end\\", ""])

    def _add_order(
        self, order: int, cutoff: int, chances: list[dict[Gram, float]], backoffs: list[dict[Gram, float]]
    ) -> None:
        """Fill in one order's probabilities and its histories' back-off weights."""
        followers: dict[Gram, list[tuple[Gram, int]]] = defaultdict(list)
        for gram, count in self.counts[order - 1].items():
            if count >= cutoff:
                followers[gram[:-1]].append((gram, count))
        table: dict[Gram, float] = {}
        weights: dict[Gram, float] = {}
        for history, grams in followers.items():
            kinds, seen = len(grams), sum(c for _, c in grams)
            share = kinds / (kinds + seen)
            lower = [_lower(chances, backoffs, gram[1:]) for gram, _ in grams]
            for (gram, count), below in zip(grams, lower, strict=True):
                table[gram] = (1 - share) * count / seen + share * below
            left = max(1 - sum(table[g] for g, _ in grams), 1e-9)
            weights[history] = left / max(1 - sum(lower), 1e-9)
        chances.append(table)
        backoffs.append(weights)


def _lower(chances: list[dict[Gram, float]], backoffs: list[dict[Gram, float]], gram: Gram) -> float:
    """Probability of ``gram`` by the model of its own order, backing off where it is not listed."""
    order = len(gram)
    if gram in chances[order - 1]:
        return chances[order - 1][gram]
    if order == 1:
        return 1e-9
    return backoffs[order - 1].get(gram[:-1], 1.0) * _lower(chances, backoffs, gram[1:])
