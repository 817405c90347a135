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

LOOKED_BACK = 3  # readings among which the one that moved is looked for
FAR_NEARER = Decimal("1.5")  # so many times nearer than the last reading another must be
NOTHING_LIKE = Decimal(1000)  # how far a number is from zero


def moved_from(sentence: Sentence, place: int, context: Context) -> Reading | None:
    """'head's two forty ... rinsed the condenser and it dropped to two ten': the reading that moved, still the head."""
    bound, item = sentence.components[place], sentence.items[place]
    last = context.drafts[-1] if context.drafts else None
    if item.label != "amount" or sentence.kinds[place] is not None or sentence.points[place] is not None:
        return None
    if last is not None and _as_wished(sentence, place, last.reading, context):
        return last.reading
    if last is None or last.reading.withdrawn or last.reading.role is not Role.MEASURED:
        return None
    if not 0 <= context.now - last.at <= CARRY_LASTS or not _same_unit(item.value, last.reading.unit):
        return None
    if bound is not None and bound.how != "before":
        return None
    start = max(sentence.items[place - 1].last if place else -1, bound.claim.last if bound is not None else -1) + 1
    if _it_moved(sentence.board, start, item):
        return _of_its_size(item.value, last.reading, context)
    return last.reading if bound is None and _again(sentence, place, last.reading, context) else None


def _as_wished(sentence: Sentence, place: int, wished: Reading, context: Context) -> bool:
    """'i want that head between one eighty and two hundred ... it's one seventy two': how it is, behind how it should
    be."""
    item, now = sentence.items[place], context.now
    opened = item.first == 1 and sentence.board.word(0) in small_words("it") and sentence.components[place] is None
    bounds = [size for size in (wished.value, wished.low, wished.high) if size is not None]
    return (
        opened
        and wished.role is Role.EXPECTED
        and not wished.withdrawn
        and now - context.drafts[-1].at <= CARRY_LASTS
        and _same_unit(item.value, wished.unit)
        and any(_apart_from(item.value, size) <= CLOSE for size in bounds)
    )


def _of_its_size(amount: Amount, before: Reading, context: Context) -> Reading:
    """'head was three forty five with seventy eight degree air going in ... it dropped to two sixty': the head moved.

    The reading right before, unless another of the same breath is far nearer to the number.
    """
    best, apart = before, _apart(amount, before)
    for draft in reversed(context.drafts[-LOOKED_BACK:]):
        reading = draft.reading
        told = reading.role is Role.MEASURED and not reading.withdrawn and context.now - draft.at <= CARRY_LASTS
        if told and _same_unit(amount, reading.unit) and _apart(amount, reading) * FAR_NEARER < apart:
            best, apart = reading, _apart(amount, reading)
    return best


def _apart(amount: Amount, reading: Reading) -> Decimal:
    """By what factor a number is larger or smaller than a reading."""
    return _apart_from(amount, reading.value or Decimal(0))


def _apart_from(amount: Amount, size: Decimal) -> Decimal:
    sizes = sorted((abs(amount.key), abs(size)))
    return sizes[1] / sizes[0] if sizes[0] else Decimal(1) if not sizes[1] else NOTHING_LIKE


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
    return _apart(item.value, before) <= CLOSE


def _same_unit(amount: Amount, unit: str | None) -> bool:
    """The unit is not said, or is one that the reading before may have had."""
    if unit is None or amount.unit in (None, unit):
        return unit is not None
    if not (amount.unit or "").startswith("shared"):
        return False
    entry = shared_unit(amount.unit or "")
    units: set[str] = {entry["unit"], *(when["unit"] for when in entry["when"])}
    return unit.removeprefix("delta_") in units
