"""Numbers without a unit that count something: followed by an unknown word, or led by an article."""

from __future__ import annotations

from functools import cache

from journal.interpret.amounts import Amount, degrees
from journal.interpret.board import Board, Claim
from journal.interpret.document import STOPS, UNKNOWN
from journal.interpret.vocabulary import table

KNOWN = (
    "components",
    "points",
    "sides",
    "kinds",
    "conditions",
    "trends",
    "phases",
    "roles",
    "roles behind",
    "states",
    "corrections replace",
    "corrections withdraw",
    "corrections place",
    "corrections weak",
    "unsaid",
    "units",
    "equipment",
    "findings",
    "same points",
    "groups",
    "hedges after",
    "hedges at_least_after",
    "hedges at_most_after",
    "work",
    "notes",
)


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
    if whole and board.word(item.last + 1) in table("unsaid")["counted_by"] and not _placed(board, item):
        return True
    at = item.last + 1
    if at >= len(board.pieces) or board.owner[at] is not None:
        return False
    word = board.word(at)
    if word.endswith("ly") or word in _followers() or word in STOPS or word == UNKNOWN or not word.isalpha():
        return False
    if not whole or any(board.starts(context, at) for context in KNOWN):
        return False
    return word.endswith("s") or not _placed(board, item)


def _placed(board: Board, item: Claim) -> bool:
    """A place or a kind stands right before the number, with nothing but a verb between: then an odd word behind it
    does not make it a count."""
    at = item.first - 1
    verbs = set(table("unsaid")["placing"])
    while at >= 0 and item.first - at <= 3 and board.owner[at] is None and board.word(at) in verbs:
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    topic = board.ends("unsaid", at)
    return (owner is not None and owner.label in ("component", "kind", "points")) or topic is not None
