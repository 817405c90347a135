"""What papers say: sheets and diagrams tell what should be; a plate or a book named in passing tells no number."""

from __future__ import annotations

from collections.abc import Iterator

from journal.domain.reading import Role
from journal.interpret.board import Board, Hit
from journal.interpret.vocabulary import small_words, table

PLACE_REACH = 5  # words between a paper and its verb: 'the sheet inside the door says'


def papers_saying(board: Board) -> Iterator[Hit]:
    """Yield 'the sheet says', 'the diagram inside the door calls for' as words for what is expected."""
    words = table("roles")["expected"]
    for at in range(len(board.pieces)):
        if board.word(at) not in words["papers"] or board.owner[at] is not None:
            continue
        verb = at + 1
        if board.word(verb) in {*table("unsaid")["prepositions"], *small_words("beside")}:
            verb = next((n for n in range(verb, verb + PLACE_REACH) if board.word(n) in words["papers_say"]), verb)
        if board.word(verb) in words["papers_say"]:
            yield Hit("roles", Role.EXPECTED.value, at, verb)


def told_in_passing(board: Board, hit: Hit) -> bool:
    """'like the book says', 'i marked them with tape': a plate or a book, and no number of it."""
    if hit.name == Role.NAMEPLATE and board.word(hit.first) in table("roles")["nameplate"]["participles"]:
        by = board.word(hit.first - 1) in table("roles")["nameplate"]["people"]
        return by or board.word(hit.last + 1) in small_words("them_all")
    if hit.name not in (Role.NAMEPLATE, Role.EXPECTED):
        return False
    verbs = table("roles")["expected"]["papers_say"]
    says = board.word(hit.last) in verbs or board.word(hit.last + 1) in verbs
    before = hit.first - 1 - (board.word(hit.first - 1) in small_words("determiners"))
    return says and board.word(before) in small_words("likening")
