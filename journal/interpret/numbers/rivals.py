"""Other values the recogniser thought possible: its n-best words at the place of a number, read the same way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from difflib import SequenceMatcher

from journal.domain.speech import Hypothesis, Utterance
from journal.interpret.document import number_words, pieces_of
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import groupings


def rival_values(utterance: Utterance, first: int, last: int, reader: Reader) -> Iterator[Decimal]:
    """Yield the single numbers that other hypotheses have where words ``first`` to ``last`` stand."""
    for hypothesis in utterance.alternatives:
        span = _aligned(utterance, hypothesis, first, last)
        if span is None:
            continue
        heard = replace(utterance, words=hypothesis.words[span[0] : span[1]], alternatives=())
        pieces = pieces_of(heard)
        if not pieces:
            continue
        ways = groupings(replace(reader, pieces=pieces), 0, len(pieces))
        if ways and len(ways[0].numbers) == 1 and not ways[0].left_over:
            yield ways[0].numbers[0].value


def _aligned(utterance: Utterance, hypothesis: Hypothesis, first: int, last: int) -> tuple[int, int] | None:
    """Return the words of a hypothesis that stand where words ``first`` to ``last`` stand; ``None`` when they are
    equal."""
    ours = [word.text for word in utterance.words]
    theirs = [word.text for word in hypothesis.words]
    if ours == theirs:
        return None
    start, behind = None, None
    numbers = number_words()
    for tag, i1, i2, j1, j2 in SequenceMatcher(None, ours, theirs, autojunk=False).get_opcodes():
        more = tag == "insert" and all(word in numbers for word in theirs[j1:j2])
        if more and i1 == first:
            start = j1
        elif i1 <= first < i2 and start is None:
            start = j1 + (first - i1 if tag == "equal" else 0)
        if i1 <= last < i2:
            behind = j1 + (last - i1) + 1 if tag == "equal" else j2
        elif more and i1 == last + 1 and behind is not None:
            behind = j2
    if start is None or behind is None or behind <= start or theirs[start:behind] == ours[first : last + 1]:
        return None
    return start, behind
