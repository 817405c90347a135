"""Plates named behind a number: 'off the data plate', and which of two numbers beside one plate is the printed one."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from journal.interpret.board import Board, Claim
from journal.interpret.numbers.amounts import Amount
from journal.interpret.vocabulary import small_words, table

BESIDE_PLATE = "beside a plate"  # how a number stands of which only the order says that it was measured
ALIKE = Decimal(2)  # factor within which two numbers may be of one quantity, printed and measured


def plate_at(board: Board, at: int) -> int | None:
    """'off the data plate', 'per panel label': a preposition and what is printed on; return its last token."""
    data = table("roles")["nameplate"]
    if board.word(at) not in data["prepositions"]:
        return None
    at += 1 + (board.word(at + 1) in small_words("before_plates"))
    return next((at + n for n in range(3) if board.text(at, at + n) in data["nouns"]), None)


def chart_behind(board: Board, item: Claim, end: int) -> bool:
    """'twelve k at seventy on the chart': what a sensor should have, with its temperature in between."""
    ohms = item.label == "amount" and item.value.unit in ("ohm", "kiloohm")
    at = item.last + 1
    while at < end and (board.owner[at] is not None or board.word(at) == "at"):
        at += 1
    on = board.word(at) in table("roles")["nameplate"]["prepositions"]
    return ohms and on and board.text(at + 1, at + 2) in table("roles")["expected"]["charts"]


def plate_behind(board: Board, at: int, number: int) -> bool:
    """'off the data plate' at this token, or bare right behind the number: '9.4 A plate, 8.8 A meas'."""
    if at == number + 1 and board.word(at) in table("roles")["nameplate"]["nouns"] and board.owner[at] is None:
        return at + 1 < len(board.pieces) and board.word(at + 1) in table("clauses")["stops"]
    return plate_at(board, at) is not None


def heads_next(board: Board, at: int) -> bool:
    """'... rated load on the plate is twenty two': a plate named behind one number heads the one behind its verb."""
    last = plate_at(board, at)
    verb = at if last is None else last + 1
    number = verb + 1
    anew = last is not None and board.word(verb) == "it's" and _was_read(board, at - 1)
    if (board.word(verb) not in table("clauses")["told_by"] and not anew) or number >= len(board.pieces):
        return False
    owner = board.owner[number]
    return owner is not None and owner.label == "amount"


def _was_read(board: Board, at: int) -> bool:
    """'drawing five and a half on the tag it's six point eight': the number before the plate was drawn, not printed."""
    owner = board.owner[at]
    if owner is None or owner.label != "amount":
        return False
    hits = [hit for hit in board.hits.get("roles", ()) if hit.last == owner.first - 1]
    return any(board.text(hit.first, hit.last) in table("unsaid")["draw"]["forms"] for hit in hits)


def printed_of_before(board: Board, first: int, last: int) -> bool:
    """'one point five amps on its tag and my clamp says': the plate was of the number right before it."""
    start = next((at for at in (first - 1, first - 2) if plate_at(board, at) == last), None)
    if start is None or start == 0 or heads_next(board, start):
        return False
    before = board.owner[start - 1]
    return before is not None and before.label == "amount" and before.value.unit is not None


def is_called(board: Board, amount: Amount) -> bool:
    """'the cap reads two point one and it's a seven and a half microfarad': what a capacitor is called."""
    verb, article = board.word(amount.first - 2), board.word(amount.first - 1)
    led = article in table("numbers")["articles"] and verb in small_words("copulas")
    return led and amount.unit == "microfarad" and not amount.unit_form.endswith("s")


def measured_beside(board: Board, left: Claim, right: Claim) -> Claim | None:
    """'nine amps on the tag eleven two', 'nine amps rated load on the tag eleven two': one plate, two numbers of one
    quantity; the plate is of the number right before it, but behind the name of a rating it heads the one behind.

    Return the number that was measured; none where both may be printed.
    """
    if left.label != "amount" or right.label != "amount":
        return None
    unit, one, other = left.value.unit, left.value.value, right.value.value
    if unit is None or right.value.unit not in (None, unit) or not one or not other:
        return None
    if not one / ALIKE <= other <= one * ALIKE:
        return None
    rating = board.starts("roles behind", left.last + 1)
    rated = rating is not None and board.text(rating.first, rating.last) in table("roles")["nameplate"]["condition"]
    at = rating.last + 1 if rated and rating is not None else left.last + 1
    if plate_at(board, at) != right.first - 1:
        return None
    return left if rated else right


def measured_ones(board: Board, items: Sequence[Claim]) -> list[int]:
    """Return the places of numbers that were measured although a plate stands beside them."""
    found = [measured_beside(board, left, right) for left, right in pairwise(items)]
    return [place for place, item in enumerate(items) if any(claim is item for claim in found)]
