"""Learns what a number without a unit measures from the words around it: ``journal/interpret/opinion.json``.

    python -m models.recipe.opinion [--write]

The sentences are the open phrase tables, the classes what the language stage makes of them, which is what the tables
say as long as their tests pass.  Multinomial logistic regression of scikit-learn (extra ``test``), deterministic; small
weights are left out.  Prints how often each class is met, and the share of a left-out fifth it names rightly.
"""

from __future__ import annotations

import argparse
import json
import tomllib
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

from journal.domain.reading import Reading
from journal.domain.speech import Utterance, Word
from journal.interpret import opinion
from journal.interpret.document import Piece, pieces_of
from journal.interpret.narration import Narration
from journal.interpret.numbers import Reader
from journal.interpret.runs import groupings, is_number_word
from models.recipe.phrases import TABLES

OUT = Path(opinion.__file__).with_name("opinion.json")
LEAST = 5  # numbers of a class
SMALLEST = 0.04  # weights nearer to zero are left out
Example = tuple[dict[str, float], str]


def narrations(folder: Path = TABLES) -> Iterator[list[str]]:
    """The utterances of every open phrase, spoken or typed."""
    for path in sorted(folder.glob("*.toml")):
        for phrase in tomllib.loads(path.read_text(encoding="utf-8")).get("phrase", []):
            yield phrase["said"] if isinstance(phrase["said"], list) else [phrase["said"]]


def examples(said: list[str]) -> Iterator[Example]:
    """Features and class of every run of number words in one narration."""
    narration, previous, earlier = Narration(), "-", list[str]()
    for index, line in enumerate(said):
        words = tuple(Word(w, 6.0 * index + n * 0.3, 6.0 * index + n * 0.3 + 0.25) for n, w in enumerate(line.split()))
        utterance = Utterance("r1", index, words)
        narration.take(utterance)
        pieces = pieces_of(utterance)
        read = [r for r in narration.interpretation.readings if r.evidence and r.evidence.utterance == index]
        for first, last in _runs(pieces):
            found = _reading_at(read, pieces[first].word, pieces[last].word)
            value = _number(found) if found else _read(pieces, first, last)
            label = opinion.label_of(found.kind, found.unit) if found else opinion.NONE
            yield opinion.features(pieces, first, last, value, previous, earlier), label
            previous = label if found else previous
        earlier = opinion.shape(pieces)


def _runs(pieces: tuple[Piece, ...]) -> Iterator[tuple[int, int]]:
    first = None
    for place, piece in enumerate(pieces):
        number = is_number_word(piece)
        if number and first is None:
            first = place
        elif not number and first is not None:
            yield first, place - 1
            first = None
    if first is not None:
        yield first, len(pieces) - 1


def _reading_at(read: list[Reading], first: int, last: int) -> Reading | None:
    for reading in read:
        evidence = reading.evidence
        if evidence and _number(reading) is not None and evidence.first <= last and evidence.last >= first:
            return reading
    return None


def _read(pieces: tuple[Piece, ...], first: int, last: int) -> Decimal | None:
    """A number that is no reading, in its likeliest grouping."""
    ways = groupings(Reader(pieces), first, last + 1)
    return ways[0].numbers[0].value if ways and ways[0].numbers else None


def _number(reading: Reading) -> Decimal | None:
    return next((n for n in (reading.value, reading.high, reading.low) if n is not None), None)


def learn(found: list[Example]) -> opinion.Weights:
    """Fit the regression."""
    from sklearn.feature_extraction import DictVectorizer
    from sklearn.linear_model import LogisticRegression

    counts = Counter(label for _, label in found)
    kept = [(told, label) for told, label in found if counts[label] >= LEAST]
    vectorizer = DictVectorizer()
    told = vectorizer.fit_transform([told for told, _ in kept])
    model = LogisticRegression(C=3, max_iter=400)
    model.fit(told, [label for _, label in kept])
    weights: dict[str, dict[str, float]] = {}
    for column, name in enumerate(vectorizer.get_feature_names_out()):
        row = {str(n): round(float(w), 2) for n, w in enumerate(model.coef_[:, column]) if abs(w) >= SMALLEST}
        if row:
            weights[str(name)] = row
    bias = tuple(round(float(b), 3) for b in model.intercept_)
    return opinion.Weights(tuple(map(str, model.classes_)), bias, weights)


def main() -> None:
    """Learn; with --write for the package."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    found = [list(examples(said)) for said in narrations()]
    flat = [example for group in found for example in group]
    print(len(flat), "numbers:", ", ".join(f"{name} {n}" for name, n in Counter(c for _, c in flat).most_common()))
    partial = learn([example for n, group in enumerate(found) if n % 5 for example in group])
    asked = [example for group in found[::5] for example in group if example[1] != opinion.NONE]
    shares = [(partial.shares(told), label) for told, label in asked]
    right = sum(max((s, n) for n, s in share.items() if n != opinion.NONE)[1] == label for share, label in shares)
    against = sum(share.get(label, 1) < opinion.UNLIKELY for share, label in shares)
    print(f"left-out fifth: {right} of {len(asked)} kinds named rightly, {against} rightly read ones spoken against")
    if options.write:
        weights = learn(flat)
        lines = ",\n".join(f"  {json.dumps(name)}: {json.dumps(row)}" for name, row in sorted(weights.weights.items()))
        head = json.dumps({"classes": weights.classes, "bias": weights.bias}, indent=1)[:-2]
        OUT.write_text(f'{head},\n "weights": {{\n{lines}\n }}\n}}\n', encoding="utf-8")
        print(OUT.name, OUT.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
