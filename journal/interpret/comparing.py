"""A number set against another: what should be or what a plate says, beside what was measured."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role
from journal.interpret.board import Claim
from journal.interpret.context import Context
from journal.interpret.roles import DEGREES
from journal.interpret.sentence import Sentence
from journal.interpret.surroundings import DIFFERENCES
from journal.interpret.unit_doubts import CLOSE
from journal.interpret.vocabulary import table

FEW_WORDS = 8  # of an utterance that only says what should be, or what a plate says
WHOLE = 100  # per cent
PRINTED = (Kind.SPEED, Kind.CURRENT, Kind.VOLTAGE, Kind.POWER, Kind.AIRFLOW, Kind.CAPACITANCE)  # what plates tell


def compared_with_next(sentence: Sentence, place: int) -> bool:
    """'target's nine and i'm at thirteen superheat': what should be and what is are of one unit, said behind."""
    this, after = sentence.stands[place], sentence.stands[place + 1]
    item, following = sentence.items[place], sentence.items[place + 1]
    if item.label != "amount" or following.label != "amount" or this.withheld or after.withheld:
        return False
    if this.role is not Role.EXPECTED or after.role is not Role.MEASURED or sentence.kinds[place] is not None:
        return False
    said = following.value.unit is not None or kind_of(sentence, place + 1) in DIFFERENCES
    return said and sentence.components[place] is None and sentence.components[place + 1] is None


def compared_with_last(sentence: Sentence, place: int, context: Context) -> Reading | None:
    """'coil sensor's nine point one k, chart says it should be eleven': what should be, behind what is."""
    item, last = sentence.items[place], context.last()
    bound = (sentence.components[place], sentence.kinds[place], sentence.points[place])
    if item.label != "amount" or item.value.unit is not None or any(bound) or last is None:
        return None
    if not (place or _of_it(sentence, place)):
        return None
    role = sentence.stands[place].role
    mains = last.reading.kind is not Kind.VOLTAGE and item.value.value in table("unsaid")["mains_volts"]
    printed = role is Role.NAMEPLATE and last.reading.kind in PRINTED and not mains
    told_apart = _of_it(sentence, place)
    return _of_one_size(sentence, item, last.reading, told_apart) if role is Role.EXPECTED or printed else None


def _of_it(sentence: Sentence, place: int) -> bool:
    """'humidity's eighty two percent' ... 'she'd like it up around ninety': said apart, of what was just read."""
    board, item = sentence.board, sentence.items[place]
    wanted = sentence.stands[place].role is Role.EXPECTED
    return wanted and item.first <= FEW_WORDS and any(board.word(at) == "it" for at in range(item.first))


def difference_before(sentence: Sentence, place: int, context: Context) -> Kind | None:
    """'temp rise's forty degrees, plate says thirty to sixty degrees': what it should be is a difference too."""
    item, last = sentence.items[place], context.last()
    bound = (sentence.components[place], sentence.kinds[place], sentence.points[place])
    if item.label != "amount" or item.value.unit not in (None, *DEGREES) or any(bound) or last is None:
        return None
    if item.value.unit is None and (place or item.value.form != "range"):
        return None
    if sentence.stands[place].role not in (Role.NAMEPLATE, Role.EXPECTED) or last.reading.kind not in DIFFERENCES:
        return None
    before = _of_one_size(sentence, item, last.reading, told_apart=len(sentence.board.pieces) <= FEW_WORDS)
    return before.kind if before is not None else None


def _of_one_size(sentence: Sentence, item: Claim, before: Reading, told_apart: bool = False) -> Reading | None:
    """The reading before when it was measured, in this utterance or right before it, and the number is of its size."""
    evidence, size = before.evidence, before.value
    index = sentence.board.utterance.index
    same = evidence is not None and evidence.utterance in (index, index - 1 if told_apart else index)
    if before.kind is Kind.PERCENT and same and before.role is Role.MEASURED and 0 <= item.value.key <= WHOLE:
        return before
    if not same or size is None or before.role is not Role.MEASURED:
        return None
    return before if abs(size) / CLOSE <= abs(item.value.key) <= abs(size) * CLOSE else None


def kind_of(sentence: Sentence, place: int) -> Kind | None:
    bound = sentence.kinds[place]
    return Kind(bound.claim.value) if bound is not None else None
