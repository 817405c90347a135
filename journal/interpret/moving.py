"""A value that moves: 'it dropped to two ten' is what was read before, whatever part was worked on since."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.reading import Reading, Role
from journal.interpret.amounts import Amount, shared_unit
from journal.interpret.board import Board, Claim
from journal.interpret.context import CARRY_LASTS, Context
from journal.interpret.durations import said_still
from journal.interpret.sentence import Sentence
from journal.interpret.unit_doubts import CLOSE
from journal.interpret.vocabulary import small_words

MOST_WORK = 6  # words from 'after' to the number: 'after i cleaned and dried it'


def moved_from(sentence: Sentence, place: int, context: Context) -> Reading | None:
    """'head's two forty ... rinsed the condenser and it dropped to two ten': the reading that moved, still the head."""
    bound, item = sentence.components[place], sentence.items[place]
    last = context.drafts[-1] if context.drafts else None
    if item.label != "amount" or sentence.kinds[place] is not None or sentence.points[place] is not None:
        return None
    if last is None or last.reading.withdrawn or last.reading.role is not Role.MEASURED:
        return None
    if not 0 <= context.now - last.at <= CARRY_LASTS or not _same_unit(item.value, last.reading.unit):
        return None
    if bound is not None and bound.how != "before":
        return None
    start = max(sentence.items[place - 1].last if place else -1, bound.claim.last if bound is not None else -1) + 1
    if _it_moved(sentence.board, start, item):
        return last.reading
    if bound is None and _after_work(sentence.board, start, item) and _alike(item, last.reading, CLOSE * CLOSE):
        return last.reading
    return last.reading if bound is None and _again(sentence, place, last.reading, context) else None


def _it_moved(board: Board, start: int, item: Claim) -> bool:
    moves = small_words("moves_it")
    return any(board.word(at) == "it" and board.word(at + 1) in moves for at in range(start, item.first - 1))


def _again(sentence: Sentence, place: int, before: Reading, context: Context) -> bool:
    """'it's thirty nine now', 'still two hundred': nothing named but a part that was worked on since."""
    board, item = sentence.board, sentence.items[place]
    lead, behind = board.word(item.first - 1), board.word(item.last + 1)
    now = lead in small_words("it") and "now" in (behind, board.word(item.first - 2))
    if not (now or said_still(board, item)) or sentence.machines[place] is not None or before.value is None:
        return False
    if context.component not in (None, before.component, *context.worked):
        return False
    return _alike(item, before)


def _alike(item: Claim, before: Reading, factor: Decimal = CLOSE) -> bool:
    size = before.value
    return size is not None and bool(abs(size) / factor <= abs(item.value.key) <= abs(size) * factor)


def _after_work(board: Board, start: int, item: Claim) -> bool:
    """'one point one microamps and after i scrubbed it three point eight': the same thing, read again."""
    words = [board.word(at) for at in range(start, item.first)]
    after = next((n for n, word in enumerate(words) if word == "after"), None)
    return after is not None and len(words) - after <= MOST_WORK and words[-1] in small_words("it")


def _same_unit(amount: Amount, unit: str | None) -> bool:
    """The unit is not said, or is one that the reading before may have had."""
    if unit is None or amount.unit in (None, unit):
        return unit is not None
    if not (amount.unit or "").startswith("shared"):
        return False
    entry = shared_unit(amount.unit or "")
    units: set[str] = {entry["unit"], *(when["unit"] for when in entry["when"])}
    return unit.removeprefix("delta_") in units
