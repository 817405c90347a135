"""'The same' said of a value: the number before, read once more at another place; and a number said once more by its
digits, to be sure.

'two fourteen one to two and the same on two to three', 'condenser fan's one point two and the other fan's the same'.
The words of the first number stay its evidence for likeness of sound, so that its rivals and doubts are its copy's too.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from journal.interpret.board import Board, Claim
from journal.interpret.document import STOPS
from journal.interpret.numbers.amounts import Amount
from journal.interpret.vocabulary import small_words, table

REPEATED = -1000  # number of a repeated amount's run: in no list with others


def claim_repeats(board: Board) -> None:
    """Claim 'the same', 'same thing' where it stands for the value read right before."""
    for at, piece in enumerate(board.pieces):
        if piece.text != "same" or board.owner[at] is not None:
            continue
        before = [claim for claim in board.labelled("amount") if claim.last < at]
        if not before or before[-1].value.value is None:
            continue
        first = at - 1 if board.word(at - 1) == "the" and board.free(at - 1, at - 1) else at
        last = at + 1 if board.word(at + 1) in small_words("same_things") and board.free(at + 1, at + 1) else at
        if _at_another_place(board, last + 1) or _said_of_a_place(board, first, last + 1):
            amount: Amount = before[-1].value
            again = replace(amount, first=first, last=last, run=REPEATED - at, repeated=True, size=False)
            board.claim("amount", first, last, again, "the same value again")


def claim_spelled_again(board: Board) -> None:
    """Claim the second number of 'head was four twelve four one two': the same once more, digit by digit."""
    amounts = sorted(board.labelled("amount"), key=lambda claim: claim.first)
    for before, again in pairwise(amounts):
        words = [board.word(at) for at in range(again.value.number_first, again.value.number_last + 1)]
        spelled = [0 if word in table("numbers")["zeros"] else table("numbers")["digits"].get(word) for word in words]
        said = [board.word(at) for at in range(before.value.number_first, before.value.number_last + 1)]
        plain = before.value.value is not None and again.first == before.last + 1 and again.value.unit is None
        if not plain or len(words) < 2 or None in spelled or words == said:
            continue
        if "".join(map(str, spelled)).lstrip("0") == f"{before.value.value}".replace(".", "").lstrip("0"):
            board.release(again)
            board.release(before)
            board.claim("amount", before.first, before.last, replace(before.value, confirmed=True), before.rule)
            board.claim("no reading", again.first, again.last, "said again", "the number before, digit by digit")


def _at_another_place(board: Board, at: int) -> bool:
    """'the same on two to three', with no number of its own behind the place."""
    led = board.word(at) in table("unsaid")["prepositions"]
    at += led
    while board.word(at) in small_words("openers") and board.owner[at] is None:
        at += 1
    owner = board.owner[at] if at < len(board.pieces) else None
    if owner is None or owner.label not in ("points", "component") or owner.first > at:
        return False
    if owner.label == "component" and not led:
        return False  # 'i was on the same wire': a part that was named before
    behind: Claim | None = board.owner[owner.last + 1] if owner.last + 1 < len(board.pieces) else None
    return behind is None or behind.label != "amount"


def _said_of_a_place(board: Board, first: int, behind: int) -> bool:
    """'the evaporator fan's the same': a place and a verb before, the statement's end behind."""
    verb = board.word(first - 1) in table("unsaid")["verbs"]["forms"] and board.owner[first - 1] is None
    owner = board.owner[first - 2] if first >= 2 else None
    ends = behind >= len(board.pieces) or board.word(behind) in STOPS | small_words("conjunctions")
    return verb and owner is not None and owner.label in ("points", "component") and ends
