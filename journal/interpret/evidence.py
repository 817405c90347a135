"""Which words a reading came from, and so which seconds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.domain.reading import Evidence
from journal.interpret.board import Board

if TYPE_CHECKING:
    from journal.interpret.sentence import Sentence


def evidence_of(sentence: Sentence, place: int) -> Evidence:
    """Return the words of one item together with its place, from first to last."""
    item = sentence.items[place]
    first, last = item.first, item.last
    after = sentence.items[place - 1].last if place else -1
    before = sentence.items[place + 1].first if place + 1 < len(sentence.items) else len(sentence.board.pieces)
    for bound in (sentence.components[place], sentence.points[place], sentence.kinds[place]):
        if bound is not None and bound.how != "list" and after < bound.claim.first and bound.claim.last < before:
            first, last = min(first, bound.claim.first), max(last, bound.claim.last)
    return words_from(sentence.board, first, last)


def words_from(board: Board, first: int, last: int) -> Evidence:
    """Return the evidence for tokens ``first`` to ``last``: their words, seconds and lowest confidence."""
    pieces = board.pieces[first : last + 1]
    low, high = pieces[0].word, pieces[-1].word
    words = board.utterance.words[low : high + 1]
    return Evidence(
        recording=board.utterance.recording,
        utterance=board.utterance.index,
        first=low,
        last=high,
        start=words[0].start,
        end=max(word.end for word in words),
        said=" ".join(word.text for word in words),
        confidence=min(word.confidence for word in words),
    )
