"""A value that moves: 'it dropped to two ten' is what was read before, read again, whatever part was worked on since."""

from __future__ import annotations

from journal.domain.reading import Reading, Role
from journal.interpret.amounts import Amount, shared_unit
from journal.interpret.context import Context
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import small_words


def moved_from(sentence: Sentence, place: int, context: Context) -> Reading | None:
    """'head's two forty ... rinsed the condenser and it dropped to two ten': the reading that moved, still the head."""
    bound, item, last = sentence.components[place], sentence.items[place], context.last()
    if item.label != "amount" or sentence.kinds[place] is not None or sentence.points[place] is not None:
        return None
    if last is None or last is not context.drafts[-1] or last.reading.role is not Role.MEASURED:
        return None
    if bound is not None and bound.how != "before":
        return None
    start = max(sentence.items[place - 1].last if place else -1, bound.claim.last if bound is not None else -1) + 1
    board, moves = sentence.board, small_words("moves_it")
    told = any(board.word(at) == "it" and board.word(at + 1) in moves for at in range(start, item.first - 1))
    return last.reading if told and _same_unit(item.value, last.reading.unit) else None


def _same_unit(amount: Amount, unit: str | None) -> bool:
    """The unit is not said, or is one that the reading before may have had."""
    if unit is None or amount.unit in (None, unit):
        return unit is not None
    if not (amount.unit or "").startswith("shared"):
        return False
    entry = shared_unit(amount.unit or "")
    units = {entry["unit"], *(when["unit"] for when in entry["when"])}
    return unit.removeprefix("delta_") in units
