"""Learns what a number without a unit measures from the words around it: ``journal/interpret/quantities/opinion.json``.

    python -m models.recipe.opinion [--write]

The sentences are the open phrase tables.  Their classes are what the language stage makes of them, which is what the
tables say as long as their tests pass; in those not understood yet, what the table says of that number.  Multinomial
logistic regression of scikit-learn (extra ``test``), deterministic; small weights are left out.  Prints how often each
class is met, and the share of a left-out fifth it names rightly.
"""

from __future__ import annotations

import argparse
import json
import tomllib
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Reading
from journal.domain.speech import Utterance, Word
from journal.interpret.document import Piece, pieces_of
from journal.interpret.narration import Narration
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import groupings, runs
from journal.interpret.quantities import opinion
from journal.interpret.steps import phrases_in
from models.recipe.phrases import OPEN, TABLES

OUT = Path(opinion.__file__).with_name("opinion.json")
LEAST = 5  # numbers of a class
SMALLEST = 0.04  # weights nearer to zero are left out
Example = tuple[dict[str, float], str]


def narrations(folder: Path = TABLES) -> Iterator[tuple[list[str], list[dict[str, Any]] | None]]:
    """The utterances of every open phrase, spoken or typed, and the readings expected where not all are understood."""
    for path in sorted(path for pattern in OPEN for path in folder.glob(pattern)):
        understood = path.parent == folder
        for phrase in tomllib.loads(path.read_text(encoding="utf-8")).get("phrase", []):
            said = phrase["said"] if isinstance(phrase["said"], list) else [phrase["said"]]
            yield said, None if understood else phrase.get("readings", [])


class Expected:
    """The readings expected of a narration, each used once."""

    def __init__(self, readings: list[dict[str, Any]]) -> None:
        self.left = [
            (Fraction(row[key]), opinion.label_of(Kind(row["kind"]), row.get("unit")) if "kind" in row else None)
            for row in readings
            for key in ("value", "high", "low")
            if key in row
        ]

    def take(self, values: list[Decimal]) -> tuple[bool, str | None]:
        """Whether one of ``values`` is expected, and the class it then has (None where the table leaves it open)."""
        for row in self.left:
            if any(abs(row[0] - Fraction(value)) <= abs(row[0]) / 500 for value in values):
                self.left.remove(row)
                return True, row[1]
        return False, None


def examples(said: list[str], readings: list[dict[str, Any]] | None) -> Iterator[Example]:
    """Features and class of every run of number words in one narration; numbers read wrongly are left out."""
    narration, previous, earlier = Narration(), "-", list[str]()
    expected = Expected(readings) if readings is not None else None
    for index, line in enumerate(said):
        words = tuple(Word(w, 6.0 * index + n * 0.3, 6.0 * index + n * 0.3 + 0.25) for n, w in enumerate(line.split()))
        utterance = Utterance("r1", index, words)
        narration.take(utterance)
        pieces = pieces_of(utterance)
        hits = phrases_in(pieces)
        read = [r for r in narration.interpretation.readings if r.evidence and r.evidence.utterance == index]
        for first, behind in runs(pieces, [True] * len(pieces)):
            last = behind - 1
            found = _reading_at(read, pieces[first].word, pieces[last].word)
            number = _number(found) if found else None
            values = _read(pieces, first, last)
            label: str | None = opinion.label_of(found.kind, found.unit) if found else opinion.NONE
            if expected is not None:
                label = _corrected(expected.take([number] if number is not None else values), number, values)
            if label is not None:
                told = number if number is not None else values[0] if values else None
                yield opinion.features(pieces, first, last, told, previous, earlier, hits), label
                previous = label if label != opinion.NONE else previous
        earlier = opinion.shape(pieces)


def _corrected(expected: tuple[bool, str | None], number: Decimal | None, values: list[Decimal]) -> str | None:
    """The class by the table, also of a number that was not read; None where one was taken apart wrongly."""
    known, wanted = expected
    if known:
        return wanted
    return opinion.NONE if number is None or number in values else None


def _reading_at(read: list[Reading], first: int, last: int) -> Reading | None:
    for reading in read:
        evidence = reading.evidence
        if evidence and _number(reading) is not None and evidence.first <= last and evidence.last >= first:
            return reading
    return None


def _read(pieces: tuple[Piece, ...], first: int, last: int) -> list[Decimal]:
    """The numbers that a run of number words may be, the likeliest first."""
    return [way.numbers[0].value for way in groupings(Reader(pieces), first, last + 1) if way.numbers]


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
    found = [list(examples(said, readings)) for said, readings in narrations()]
    flat = [example for group in found for example in group]
    print(len(flat), "numbers:", ", ".join(f"{name} {n}" for name, n in Counter(c for _, c in flat).most_common()))
    partial = learn([example for n, group in enumerate(found) if n % 5 for example in group])
    asked = [example for group in found[::5] for example in group if example[1] != opinion.NONE]
    shares = [(partial.shares(told), label) for told, label in asked]
    best = [max((s, n) for n, s in share.items() if n != opinion.NONE) for share, _ in shares]
    right = sum(name == label for (_, name), (_, label) in zip(best, shares, strict=True))
    against = sum(
        share.get(label, 1) < opinion.UNLIKELY and most >= opinion.LIKELY
        for (most, _), (share, label) in zip(best, shares, strict=True)
    )
    idle = sum(share[opinion.NONE] >= opinion.IDLE for share, _ in shares)
    print(
        f"left-out fifth: {right} of {len(asked)} kinds named rightly; of these readings {against} would be called"
        f" another kind where no unit is said, {idle} no reading"
    )
    if options.write:
        weights = learn(flat)
        lines = ",\n".join(f"  {json.dumps(name)}: {json.dumps(row)}" for name, row in sorted(weights.weights.items()))
        head = json.dumps({"classes": weights.classes, "bias": weights.bias}, indent=1)[:-2]
        OUT.write_text(f'{head},\n "weights": {{\n{lines}\n }}\n}}\n', encoding="utf-8")
        print(OUT.name, OUT.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
