"""Temperatures told beside an electrical part: of its shell, of what comes out of it, of the room it is in."""

from __future__ import annotations

from journal.interpret.numbers.amounts import Amount
from journal.interpret.quantities.surroundings import Surroundings
from journal.interpret.vocabulary import small_words, table

WAY_OUT = 4  # words before a part that may say that something comes out of it


def of_a_room(around: Surroundings, amount: Amount) -> bool:
    """'compressor's drawing nine amps and the room is ninety': what is told of the room is no reading of the part."""
    since = _since(around, amount)
    hits = [h for h in around.board.hits.get("unsaid", ()) if since < h.first and h.last < amount.first]
    return (
        bool(hits) and hits[-1].name == around.topic and around.board.word(hits[-1].last) in small_words("room_words")
    )


def from_outside(around: Surroundings, amount: Amount) -> bool:
    """'compressor dome is one sixty', 'coming out of the compressor it's one ninety'."""
    board, since = around.board, _since(around, amount)
    named = [c for c in board.labelled("component") if since < c.first and c.last < amount.first]
    if not named or named[-1].value != around.component:
        return False
    part = named[-1]
    before = [board.word(at) for at in range(max(part.first - WAY_OUT, 0), part.first)]
    if before and before[-1] in small_words("determiners"):
        before.pop()
    comes_out = any(" ".join(before[-size:]) in small_words("coming_out_of") for size in (3, 1))
    pumps = comes_out and bool(table("components")[part.value].get("turns"))  # volts come out of a contactor
    return pumps or board.word(part.last + 1) in small_words("bodies")


def _since(around: Surroundings, amount: Amount) -> int:
    """The last token of the number before, which ends what was said of it."""
    return max((c.last for c in around.board.labelled("amount") if c.last < amount.first), default=-1)
