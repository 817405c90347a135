"""Numbers without a unit that count something: followed by an unknown word, or led by an article."""

from __future__ import annotations

from functools import cache

from journal.interpret.amounts import Amount, degrees
from journal.interpret.board import Board, Claim
from journal.interpret.document import STOPS, UNKNOWN
from journal.interpret.vocabulary import table

KNOWN = (
    "components", "points", "sides", "kinds", "conditions", "trends", "phases", "roles", "roles behind", "states",
    "corrections replace", "corrections withdraw", "corrections place", "corrections weak", "unsaid", "units", "equipment",
    "findings", "same points", "groups", "hedges after", "hedges at_least_after", "hedges at_most_after", "work", "notes",
)  # fmt: skip


@cache
def _followers() -> frozenset[str]:
    return frozenset(table("unsaid")["followers"]["forms"])


def no_reading(board: Board, item: Claim) -> bool:
    """Return whether a number without a unit counts things rather than reads a meter."""
    amount: Amount = item.value
    if amount.unit == degrees() and set(table("not_readings")["angles"]) & {piece.text for piece in board.pieces}:
        return True
    if amount.unit in (None, "kiloohm") and board.word(amount.number_first) in table("numbers")["repeat"]:
        return True
    if amount.unit is not None or amount.difference:
        return False
    whole = amount.value is not None and amount.value == int(amount.value)
    if whole and board.word(item.first - 1) in table("unsaid")["counting"]:
        return True
    at = item.last + 1
    if at >= len(board.pieces) or board.owner[at] is not None:
        return False
    word = board.word(at)
    if word.endswith("ly") or word in _followers() or word in STOPS or word == UNKNOWN or not word.isalpha():
        return False
    return whole and not any(board.starts(context, at) for context in KNOWN)
