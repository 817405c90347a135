"""Numbers that were told or written down and never read: answers to a question of principle, lists of what to buy."""

from __future__ import annotations

from collections.abc import Iterator

from journal.domain.kind import Kind
from journal.interpret.board import Board, Claim
from journal.interpret.quantities.surroundings import Quantity
from journal.interpret.vocabulary import small_words, table

LEVELS = (Kind.PRESSURE, Kind.SATURATION_TEMPERATURE, Kind.VOLTAGE, Kind.CURRENT)


def is_shopping_list(board: Board) -> bool:
    """'Parts: 30 A breaker, 24 V relay': what is to be got, written as a list."""
    return any(board.text(0, len(form.split()) - 1) == form for form in table("roles")["supposed"]["lists"])


def asks(board: Board, behind: int | None = None) -> bool:
    """'the kid wanted to know what suction should be': somebody asked how things are in general, before a token."""
    words = table("roles")["supposed"]
    end = len(board.pieces) if behind is None else behind
    text = f" {board.text(0, end - 1)} " if end else ""
    asked = any(f" {phrase} " in text for phrase in words["questions"])
    return asked and any(f" {word} " in text for word in words["principle"])


def answers(board: Board, asked: bool) -> Iterator[tuple[int, int, str]]:
    """Yield first and last token and form of 'i told him', where it answers a question: '... so i told him two ten'."""
    forms = table("roles")["supposed"]["answers"]
    for at in range(len(board.pieces)):
        form = next((form for form in forms if board.text(at, at + len(form.split()) - 1) == form), None)
        if form is not None and (asked or asks(board, at)):
            yield at, at + len(form.split()) - 1, form


def difference_told(board: Board, item: Claim, quantity: Quantity) -> bool:
    """'came on at two eighty and went off at two ten so that's seventy': worked out from the two before."""
    amounts = [c for c in board.labelled("amount") if c.last < item.first]
    bare = item.value.unit is None and quantity.kind in LEVELS and quantity.inferred.get("unit") != "'net'"
    led = board.word(item.first - 1) in small_words("so_it_makes")
    if not bare or not led or len(amounts) < 2 or item.value.value is None:
        return False
    if any(board.word(at) == "net" for at in range(amounts[-1].last, item.first)):
        return False  # 'so that makes the net oil pressure forty one': what is asked for at a pump
    left, right = (c.value for c in amounts[-2:])
    same = left.unit == right.unit or None in (left.unit, right.unit)
    return same and abs(left.key - right.key) == item.value.value
