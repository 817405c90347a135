"""Numbers that were told or written down and never read: answers to a question of principle, lists of what to buy."""

from __future__ import annotations

from collections.abc import Iterator

from journal.interpret.board import Board
from journal.interpret.vocabulary import table


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
