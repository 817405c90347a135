"""What was told of another day: no reading, but today's number that stands against it is of the same place.

'when i was here in may the suction was sixty and i cleaned the filter ... today it's fifty two'.
"""

from __future__ import annotations

from journal.domain.unit_table import unit_table
from journal.interpret.board import Board, Claim
from journal.interpret.context import PLACE_LASTS, Context
from journal.interpret.quantities.against import FAR, only_worked_on
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import small_words, table


def remember(sentence: Sentence, place: int, context: Context) -> None:
    """Keep the place and the unit of a number of another day."""
    bound, item = sentence.components[place], sentence.items[place]
    if item.label != "amount":
        return
    unit = item.value.unit if item.value.unit in unit_table() else None
    if bound is not None or unit is not None:
        context.remembered = bound.claim.value if bound is not None else None
        context.remembered_unit, context.remembered_size = unit, item.value.key
        context.remembered_at = context.now


def unit_remembered(sentence: Sentence, place: int, context: Context) -> str | None:
    """'five hundred megohms in the spring, now it's ninety': the unit said for the number of another day."""
    item, size = sentence.items[place], context.remembered_size
    recent = context.remembered_unit is not None and context.now - context.remembered_at <= PLACE_LASTS
    if not recent or not size or item.label != "amount" or item.value.unit is not None or not item.value.key:
        return None
    if sentence.components[place] is not None or sentence.kinds[place] is not None:
        return None
    near = abs(size) / FAR <= abs(item.value.key) <= abs(size) * FAR
    told = _against_memory(sentence.board, item) or _today(sentence, place)
    return context.remembered_unit if near and told else None


def place_remembered(sentence: Sentence, place: int, context: Context) -> str | None:
    """Return the place of the number told of another day which this one stands against: 'today it's fifty two'."""
    recent = context.remembered is not None and context.now - context.remembered_at <= PLACE_LASTS
    bound = sentence.components[place]
    if not recent or sentence.stands[place].withheld is not None:
        return None
    if bound is not None and not only_worked_on(sentence, place, bound):
        return None
    units = [entry["unit"] for entry in table("components")[context.remembered or ""].get("unsaid", ())]
    if sentence.items[place].label == "amount" and sentence.items[place].value.unit not in (None, *units):
        return None  # 'now it's ninety degrees out'
    item = sentence.items[place]
    told = _against_memory(sentence.board, item) or _today(sentence, place)
    return context.remembered if told else None


def _today(sentence: Sentence, place: int) -> bool:
    """'three ten, and today with nearly the same weather it's three seventy two': nothing else named in between."""
    board, item = sentence.board, sentence.items[place]
    start = sentence.items[place - 1].last + 1 if place else 0
    between = range(start, item.first)
    named = sentence.kinds[place] or sentence.points[place] or sentence.machines[place]
    today = any(board.word(at) in table("roles")["resumed"]["today"] for at in between)
    return today and named is None and board.word(item.first - 1) in small_words("it") | small_words("copulas")


def _against_memory(board: Board, item: Claim) -> bool:
    """'now i've got', 'today it's about' right before the number."""
    at = item.first - 1
    if board.word(at) == "it's" and any(
        board.word(hit.first) in table("roles")["resumed"]["today"] and hit.first < at
        for hit in board.hits.get("roles resumed", ())
    ):
        return True  # 'and today with nearly the same weather it's three seventy two'
    while (hit := board.ends("roles resumed", at) or board.ends("roles", at)) is not None:
        if any(board.text(hit.first, hit.last).startswith(word) for word in table("roles")["resumed"]["today"]):
            return True
        at = hit.first - 1
    opened = board.word(item.first - 1) in small_words("it")
    return opened and any(board.word(at) == "today" for at in range(item.first))  # 'today with the same weather it's'
