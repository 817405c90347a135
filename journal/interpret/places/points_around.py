"""The points of a number: those tied to it, named an utterance ago, or of the state before it."""

from __future__ import annotations

from journal.interpret.context import Context
from journal.interpret.places.behind import Bound, led_to
from journal.interpret.places.points import Points
from journal.interpret.sentence import Sentence
from journal.interpret.vocabulary import table


def points_at(sentence: Sentence, place: int, context: Context) -> Points | None:
    bound, part = sentence.points[place], sentence.components[place]
    if bound is None or (part is not None and _side_of_another(sentence, place, bound, part)):
        return _points_waiting(sentence, place, context)
    points: Points = bound.claim.value
    return points


def _side_of_another(sentence: Sentence, place: int, points: Bound, component: Bound) -> bool:
    """'load side's dead and the coil's got twenty six volts', 'two forty on the load side compressor's at twelve': the
    side is of what was told before."""
    side, part, board = points.claim, component.claim, sentence.board
    if not side.value.side or not (points.how == component.how == "before" and side.last < part.first):
        return False
    joined = any(board.word(at) in table("clauses")["parts_statements"] for at in range(side.last + 1, part.first))
    return joined or (place > 0 and led_to(board, sentence.items[place - 1], side))


def _points_waiting(sentence: Sentence, place: int, context: Context) -> Points | None:
    """Points named an utterance ago, or with the state before; rated load is of the whole part, whatever they were."""
    if sentence.stands[place].condition is not None:
        return None
    return context.waiting_points() or _points_go_on(sentence, place)


def _points_go_on(sentence: Sentence, place: int) -> Points | None:
    """'b to c nothing ... twenty six volts': a number behind a state at the same points."""
    before = place - 1
    if before < 0 or sentence.items[before].label != "state" or sentence.components[place] is not None:
        return None
    bound = sentence.points[before]
    same = sentence.items[place].label == "amount" and sentence.items[place].value.unit == "volt"
    return bound.claim.value if bound is not None and same else None
