"""Ranges across zero: each end says on which side of it it lies."""

from __future__ import annotations

from dataclasses import replace

from journal.interpret.board import Board
from journal.interpret.numbers.amounts import Amount, degrees
from journal.interpret.vocabulary import table

MOVE_REACH = 5  # words from a verb of moving to 'from'


def signed_range(board: Board, before: Amount, amount: Amount) -> Amount | None:
    """'between six below and one above', 'ten below to five below': each end says its side of zero."""
    low, high = _side_of_zero(board, before), _side_of_zero(board, amount)
    units = {before.unit, amount.unit} - {None}
    if low is None or not units <= {"degF", "degC", degrees()} or before.value is None or amount.value is None:
        return None
    between = board.text(low[0] + 1, amount.first - 1)
    opened = board.ends("hedges between", before.first - 1)
    spans = between in table("hedges")["range"] or (between == "and" and opened is not None and opened.name != "from")
    moved = opened is not None and moves(board, opened.first)
    ends = (low[1] * before.value, (high[1] if high else 1) * amount.value)
    if not spans or moved or ends[0] >= ends[1]:
        return None
    first = opened.first if opened else before.first
    last = high[0] if high else amount.last
    return replace(
        amount, first=first, last=last, number_first=before.number_first, value=None, low=ends[0], high=ends[1],
        form="range", rivals=(), doubts=tuple(dict.fromkeys(before.doubts + amount.doubts)), run=before.run,
    )  # fmt: skip


def _side_of_zero(board: Board, amount: Amount) -> tuple[int, int] | None:
    """Where 'below zero' or 'above' behind a number ends, and its sign."""
    for context, sign in (("hedges below", -1), ("hedges above", 1)):
        hit = board.starts(context, amount.last + 1)
        if hit is not None and board.free(hit.first, hit.last):
            return hit.last, sign
    return None


def moves(board: Board, at: int) -> bool:
    """'dropped from two fifty to two thirty eight': two readings, no range."""
    return any(board.word(place) in table("hedges")["moves"] for place in range(max(0, at - MOVE_REACH), at))
