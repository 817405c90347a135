"""A value that moves: 'it dropped to two ten' is what was read before, whatever part was worked on since."""

from __future__ import annotations

from journal.domain.reading import Reading, Role
from journal.interpret.board import Board, Claim
from journal.interpret.context import CARRY_LASTS, Context
from journal.interpret.places.yielding import OBJECT_REACH
from journal.interpret.quantities.against import nearest, same_unit, told_with
from journal.interpret.quantities.surroundings import DIFFERENCES
from journal.interpret.quantities.unit_doubts import CLOSE
from journal.interpret.sentence import Sentence
from journal.interpret.standing.durations import said_still
from journal.interpret.vocabulary import small_words


def moved_from(sentence: Sentence, place: int, context: Context) -> Reading | None:
    """'head's two forty ... rinsed the condenser and it dropped to two ten': the reading that moved, still the head."""
    bound, item = sentence.components[place], sentence.items[place]
    last = context.drafts[-1] if context.drafts else None
    if item.label != "amount" or sentence.kinds[place] is not None or sentence.points[place] is not None:
        return None
    if last is None or last.reading.withdrawn:
        return None
    if last.reading.role is not Role.MEASURED:
        return None
    if not 0 <= context.now - last.at <= CARRY_LASTS or not same_unit(item.value, last.reading.unit):
        return None
    if bound is not None and bound.how != "before":
        return None
    start = max(sentence.items[place - 1].last if place else -1, bound.claim.last if bound is not None else -1) + 1
    if _it_moved(sentence.board, start, item):
        return nearest(item.value, told_with(context, last)) if item.value.unit is None else last.reading
    if bound is not None and _after_work(sentence.board, bound.claim) and _is_it(sentence.board, item, last.reading):
        return last.reading
    return last.reading if bound is None and _again(sentence, place, last.reading, context) else None


def _it_moved(board: Board, start: int, item: Claim) -> bool:
    moves = small_words("moves_it")
    return any(board.word(at) == "it" and board.word(at + 1) in moves for at in range(start, item.first - 1))


def _after_work(board: Board, part: Claim) -> bool:
    """'after i washed the coil it's two forty': the part was worked on, and what was read before is read again."""
    work = next((c for c in board.labelled("work") if 0 < part.first - c.last <= OBJECT_REACH), None)
    return work is not None and bool(work.value.dated)


def _is_it(board: Board, item: Claim, before: Reading) -> bool:
    size = before.value
    near = size is not None and abs(size) / CLOSE <= abs(item.value.key) <= abs(size) * CLOSE
    at = item.first - 1 - (board.word(item.first - 1) == "at")
    return near and board.word(at) in small_words("it_reads")


def _again(sentence: Sentence, place: int, before: Reading, context: Context) -> bool:
    """'it's thirty nine now', 'still two hundred': nothing named but a part that was worked on since."""
    board, item = sentence.board, sentence.items[place]
    at = item.first - 1 - (board.word(item.first - 1) == "at")
    later = board.word(at - 1) == "later"
    now = board.word(at) in small_words("it") and (later or "now" in (board.word(item.last + 1), board.word(at - 1)))
    if not (now or said_still(board, item)) or sentence.machines[place] is not None or before.value is None:
        return False
    if context.component not in (None, before.component, *context.worked) and not (
        later and before.kind in DIFFERENCES
    ):
        return False
    return bool(abs(before.value) / CLOSE <= abs(item.value.key) <= abs(before.value) * CLOSE)
