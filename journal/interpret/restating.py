"""Words that sound like taking something back and only go on talking: 'i mean that's not far off', 'the wrong tap'."""

from __future__ import annotations

from journal.interpret.board import Board, Claim, Hit
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.vocabulary import small_words, table

PLACES = ("components", "points", "sides", "kinds", "states", "equipment")


def is_only_talk(board: Board, hit: Hit) -> bool:
    """'and i mean that's just not that far off', 'it's on the wrong tap': no value follows, so none is replaced."""
    words = table("corrections")
    said = board.text(hit.first, hit.last)
    if said not in words["restating"]:
        return False
    if said == "wrong":
        before = board.word(hit.first - 1)
        if _is_wrong_part(board, hit):
            return True
        number = hit.first > 1 and all(is_number_word(board.pieces[hit.first - back]) for back in (1, 2))
        if not number and any(
            before == word or (word == "'s" and before.endswith("'s")) for word in words["attributes_of"]
        ):
            return True
    elif hit.last == len(board.pieces) - 1:
        return False  # what is meant comes behind the pause
    at = hit.last + 1
    while at < len(board.pieces):
        if is_number_word(board.pieces[at]) or board.starts("units", at) or board.starts("states", at):
            return False
        place = next((found for context in PLACES if (found := board.starts(context, at))), None)
        if place is not None:
            at = place.last + 1
            if at == len(board.pieces):
                return False
        elif board.word(at) in words["skipped"] or board.word(at) in words["restated_by"]:
            at += 1
        else:
            return place is None and not _names_a_place(board, hit, at)
    return True


def _is_wrong_part(board: Board, hit: Hit) -> bool:
    """'suction's sixty five wrong charge': what is the matter, unless the part has a number of its own."""
    part = board.starts("components", hit.last + 1)
    return part is not None and not any(is_number_word(piece) for piece in board.pieces[part.last + 1 :])


def _names_a_place(board: Board, hit: Hit, end: int) -> bool:
    """'the one in the barn i mean the crankcase heater on number two': which part was meant."""
    return any(board.starts(context, at) for context in ("components", "points") for at in range(hit.last + 1, end))


def denies_a_part(board: Board, hit: Hit, part: Claim) -> bool:
    """'no sight glass on this one': there is none; 'no liquid line' alone puts a place right."""
    if board.text(hit.first, hit.last) != "no" or part.label != "component" or part.first != hit.last + 1:
        return False
    at = part.last + 1
    if at >= len(board.pieces) or is_number_word(board.pieces[at]):
        return False
    word = board.word(at)
    return word in small_words("place_ties") or word in small_words("behind_what_is_not")
