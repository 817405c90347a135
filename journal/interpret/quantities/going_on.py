"""A quantity named for one number that goes on for the next: 'superheat should be eight, it's thirty one'."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.context import Context
from journal.interpret.places.behind import Bound
from journal.interpret.quantities.surroundings import DIFFERENCES
from journal.interpret.sentence import Sentence
from journal.interpret.standing.durations import seconds_of
from journal.interpret.vocabulary import small_words, table

ROW = 10  # how far numbers of one quantity at neighbouring points lie apart


def kind_goes_on(sentence: Sentence, place: int) -> Bound | None:
    """'superheat's supposed to be eight, it's thirty one': the kind holds for the next number without a unit."""
    item = sentence.items[place]
    row = _kind_of_row(sentence, place)
    if row is not None:
        return row
    latest = next((sentence.kinds[n] for n in range(place - 1, -1, -1) if seconds_of(sentence.items[n]) is None), None)
    if latest is not None and item.label == "amount" and item.value.unit is None and latest.how == "before":
        joined = sentence.board.word(item.first - 1) == "and" and sentence.components[place] is None
        if joined and table("kinds")[latest.claim.value].get("goes_on"):
            return latest
    if (
        item.label != "amount"
        or item.value.unit is not None
        or not (sentence.stands[place].said or _at_place(sentence, place))
    ):
        return None
    own = sentence.components[place]
    for before in range(place - 1, -1, -1):
        bound = sentence.kinds[before]
        counted = sentence.items[before].label == "amount" and sentence.items[before].value.unit is not None
        if bound is not None and bound.how == "behind" and counted:
            return None  # 'a three degree differential'
        if own is not None and not (bound is not None and _only_elsewhere(sentence, own, bound)):
            return None
        if bound is not None and bound.claim.value != Kind.CURRENT and _is_drawn(sentence, place):
            return None  # 'voltage's two oh five across l one l two, l one's pulling nine'
        if bound is not None:
            return (
                bound
                if sentence.components[before] is None or bound.claim.value in ("superheat", "subcooling")
                else None
            )
    return None


def _is_drawn(sentence: Sentence, place: int) -> bool:
    return sentence.stands[place].cue in table("unsaid")["draw"]["forms"] and sentence.points[place] is not None


def _kind_of_row(sentence: Sentence, place: int) -> Bound | None:
    """'voltage drop's point two on l one point three on l two': one quantity at points named one by one."""
    for n in range(place, 0, -1):
        item, before = sentence.items[n], sentence.items[n - 1]
        if item.label != "amount" or before.label != "amount" or item.value.unit is not None:
            return None
        if None in (sentence.points[n], sentence.points[n - 1]) or sentence.components[n] is not None:
            return None
        size, own = abs(before.value.key), abs(item.value.key)
        if not size / ROW <= own <= size * ROW:
            return None
        if sentence.kinds[n - 1] is not None:
            return sentence.kinds[n - 1]
    return None


def _only_elsewhere(sentence: Sentence, own: Bound, kind: Bound) -> bool:
    """'superheat at the bulb is seven, at the compressor it's twenty two': the same quantity at another place."""
    board, at = sentence.board, own.claim.first - 1
    led = board.word(at) == "at" or (board.word(at) == "the" and board.word(at - 1) == "at")
    return led and own.how == "before" and Kind(kind.claim.value) in DIFFERENCES


def _at_place(sentence: Sentence, place: int) -> bool:
    after = end_before(sentence, place)
    return any(
        sentence.board.word(at) in small_words("at_or_now") for at in range(after + 1, sentence.items[place].first)
    )


def of_pressures(sentence: Sentence, place: int, context: Context) -> bool:
    """'cut in's forty, differential's twenty five': the differential of a pressure control."""
    last, item = context.last(), sentence.items[place]
    if last is None or sentence.stands[place].role is not Role.SETTING or item.label != "amount":
        return False
    plain = item.value.unit is None and sentence.components[place] is None
    return plain and (last.reading.kind, last.reading.role) == (Kind.PRESSURE, Role.SETTING)


def end_before(sentence: Sentence, place: int) -> int:
    return sentence.items[place - 1].last if place else -1
