"""Learn how likely readings are wrong: the weights of ``journal/interpret/standing/sureness.toml``.

    python -m models.recipe.tagger.sureness --of TAGGER.npz TABLE.toml ... [--of OTHER.npz TABLE.toml ...] [--write]

A tagger must not have learned from its tables (``learn --without``): what it is sure of among its own examples
tells nothing.  The tables are read with it, every reading is compared with what its table expects, and a logistic
regression learns from the features of each (``features``) whether number, unit, kind or role is wrong.  What it is
worth is shown on each half of the tables, learned from the other half; ``--write`` writes what is learned from all.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from sklearn.linear_model import LogisticRegression

from journal.domain.reading import Doubt, Reading
from journal.interpret import assemble
from journal.interpret.board import Board
from journal.interpret.narration import Narration
from journal.interpret.numbers.amounts import Amount
from journal.interpret.standing import sureness
from journal.interpret.standing.second_look import as_parted
from journal.interpret.tagger import tags
from journal.interpret.tagger.encoder import unpacked
from tests.benchmarks.bench_phrases import MEANT
from tests.interpret.phrase_differences import align, reading_differences
from tests.interpret.phrase_tables import load_table
from tests.interpret.phrase_types import Phrase

OUT = Path(sureness.__file__).with_name("sureness.toml")
STRENGTH = 0.3  # inverse of the penalty on large weights
FEWEST = 10  # readings with a feature; rarer ones get no weight
HEAD = """# What tells that a reading is wrong: weights of a logistic regression, learned by
# models/recipe/tagger/sureness.py from {count} readings ({wrong} wrong) of {tables} authors that the tagger had not
# met.  `doubted_from` is the share from which on a reading is doubted that the rules do not doubt,
# `kept_from` that from which on their doubts are kept.
"""


@dataclass
class Seen:
    """A reading that was shown, and whether it was wrong."""

    table: str
    features: dict[str, float]
    wrong: bool
    doubted: bool  # by the rules alone


def seen_in(phrase: Phrase) -> Iterator[Seen]:
    """The readings of a narration that a table says anything of."""
    noted: dict[int, list[tuple[int, int, dict[str, float]]]] = {}

    def note(reading: Reading, board: Board, amount: Amount, kinds: dict[str, float], _: Sequence[Doubt]) -> Reading:
        first, last = amount.number_first, amount.number_last
        if kinds and not amount.repeated:
            found = sureness.features(reading, board, first, last, kinds, as_parted(board, first, last))
            words = (board.pieces[first].word, board.pieces[last].word)
            noted.setdefault(board.utterance.index, []).append((*words, found))
        return reading

    kept, narration = assemble.weighed, Narration()
    assemble.weighed = note
    try:
        for utterance in phrase.utterances():
            narration.take(utterance)
    finally:
        assemble.weighed = kept
    for want, got in align(phrase, narration.interpretation):
        if got is None or got.withdrawn or got.evidence is None or (want and (want.withdrawn or want.optional)):
            continue
        inside = [
            found
            for first, last, found in noted.get(got.evidence.utterance, ())
            if got.evidence.first <= first and last <= got.evidence.last
        ]
        if inside:
            wrong = want is None or bool(set(reading_differences(want, got)) & MEANT)
            yield Seen(phrase.table, inside[-1], wrong, got.needs_listening)


def table_of(seen: Sequence[Seen], names: Sequence[str]) -> np.ndarray[Any, Any]:
    return np.array([[each.features.get(name, 0.0) for name in names] for each in seen])


def fitted(seen: Sequence[Seen]) -> dict[str, float]:
    """The weights learned from some readings."""
    counted: dict[str, int] = {}
    for each in seen:
        for name, value in each.features.items():
            counted[name] = counted.get(name, 0) + (value != 0)
    names = sorted(name for name, count in counted.items() if count >= FEWEST and name != "bias")
    wrong = np.array([each.wrong for each in seen])
    while True:
        values = table_of(seen, names)
        middle, spread = values.mean(0), values.std(0) + 1e-6
        model = LogisticRegression(C=STRENGTH, max_iter=3000).fit((values - middle) / spread, wrong)
        slopes = model.coef_[0] / spread
        against = [name for name, slope in zip(names, slopes, strict=True) if name.startswith("doubt ") and slope < 0]
        if not against:  # a doubt of the rules never speaks for a reading
            bias = float(model.intercept_[0] - (slopes * middle).sum())
            return {**dict(zip(names, slopes, strict=True)), "bias": bias}
        names = [name for name in names if name not in against]


def shares(seen: Sequence[Seen], weights: dict[str, float]) -> np.ndarray[Any, Any]:
    names = list(weights)
    return 1 / (1 + np.exp(-table_of(seen, names) @ np.array([weights[name] for name in names])))


def main() -> None:
    """Learn, show what it is worth, and write."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--of", type=Path, nargs="+", action="append", required=True, metavar="TAGGER TABLE")
    parser.add_argument("--doubted-from", type=float, default=0.08)
    parser.add_argument("--kept-from", type=float, default=0.06)
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    seen: list[Seen] = []
    for tagger, *tables in options.of:
        weights = unpacked(tagger.read_bytes())
        tags.learned = cache(lambda weights=weights: weights)
        seen += [each for path in tables for phrase in load_table(path) for each in seen_in(phrase)]
    wrong, doubted = (np.array([getattr(each, name) for each in seen]) for name in ("wrong", "doubted"))
    names = sorted({each.table for each in seen})
    half = np.array([names.index(each.table) % 2 == 0 for each in seen])
    told = np.zeros(len(seen))
    for here in (half, ~half):
        other = fitted([each for each, mine in zip(seen, here, strict=True) if not mine])
        told[here] = shares([each for each, mine in zip(seen, here, strict=True) if mine], other)
    print(f"{len(seen)} readings, {wrong.sum()} wrong; by the rules alone {(wrong & ~doubted).sum()} without a doubt,")
    print(f"  {(~wrong & doubted).sum()} right but doubted")
    for least in (0.06, 0.08, 0.1, 0.12, 0.14, 0.17, 0.2, 0.25):
        sure = told < least
        print(f"from {least}: {(wrong & sure).sum()} wrong without a doubt, {(~wrong & ~sure).sum()} right but doubted")
    if options.write:
        found = {**fitted(seen), "doubted_from": options.doubted_from, "kept_from": options.kept_from}
        head = HEAD.format(count=len(seen), wrong=wrong.sum(), tables=len(names))
        OUT.write_text(head + "".join(f'"{name}" = {value:.4f}\n' for name, value in sorted(found.items())))


if __name__ == "__main__":
    main()
