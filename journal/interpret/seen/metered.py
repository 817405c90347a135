"""Whether a meter showed a state: 'open on the meter', 'ohm it and it's open', 'let it out and it's open'."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.board import Board, Hit
from journal.interpret.context import Context
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import small_words, table

METER_REACH = 3  # words from 'on' to the meter
OHM_REACH = 7  # words from 'ohm it' to what it showed
JUST_NOW = 60.0  # seconds for which 'it' is what was ohmed before


def by_a_meter(board: Board, hit: Hit) -> bool:
    """'it's open on ohms', 'ohmed it and it's open': whatever the word may mean elsewhere, a meter said it."""
    return _on_a_meter(board, hit) or _behind_ohming(board, hit)


def on_what(board: Board, hit: Hit) -> bool:
    """'open on the meter', 'open on all of them': where it was shown; 'open on the weekend' goes on otherwise."""
    at = hit.last + 2
    if board.word(hit.last + 1) != "on":
        return False
    return board.word(at) in small_words("every_one") or _on_a_meter(board, hit)


def _on_a_meter(board: Board, hit: Hit) -> bool:
    if board.word(hit.last + 1) not in small_words("by_meter"):
        return False
    for at in range(hit.last + 2, hit.last + 2 + METER_REACH):
        if board.word(at) in small_words("meters"):
            return True
        if board.word(at) not in small_words("determiners"):
            return False
    return False


def _behind_ohming(board: Board, hit: Hit) -> bool:
    ohmed = [k for k in board.hits.get("kinds", ()) if k.name == Kind.RESISTANCE.value and k.last < hit.first]
    if not ohmed:
        return False
    between = range(max(k.last for k in ohmed) + 1, hit.first)
    words = small_words("and_it") | small_words("it") | small_words("concluding") | small_words("after_ohming")
    return len(between) <= OHM_REACH and all(board.word(at) in words for at in between)


def it_again(sentence: Sentence, place: int, context: Context) -> bool:
    """'continuity across the door switch' ... 'let it out and it's open': what was ohmed before, once more."""
    board, item, last = sentence.board, sentence.items[place], context.last()
    if last is None or last.reading.kind is not Kind.RESISTANCE or last.reading.role is not Role.MEASURED:
        return False
    if context.now - last.at > JUST_NOW or board.word(item.first - 1) not in small_words("it"):
        return False
    led = board.word(item.first - 2)
    if led and led not in small_words("conjunctions") and led not in small_words("times_on"):
        return False  # 'the dock door's open again it's open all day'
    named = any(c.last < item.first for c in board.labelled("component", "equipment", "points"))
    component = last.reading.component
    part = table("components")[component] if component is not None else {}
    return not named and bool(part.get("electrical")) and context.carried_component() == component
