"""Settings that were changed: a verb of moving, what was moved, and the number it was moved to."""

from __future__ import annotations

from journal.domain.reading import Role
from journal.interpret.board import Board
from journal.interpret.vocabulary import small_words, table

MOST_THING = 3  # words for what was moved, a named part being one: 'the little jumper'
NO_SETTINGS = ("pressure", "resistance", "voltage", "current")  # kinds that are read, not dialled


def moved_to(board: Board, first: int) -> int | None:
    """'slid the jumper over to forty', 'turned it back to sixty eight': return where the verb of moving stands."""
    words = table("roles")["setting"]
    set_ = (board.hints is not None and board.hints.set) or any(
        hit.name == Role.SETTING and hit.last < first for hit in board.hits.get("roles", ())
    )
    verbs = words["moves"] + (words["moves_set"] if set_ else [])
    at = first - 1
    if board.word(at) == "at":
        return _left_at(board, at)
    if board.word(at) != "to":
        return None
    if (left := _left_at(board, at)) is not None:
        return left
    at -= 1
    while board.word(at) in words["ways"]:
        at -= 1
    for _ in range(MOST_THING + 1):
        if at < 0:
            return None
        owner = board.owner[at]
        if owner is None and board.word(at) in verbs:
            return at
        if board.word(at) in words["moves_it"] and board.word(at + 1) in small_words("them"):
            return at
        if not _may_be_moved(board, at):
            return None
        at = at - 1 if owner is None else owner.first - 1
    return None


def _left_at(board: Board, at: int) -> int | None:
    """'dropped the heat to sixty four and left the cool at seventy six': one of the two settings of a thermostat."""
    hit = board.ends("unsaid", at - 1)
    if hit is None or not table("unsaid")[hit.name].get("set"):
        return None
    words = table("roles")["setting"]
    verb = hit.first - 1
    return verb if board.word(verb) in (*words["leaves"], *words["moves"], *words["moves_set"]) else None


def _may_be_moved(board: Board, at: int) -> bool:
    """A pressure that was raised is read on a gauge, and nitrogen is let in: neither is a setting."""
    owner = board.owner[at]
    if owner is None:
        return board.word(at) not in table("clauses")["parts_statements"]
    if owner.label == "component":
        return owner.value not in table("not_readings")["held_at"]
    return owner.label == "kind" and owner.value not in NO_SETTINGS
