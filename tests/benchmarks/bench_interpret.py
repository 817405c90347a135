"""Words per second of the language stage over an hour of narration, and whether the cost grows linearly.

    python -m tests.benchmarks.bench_interpret [--words 9000]

Then precision and recall of value and unit on the development tables (measured readings that are no states), where
quantulum3 is given every benefit: a quantity counts as right when value and unit agree, wherever it was said.

The transcript is made of the development phrases in a fixed shuffled order, an utterance every two and a half seconds.
quantulum3 (MIT), a generic quantity extractor, reads the same sentences in the same run where it is installed.
Runs on one core: ``taskset -c 0`` pins it where that exists.
"""

from __future__ import annotations

import argparse
import os
import random
import time
from collections import Counter
from collections.abc import Callable, Sequence
from fractions import Fraction

from journal.domain.reading import Role
from journal.domain.speech import Utterance, Word
from journal.interpret import Narration, interpret
from tests.interpret.phrase_tables import Phrase, load

HOUR = 9_000  # words a technician speaks in an hour of narration
SHARE = 10  # of which quantulum3 reads this part, for it is slow


def transcript(words: int) -> list[Utterance]:
    """Return utterances of about so many words."""
    lines = [line for phrase in load() if not phrase.typed for line in phrase.said]
    random.Random(9).shuffle(lines)
    utterances: list[Utterance] = []
    count, now = 0, 0.0
    while count < words:
        text = lines[len(utterances) % len(lines)].split()
        heard = tuple(Word(word, now + 0.3 * n, now + 0.3 * n + 0.25, 0.95) for n, word in enumerate(text))
        utterances.append(Utterance("r1", len(utterances), heard))
        count, now = count + len(text), now + 0.3 * len(text) + 2.5
    return utterances


def measure(run: Callable[[Sequence[Utterance]], int], utterances: Sequence[Utterance]) -> tuple[float, int]:
    """Return words per second of processor time, and what was found."""
    start = time.process_time()
    found = run(utterances)
    seconds = time.process_time() - start
    return sum(len(u.words) for u in utterances) / seconds, found


def ours(utterances: Sequence[Utterance]) -> int:
    narration = Narration()
    for utterance in utterances:
        narration.take(utterance)
    return len(narration.interpretation.readings)


def quantulum(utterances: Sequence[Utterance]) -> int:
    from quantulum3 import parser

    return sum(len(parser.parse(utterance.text)) for utterance in utterances)


#: quantulum3's names of the units that the tables use
UNITS = {
    "volt": "volt",
    "millivolt": "millivolt",
    "ampere": "ampere",
    "milliampere": "milliampere",
    "microampere": "microampere",
    "ohm": "ohm",
    "kiloohm": "kiloohm",
    "megaohm": "megaohm",
    "gigaohm": "gigaohm",
    "microfarad": "microfarad",
    "watt": "watt",
    "kilowatt": "kilowatt",
    "horsepower": "horsepower",
    "hertz": "hertz",
    "percentage": "percent",
    "pound force per square inch": "psi",
    "pascal": "pascal",
    "kilopascal": "kilopascal",
    "bar": "bar",
    "pound-mass": "pound",
    "ounce": "ounce",
    "gram": "gram",
    "kilogram": "kilogram",
    "second": "second",
    "minute": "minute",
    "hour": "hour",
    "degree fahrenheit": "degF",
    "degree celsius": "degC",
    "revolutions per minute": "rpm",
}
Found = Counter[tuple[Fraction, str]]


def wanted(phrase: Phrase) -> tuple[Found, Found]:
    """Return value and unit of the measured readings a row asks for, and those it allows besides."""
    must: Found = Counter()
    may: Found = Counter()
    for reading in phrase.readings:
        if reading.value is None or reading.unit is None or reading.state is not None:
            continue
        measured = reading.role in (None, Role.MEASURED) and not reading.withdrawn and not reading.optional
        (must if measured else may)[(reading.value, reading.unit)] += 1
    return must, may


def ours_in(phrase: Phrase) -> Found:
    readings = interpret(phrase.utterances()).readings
    measured = [r for r in readings if r.role is Role.MEASURED and not r.withdrawn and r.state is None]
    return Counter((Fraction(r.value), r.unit) for r in measured if r.value is not None and r.unit is not None)


def theirs_in(phrase: Phrase) -> Found:
    from quantulum3 import parser

    found: Found = Counter()
    for line in phrase.said:
        for quantity in parser.parse(line):
            unit = UNITS.get(quantity.unit.name.lower())
            if unit is not None:
                found[(Fraction(str(quantity.value)), unit)] += 1
    return found


def accuracy(name: str, read: Callable[[Phrase], Found]) -> None:
    """Print precision and recall over the development tables."""
    right = said = asked = 0
    phrases = load()
    for phrase in phrases:
        must, may = wanted(phrase)
        found = read(phrase)
        hits = (found & must).total()
        right, asked = right + hits, asked + must.total()
        said += hits + (found - must - may).total()
    precision, recall = right / max(said, 1), right / max(asked, 1)
    f1 = 2 * precision * recall / max(precision + recall, 1e-9)
    figures = f"precision {precision:.3f}, recall {recall:.3f}, F1 {f1:.3f}"
    print(f"{name}: {figures} ({asked} readings, {len(phrases)} phrases)")


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--words", type=int, default=HOUR)
    words = arguments.parse_args().words
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    ours(transcript(50))  # imports and vocabulary are paid once, before the clock runs
    speeds = []
    for factor in (1, 2, 4):
        utterances = transcript(words * factor)
        speed, found = measure(ours, utterances)
        speeds.append(speed)
        print(f"{words * factor:>7} words: {speed:8.0f} words/s, {found} readings, {words * factor / speed:6.2f} s")
    print(f"cost of four times the words, by the word: {speeds[0] / speeds[-1]:.2f} (1.00 is linear)")
    try:
        speed, found = measure(quantulum, transcript(words // SHARE))
    except ImportError:
        print("quantulum3 is not installed; pip install quantulum3 shows it beside ours.")
        return
    print(f"quantulum3, {words // SHARE} words: {speed:8.0f} words/s, {found} quantities")
    accuracy("ours", ours_in)
    accuracy("quantulum3", theirs_in)


if __name__ == "__main__":
    main()
