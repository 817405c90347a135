"""The numbers of the open phrase tables with what each is: the tagger's examples.

    python -m models.recipe.tagger.examples OUT.jsonl [TABLE.toml ...]
    python -m models.recipe.tagger.examples --lines OUT.jsonl TEXT ...      utterances without labels, one a line

Where a number stands is taken from what the language stage makes of the narration, paired with what the table expects;
a number that it reads wrongly or not at all is looked for by its value.  Numbers that no expectation covers are
labelled ``none``, states too.  What a table leaves open is not learned from.  One line an utterance: the words before
it, its own, and its targets.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

from journal.domain.reading import Phase, Reading, State
from journal.domain.speech import utterance_of
from journal.interpret.document import Piece, pieces_of
from journal.interpret.narration import Narration
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import groupings, is_number_word, runs
from journal.interpret.tagger.tags import EARLIER, NO_TREND, NONE, NOWHERE, PART_END, STANDS, TAKEN_BACK, label_of
from models.recipe.phrases import OPEN, TABLES
from tests.interpret.phrase_differences import align, differences, reading_differences
from tests.interpret.phrase_tables import load_table
from tests.interpret.phrase_types import ExpectedReading, Phrase

LONGEST_NUMBER = 9  # words
AMOUNT = {"value", "low", "high", "state"}


@dataclass
class Target:
    """Pieces ``first`` to ``last`` are one number or state; ``None`` is not learned from."""

    first: int
    last: int
    kind: str | None
    role: str | None = None
    component: str | None = None
    by_rule: str = NONE  # what the language stage took it for
    starts: tuple[int, ...] | None = ()  # where numbers begin in it: pounds and ounces are two; None: not labelled
    withdrawn: str | None = None  # whether it is taken back, at once or later
    phase: str | None = None
    trend: str | None = None


@dataclass
class Example:
    """One utterance."""

    table: str
    row: int
    utterance: int
    earlier: list[str]
    pieces: list[str]
    targets: list[Target]


class Labels:
    """The targets of one narration, found one after another; no piece is labelled twice."""

    def __init__(self, phrase: Phrase) -> None:
        narration = Narration()
        self.phrase = phrase
        self.no_part = NOWHERE if "component" in phrase.always else None  # others may only have left it out
        self.phased = "phase" in phrase.always or any(want.phase for want in phrase.readings)
        self.pieces: list[tuple[Piece, ...]] = []
        self.states: list[list[tuple[int, int]]] = []
        self.shown: list[list[tuple[int, int, State]]] = []  # words of a state, claimed or not
        for utterance in phrase.utterances():
            board = narration.take(utterance)
            self.pieces.append(pieces_of(utterance))
            claims = board.labelled("state") if board is not None else ()
            self.states.append([(claim.first, claim.last) for claim in claims])
            free = board.found("states") if board is not None else ()
            shown = [(claim.first, claim.last, claim.value.state) for claim in claims]
            self.shown.append(shown + [(hit.first, hit.last, State(hit.name)) for hit in free])
        understood = narration.interpretation
        self.whole = not differences(phrase, understood)
        self.targets: list[list[Target]] = [[] for _ in self.pieces]
        self.covered = [[False] * len(pieces) for pieces in self.pieces]
        self.unplaced = False  # a state was expected whose words are not known
        self.lost = False  # an expected value was not found among the words: pounds and ounces read wrongly
        missing = self._paired(phrase, understood.readings)
        for want in missing:
            if want.state is not None:
                self._by_state(want)
            self._by_value(want, anywhere=True)
        for want in phrase.readings:
            if want.optional:
                self._by_value(want, anywhere=False)
        for place, pieces in enumerate(self.pieces):
            self._the_rest(place, pieces)
            self._other_states(place)

    def _add(self, place: int, target: Target) -> None:
        if not target.starts:
            target.starts = _starts(self.pieces[place], target.first, target.last)
        for at in range(target.first, target.last + 1):
            self.covered[place][at] = True
        self.targets[place].append(target)

    def _paired(self, phrase: Phrase, readings: Sequence[Reading]) -> list[ExpectedReading]:
        """Label what was read; return the expectations that were not met."""
        pairs = align(phrase, _Read(tuple(readings)))  # type: ignore[arg-type]
        compared = {id(got) for _, got in pairs}
        missing: list[ExpectedReading] = []
        for got in readings:
            if id(got) not in compared and got.evidence is not None:
                self._at(got, None)  # withdrawn, and no table asks for it
        for want, got in pairs:
            if got is None or got.evidence is None:
                missing += [want] if want is not None else []
                continue
            rule = label_of(got.kind, got.unit)
            if want is None:
                self._at(got, Target(0, 0, NONE, by_rule=rule))
            elif set(reading_differences(want, got)) & AMOUNT:
                missing.append(want)
                self._at(got, None)
            else:
                kind = None if want.kind is None or want.optional else label_of(want.kind, want.unit or got.unit)
                own = (got.component if self.whole else None) or self.no_part
                self._at(got, self._as_expected(Target(0, 0, kind, by_rule=rule), want, own))
        return missing

    def _at(self, got: Reading, target: Target | None) -> None:
        assert got.evidence is not None
        place = got.evidence.utterance
        span = _span(self.pieces[place], got, self.states[place])
        if span is not None and not any(self.covered[place][span[0] : span[1] + 1]):
            target = target or Target(0, 0, None, by_rule=label_of(got.kind, got.unit))
            target.first, target.last, target.starts = span
            self._add(place, target)

    def _as_expected(self, target: Target, want: ExpectedReading, own: str | None = None) -> Target:
        """The target with what the table says of its reading; ``own`` is its part where the table names none."""
        target.role, target.component, target.withdrawn = _role(want), want.component or own, _stands(want)
        target.phase = want.phase or (Phase.AS_FOUND if self.phased else None)
        target.trend = want.trend or (NO_TREND if "trend" in self.phrase.always else None)
        return target

    def _by_state(self, want: ExpectedReading) -> None:
        """Label the words of a state that was not read, where only one place shows it."""
        free = [
            (place, first, last)
            for place, shown in enumerate(self.shown)
            for first, last, state in shown
            if state is want.state and not any(self.covered[place][first : last + 1])
        ]
        if len(free) == 1 and want.kind is not None and not want.optional:
            (place, first, last) = free[0]
            self._add(place, self._as_expected(Target(first, last, label_of(want.kind, want.unit)), want))
        else:
            self.unplaced = True

    def _other_states(self, place: int) -> None:
        """Words of a state that no expectation covers show none."""
        for first, last, _ in self.shown[place]:
            if not any(self.covered[place][first : last + 1]):
                kind = None if self.unplaced or self.lost else NONE
                self._add(place, Target(first, last, kind, starts=(first,)))

    def _by_value(self, want: ExpectedReading, anywhere: bool) -> None:
        """Label the words of a value that no reading brought; ``anywhere``: also where a wrong one was read."""
        for value in (want.value, want.low, want.high):
            best: tuple[tuple[bool, int, int], int, int] | None = None
            for place, pieces in enumerate(self.pieces):
                for first, last in _spans_of(pieces, value) if value is not None else ():
                    taken = any(self.covered[place][first : last + 1])
                    rank = (taken, first - last, place)
                    if (anywhere or not taken) and (best is None or rank < best[0]):
                        best = rank, first, last
            if best is None:
                self.lost = self.lost or (anywhere and value is not None)
                continue
            (taken, _, place), first, last = best
            if taken:
                beside = [t for t in self.targets[place] if t.last < first or t.first > last]
                self.targets[place] = beside
            kind = None if want.optional or want.kind is None else label_of(want.kind, want.unit)
            self._add(place, self._as_expected(Target(first, last, kind), want))

    def _the_rest(self, place: int, pieces: tuple[Piece, ...]) -> None:
        for first, behind in runs(pieces, [True] * len(pieces)):
            at = first
            while at < behind:
                if self.covered[place][at] or not is_number_word(pieces[at]):
                    at += 1
                    continue
                last = at
                while last + 1 < behind and not self.covered[place][last + 1]:
                    last += 1
                starts = _starts(pieces, at, last)
                self.targets[place].append(Target(at, last, None if self.lost else NONE, starts=starts))
                at = last + 1


@dataclass
class _Read:
    readings: tuple[Reading, ...]


def _role(want: ExpectedReading) -> str | None:
    return str(want.role) if want.role is not None else None


def _stands(want: ExpectedReading) -> str:
    return TAKEN_BACK if want.withdrawn else STANDS


def _span(
    pieces: tuple[Piece, ...], got: Reading, states: Sequence[tuple[int, int]]
) -> tuple[int, int, tuple[int, ...]] | None:
    """The pieces of a reading's number, or of the words of its state, and where its number starts if it is one: its
    evidence holds its place, too."""
    assert got.evidence is not None
    inside = [at for at, piece in enumerate(pieces) if got.evidence.first <= piece.word <= got.evidence.last]
    if not inside:
        return None
    if got.state is not None:
        own = [span for span in states if inside[0] <= span[0] and span[1] <= inside[-1]]
        return (*own[-1], (own[-1][0],)) if own else None
    ends = [span for n in (got.value, got.low, got.high) if n is not None and (span := _last_of(pieces, inside, n))]
    if ends:
        return min(first for first, _ in ends), max(last for _, last in ends), tuple(first for first, _ in ends)
    counted = [at for at in inside if is_number_word(pieces[at])] or inside
    return counted[0], counted[-1], ()


def _starts(pieces: tuple[Piece, ...], first: int, last: int) -> tuple[int, ...]:
    """Where numbers begin in a stretch, by the likeliest way to part it."""
    free = [first <= at <= last for at in range(len(pieces))]
    found = []
    for start, behind in runs(pieces, free):
        ways = groupings(Reader(pieces), start, behind)
        for number in ways[0].numbers if ways else ():
            found.append(next(at for at in range(number.first, number.last + 1) if is_number_word(pieces[at])))
    return tuple(found) or (first,)


def _last_of(pieces: tuple[Piece, ...], inside: list[int], number: Decimal) -> tuple[int, int] | None:
    """Where a number stands among some pieces: the longest stretch of the last run that may be read as it."""
    found = runs(pieces, [at in set(inside) for at in range(len(pieces))])
    for start, behind in reversed(found):
        for length in range(behind - start, 0, -1):
            for first in range(behind - length, start - 1, -1):
                if is_number_word(pieces[first]) and any(
                    abs(value - Fraction(number)) <= abs(Fraction(number)) / 500
                    for value in _single(pieces, first, first + length)
                ):
                    return first, first + length - 1
    return None


@lru_cache(maxsize=4096)
def _single(pieces: tuple[Piece, ...], first: int, behind: int) -> tuple[Fraction, ...]:
    """The single numbers that a stretch of number words may be read as."""
    ways = groupings(Reader(pieces[first:behind]), 0, behind - first)[:3]
    return tuple(Fraction(way.numbers[0].value) for way in ways if len(way.numbers) == 1 and not way.left_over)


def _spans_of(pieces: tuple[Piece, ...], value: Fraction) -> Iterator[tuple[int, int]]:
    """Every stretch of number words that may be read as a value."""
    for start, behind in runs(pieces, [True] * len(pieces)):
        for first in range(start, behind):
            if not is_number_word(pieces[first]):
                continue
            for end in range(first + 1, min(behind, first + LONGEST_NUMBER) + 1):
                if any(abs(number - value) <= abs(value) / 500 for number in _single(pieces, first, end)):
                    yield first, end - 1


def examples(phrase: Phrase, row: int) -> Iterator[Example]:
    """The examples of one narration."""
    labels, earlier = Labels(phrase), list[str]()
    for place, pieces in enumerate(labels.pieces):
        words = [piece.text for piece in pieces]
        targets = sorted(labels.targets[place], key=lambda target: target.first)
        if targets:
            yield Example(phrase.table, row, place, earlier[-EARLIER:], words, targets)
        earlier = [*earlier, *words, PART_END]


def unlabelled(lines: Sequence[str], name: str) -> Iterator[Example]:
    """Examples without labels, of utterances that say numbers; what the teachers make of them is learned."""
    before: list[str] = []
    for row, line in enumerate(lines):
        pieces = pieces_of(utterance_of(line))
        found = [at for at, piece in enumerate(pieces) if is_number_word(piece)]
        words = [piece.text for piece in pieces]
        if found:
            yield Example(name, row, 0, before[-EARLIER:], words, [Target(at, at, None, starts=None) for at in found])
        before = [*words, PART_END]


def talk(path: Path) -> list[str]:
    """The lines of a text, without its remarks."""
    return [line for line in path.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]


def main() -> None:
    """Write the examples of the open tables, or of some tables."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("tables", type=Path, nargs="*")
    parser.add_argument("--lines", action="store_true", help="texts instead of tables")
    options = parser.parse_args()
    if options.lines:
        written = [e for path in options.tables for e in unlabelled(talk(path), path.stem)]
        options.out.write_text("".join(json.dumps(asdict(example)) + "\n" for example in written), encoding="utf-8")
        print(len(written), "utterances with numbers, without labels")
        return
    tables = options.tables or sorted(path for pattern in OPEN for path in TABLES.glob(pattern))
    found = [
        example for path in tables for row, phrase in enumerate(load_table(path)) for example in examples(phrase, row)
    ]
    options.out.write_text("".join(json.dumps(asdict(example)) + "\n" for example in found), encoding="utf-8")
    counted = Counter(target.kind for example in found for target in example.targets)
    print(len(found), "utterances;", ", ".join(f"{kind} {n}" for kind, n in counted.most_common()))


if __name__ == "__main__":
    main()
