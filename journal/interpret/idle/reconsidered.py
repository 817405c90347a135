"""Numbers that a rule took for a name, a count or a time, given back where the words around them speak for a meter."""

from __future__ import annotations

from journal.interpret.board import Board
from journal.interpret.idle.number_names import PART_NUMBER
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.tagger.tags import NONE

SURE_READ = 0.97
NAMES_A_PART = (PART_NUMBER, "numbers of several parts")
GIVEN_BACK = "given back"


def reconsider(board: Board) -> None:
    """Release the claims of idle numbers that the tagger is sure were read, and mark where they stood."""
    for claim in [claim for claim in board.labelled("no reading") if claim.value != "pronoun"]:
        if claim.rule in NAMES_A_PART:
            continue  # 'heat strip one twenty amps heat strip two twenty one': the parts were counted
        numbers = [at for at in range(claim.first, claim.last + 1) if is_number_word(board.pieces[at])]
        kinds = board.tags.kinds(numbers[0], numbers[-1]) if numbers else {}
        if kinds and 1 - kinds[NONE] >= SURE_READ:
            board.release(claim)
            board.mark(GIVEN_BACK, claim.first, claim.last, claim.rule, "the words around it sound like a reading")
