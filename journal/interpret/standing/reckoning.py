"""Numbers that were worked out: 'tag says seventy watts at two forty volts' ... 'makes it about eight hundred ohms'."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.board import Board
from journal.interpret.context import Context
from journal.interpret.numbers.amounts import Amount
from journal.interpret.vocabulary import small_words

REACH = 4  # words from 'works out to' to its number
OF_A_LOAD = (Kind.RESISTANCE, Kind.CURRENT, Kind.POWER)


def worked_out_from_plate(board: Board, amount: Amount, kind: Kind, context: Context) -> bool:
    """What a load should show, worked out from the plate that was just read; what was measured is no such number."""
    last = context.last()
    if last is None or last.reading.role is not Role.NAMEPLATE or kind not in OF_A_LOAD:
        return False
    words = [board.word(at) for at in range(max(0, amount.first - REACH), amount.first)]
    return any(word in small_words("works_out") for word in words) and not any(
        word in small_words("measuring") for word in words
    )
