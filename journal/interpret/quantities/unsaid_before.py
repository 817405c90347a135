"""The unit of a number without one, where it goes on from the reading before."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Doubt
from journal.interpret.numbers.amounts import Amount
from journal.interpret.quantities.mains import followed_along
from journal.interpret.quantities.surroundings import Quantity, Surroundings
from journal.interpret.quantities.unit_doubts import CLOSE
from journal.interpret.vocabulary import table

ACT_REACH = 3  # words from 'harvest' to its number


def _another_alike(around: Surroundings) -> bool:
    """'coil sensor ohms out at nine point eight kilohms room sensor's at ten point one': one more of the same part."""
    last = around.context.last()
    evidence = last.reading.evidence if last is not None else None
    if last is None or evidence is None or evidence.utterance != around.board.utterance.index:
        return False
    return around.component_how == "said" and around.component == last.reading.component


def _acts_before(amount: Amount, around: Surroundings) -> bool:
    """'freeze was twenty one minutes and harvest was two and a half': a word for what takes time right before it."""
    return any(0 < amount.first - hit.last <= ACT_REACH for hit in around.board.hits.get("not durations", ()))


def from_before(amount: Amount, around: Surroundings) -> Quantity | None:
    """The unit of the reading before: without a doubt when the numbers are of one size, doubted otherwise."""
    previous = around.context.last()
    alone = (
        around.measured
        or around.led
        or _another_alike(around)
        or all(
            (piece.text in around.words and around.board.owner[place] is not None)
            or piece.text in table("unsaid")["bare_words"]
            for place, piece in enumerate(around.board.pieces)
        )
    )
    if previous is None or previous.reading.unit is None or not alone:
        return None
    timed = around.expected or around.printed or around.set_to or _acts_before(amount, around)
    if previous.reading.kind is Kind.DURATION and not timed:
        return None  # 'trips after ninety seconds and i have sixty two': a gauge is read behind a time
    elsewhere = around.component_how == "said" and around.component != previous.reading.component
    if elsewhere and not followed_along(amount, around, previous.reading):
        return None
    found = Quantity(
        previous.reading.unit, previous.reading.kind, {"unit": "reading before"}, reference=previous.reading.reference
    )
    size = previous.reading.value
    if (
        size is None
        or not amount.key
        or not (abs(size) / CLOSE <= abs(amount.key) <= abs(size) * CLOSE)
        or previous.reading.withdrawn
    ):
        found.doubts.append(Doubt("unit inferred", "No unit was said; it was taken from the reading before."))
    elif any(doubt.code == "unit inferred" for doubt in previous.reading.doubts):
        found.doubts.append(Doubt("unit inferred", "No unit was said here nor at the reading before."))
    return found
