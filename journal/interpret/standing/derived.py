"""Values worked out aloud: from what a plate says, or by taking one number from another."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.board import Board, Claim
from journal.interpret.context import Context
from journal.interpret.document import normal_form
from journal.interpret.numbers.amounts import Amount
from journal.interpret.vocabulary import small_words, table

OF_A_PLATE = 2  # values of a plate that a third is worked out from: watts and volts give ohms
CIRCUIT = (Kind.POWER, Kind.VOLTAGE, Kind.CURRENT, Kind.RESISTANCE)


def from_plate(board: Board, amount: Amount, kind: Kind, context: Context) -> bool:
    """'... says fifty watts and one twenty volts' ... 'works out to two eighty eight ohms': what should be measured."""
    if kind not in CIRCUIT or not led_by(board, amount, table("roles")["expected"]["worked_out"]):
        return False
    last = [draft.reading for draft in context.drafts if not draft.reading.withdrawn][-OF_A_PLATE:]
    printed = {reading.kind for reading in last if reading.role is Role.NAMEPLATE and reading.kind in CIRCUIT}
    return context.last() is not None and len(printed) == OF_A_PLATE and kind not in printed


def is_operand(board: Board, item: Claim) -> bool:
    """'sixty two minus twenty four which is thirty eight', 'minus nine minus minus twenty': numbers told before, said
    once more to be reckoned with."""
    amounts = [claim for claim in board.labelled("amount") if claim.value.value is not None]
    place = next((n for n, claim in enumerate(amounts) if claim is item), 0)
    pairs = [amounts[n : n + 2] for n in (place - 1, place) if n >= 0]
    return any(len(pair) == 2 and _reckoned(board, pair[0], pair[1], amounts) for pair in pairs)


def _reckoned(board: Board, left: Claim, right: Claim, amounts: list[Claim]) -> bool:
    """A sign between two numbers that were both told before."""
    sign = board.word(right.first) == "minus" and left.last == right.first - 1
    joined = left.last == right.first - 2 and board.word(right.first - 1) in small_words("minus")
    if not (sign or joined):
        return False
    before = [abs(claim.value.value) for claim in amounts if claim.last < left.first]
    return abs(left.value.value) in before and abs(right.value.value) in before


def led_by(board: Board, amount: Amount, phrases: list[str]) -> bool:
    """Whether one of the phrases stands before a number, with nothing but a hedge between."""
    forms = [normal_form(phrase) for phrase in phrases]
    for at in range(amount.number_first - 1, -1, -1):
        if any(board.text(at + 1 - len(form), at) == " ".join(form) for form in forms):
            return True
        if board.word(at) not in _hedges():
            return False
    return False


def _hedges() -> frozenset[str]:
    return frozenset(word for forms in table("hedges").values() for form in forms for word in form.split()) | {"right"}
