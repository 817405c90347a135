"""Back-off trigram models of the trade's sentences, mixed into one, as ARPA text.

The grammar's sentences, of which any number can be drawn, are smoothed as in Witten and Bell, 'The zero-frequency
problem', IEEE Transactions on Information Theory 37(4), 1991; what people wrote, of which there is little, as in Kneser
and Ney, 'Improved backing-off for M-gram language modeling', ICASSP 1995 (interpolated).  The mixture is linear: every
gram of either model is listed with the weighted mean of both probabilities.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from random import Random

Gram = tuple[str, ...]
UNKNOWN = "[unk]"
ORDER = 3
DISCOUNT = 0.8


class Trigrams:
    """Counted sentences as a model that gives every gram a probability."""

    def __init__(self, vocabulary: Iterable[str], unknown_every: int, seed: int, *, kneser_ney: bool = False) -> None:
        self.vocabulary = set(vocabulary) | {UNKNOWN}
        self.unknown_every = unknown_every
        self.kneser_ney = kneser_ney
        self.rng = Random(seed)
        self.counts: list[Counter[Gram]] = [Counter() for _ in range(ORDER)]
        self.totals: list[dict[Gram, int]] = []
        self.kinds: list[dict[Gram, int]] = []

    def add(self, sentence: Sequence[str]) -> None:
        """Count one sentence; words outside the vocabulary, and one in ``unknown_every``, become unknown."""
        inside = [
            w if w in self.vocabulary and self.rng.random() * self.unknown_every >= 1 else UNKNOWN for w in sentence
        ]
        words = ["<s>", *inside, "</s>"]
        for order in range(1, ORDER + 1):
            for start in range(len(words) - order + 1):
                self.counts[order - 1][tuple(words[start : start + order])] += 1

    def settle(self, cutoffs: Sequence[int] = (1, 1, 1)) -> None:
        """End the counting: grams seen less often than their order's cut-off are left to the back-off."""
        if self.kneser_ney:
            for order in range(1, ORDER):
                kinds = Counter(gram[1:] for gram in self.counts[order])
                self.counts[order - 1] = Counter(
                    {g: c if g[0] == "<s>" else kinds[g] for g, c in self.counts[order - 1].items()}
                )
        self.counts[0].pop(("<s>",), None)
        for place, cutoff in enumerate(cutoffs):
            self.counts[place] = Counter({g: c for g, c in self.counts[place].items() if c >= cutoff})
            totals: dict[Gram, int] = defaultdict(int)
            kinds_after: dict[Gram, int] = defaultdict(int)
            for gram, count in self.counts[place].items():
                totals[gram[:-1]] += count
                kinds_after[gram[:-1]] += 1
            self.totals.append(dict(totals))
            self.kinds.append(dict(kinds_after))

    def chance(self, gram: Gram) -> float:
        """Probability of the last word of ``gram`` after the ones before it."""
        if not gram:
            return 1 / (len(self.vocabulary) + 1)  # and the sentence's end
        order, history = len(gram) - 1, gram[:-1]
        below = self.chance(gram[1:])
        total = self.totals[order].get(history, 0)
        if not total:
            return below
        kinds, count = self.kinds[order][history], self.counts[order].get(gram, 0)
        if self.kneser_ney:
            return (max(count - DISCOUNT, 0) + DISCOUNT * kinds * below) / total
        return (count + kinds * below) / (total + kinds)


