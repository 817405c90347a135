"""What was told of another day: no reading, but today's number that stands against it is of the same place.

'when i was here in may the suction was sixty and i cleaned the filter ... today it's fifty two'.
"""

from __future__ import annotations

from journal.interpret.board import Board, Claim
from journal.interpret.context import PLACE_LASTS, Context
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import small_words, table


def remember(sentence: Sentence, place: int, context: Context) -> None:
    """Keep the place of a number of another day."""
    bound = sentence.components[place]
    if bound is not None and sentence.items[place].label == "amount":
        context.remembered, context.remembered_at = bound.claim.value, context.now


def place_remembered(sentence: Sentence, place: int, context: Context) -> str | None:
    """Return the place of the number told of another day which this one stands against: 'today it's fifty two'."""
    recent = context.remembered is not None and context.now - context.remembered_at <= PLACE_LASTS
    if not recent or sentence.components[place] is not None or sentence.stands[place].withheld is not None:
        return None
    units = [entry["unit"] for entry in table("components")[context.remembered or ""].get("unsaid", ())]
    if sentence.items[place].label == "amount" and sentence.items[place].value.unit not in (None, *units):
        return None  # 'now it's ninety degrees out'
    return context.remembered if _against_memory(sentence.board, sentence.items[place]) else None


def _against_memory(board: Board, item: Claim) -> bool:
    """'now i've got', 'today it's about' right before the number."""
    at = item.first - 1
    while (hit := board.ends("roles resumed", at) or board.ends("roles", at)) is not None:
        if any(board.text(hit.first, hit.last).startswith(word) for word in table("roles")["resumed"]["today"]):
            return True
        at = hit.first - 1
    opened = board.word(item.first - 1) in small_words("it")
    return opened and any(board.word(at) == "today" for at in range(item.first))  # 'today with the same weather it's'