class Mixture:
    """Settled models and their weights, which sum to one."""

    def __init__(self, models: Sequence[tuple[float, Trigrams]]) -> None:
        if not math.isclose(sum(weight for weight, _ in models), 1):
            raise ValueError("the weights of a mixture sum to one")
        self.models = models

    def chance(self, gram: Gram) -> float:
        """Probability of the last word of ``gram`` after the ones before it."""
        return sum(weight * model.chance(gram) for weight, model in self.models)

    def perplexity(self, sentences: Iterable[Sequence[str]]) -> float:
        """The number of words that would be equally surprising, over all words and sentence ends."""
        logs = count = 0.0
        vocabulary = self.models[0][1].vocabulary
        for sentence in sentences:
            words = ["<s>", *(w if w in vocabulary else UNKNOWN for w in sentence), "</s>"]
            for end in range(1, len(words)):
                logs += math.log(self.chance(tuple(words[max(0, end - ORDER + 1) : end + 1])))
                count += 1
        return math.exp(-logs / max(count, 1))

    def arpa(self, least: float = 0.0) -> str:
        """ARPA text of every gram that one of the models counted, and every word.

        Trigrams are left to the back-off when that costs less than ``least`` nats a word of running text: their chance,
        history included, times what they differ from the back-off in logarithm (as in Seymore and Rosenfeld, 'Scalable
        backoff language models', ICSLP 1996, of chances instead of counts).
        """
        vocabulary = self.models[0][1].vocabulary
        listed: list[set[Gram]] = [{(w,) for w in vocabulary} | {("</s>",)}]
        for place in range(1, ORDER):
            found = {gram for _, model in self.models for gram in model.counts[place]}
            listed.append(found)
            # A gram's history must be listed too, to carry the weight of its back-off.
            listed[place - 1] |= {g[:-1] for g in found if g[:-1] != ("<s>",)}
        chances = [{gram: self.chance(gram) for gram in sorted(grams)} for grams in listed]
        backoffs: list[dict[Gram, float]] = []
        for place in range(1, ORDER):
            if place == ORDER - 1 and least:
                _prune(chances, backoffs, least)
            spoken_for: dict[Gram, list[float]] = defaultdict(lambda: [0.0, 0.0])
            for gram, chance in chances[place].items():
                sums = spoken_for[gram[:-1]]
                sums[0] += chance
                sums[1] += _listed(chances, backoffs, gram[1:])
            backoffs.append({h: max(1 - a, 1e-9) / max(1 - b, 1e-9) for h, (a, b) in spoken_for.items()})
        chances[0][("<s>",)] = 1e-99
        lines = ["\\data\\", *(f"ngram {n}={len(p)}" for n, p in enumerate(chances, 1))]
        for order, table in enumerate(chances, 1):
            lines += ["", f"\\{order}-grams:"]
            for gram, chance in table.items():
                backoff = backoffs[order - 1].get(gram) if order < ORDER else None
                end = "" if backoff is None else f"\t{math.log10(backoff):.5f}"
                lines.append(f"{math.log10(max(chance, 1e-99)):.5f}\t{' '.join(gram)}{end}")
        return "\n".join([*lines, "", "\\end\\", ""])


def _prune(chances: Sequence[dict[Gram, float]], backoffs: Sequence[dict[Gram, float]], least: float) -> None:
    """Take trigrams out that the back-off tells nearly as well; the bigrams stay."""
    sums: dict[Gram, list[float]] = defaultdict(lambda: [0.0, 0.0])
    below = {gram: _listed(chances, backoffs, gram[1:]) for gram in chances[2]}
    for gram, chance in chances[2].items():
        sums[gram[:-1]][0] += chance
        sums[gram[:-1]][1] += below[gram]
    for gram, backed in below.items():
        listed, shorter = sums[gram[:-1]]
        backed *= max(1 - listed, 1e-9) / max(1 - shorter, 1e-9)
        start = 1.0 if gram[0] == "<s>" else chances[0][gram[:1]]
        chance = chances[2][gram]
        if start * chances[1][gram[:2]] * chance * math.log(chance / backed) < least:
            del chances[2][gram]


def _listed(chances: Sequence[dict[Gram, float]], backoffs: Sequence[dict[Gram, float]], gram: Gram) -> float:
    """Probability of ``gram`` as the ARPA text gives it, backing off where it is not listed."""
    found = chances[len(gram) - 1].get(gram)
    if found is not None:
        return found
    return backoffs[len(gram) - 2].get(gram[:-1], 1.0) * _listed(chances, backoffs, gram[1:])
