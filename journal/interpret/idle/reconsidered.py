"""Numbers that a rule took for a name, a count or a time, given back where the words around them speak for a meter;
names parted from the numbers behind them ('circuit one eleven': circuit 1 is at 11)."""

from __future__ import annotations

from dataclasses import replace

from journal.interpret.board import Board, Claim
from journal.interpret.idle.number_names import PART_NUMBER
from journal.interpret.numbers.numbers import Reader
from journal.interpret.numbers.runs import groupings, is_number_word, runs
from journal.interpret.tagger.tags import NONE, PARTED_BY

NAMES_A_PART = (PART_NUMBER, "numbers of several parts")
GIVEN_BACK = "given back"


def reconsider(board: Board) -> None:
    """Release the claims of idle numbers that the tagger is sure were read, and mark where they stood; shorten those
    that run into a number that was read."""
    for claim in [claim for claim in board.claims if claim.label in ("equipment", "no reading")]:
        _shortened(board, claim)
    _named_alone(board)
    for claim in [claim for claim in board.labelled("refrigerant") if _is_bare(board, claim)]:
        if board.tags.surely_read(claim.first, claim.last):
            board.release(claim)
            board.mark(GIVEN_BACK, claim.first, claim.last, claim.rule, "the words around it sound like a reading")
    for claim in [claim for claim in board.labelled("no reading") if claim.value != "pronoun"]:
        if claim.rule in NAMES_A_PART:
            continue  # 'heat strip one twenty amps heat strip two twenty one': the parts were counted
        numbers = [at for at in range(claim.first, claim.last + 1) if is_number_word(board.pieces[at])]
        if numbers and board.tags.surely_read(numbers[0], numbers[-1]):
            board.release(claim)
            board.mark(GIVEN_BACK, claim.first, claim.last, claim.rule, "the words around it sound like a reading")


def _is_bare(board: Board, claim: Claim) -> bool:
    return all(is_number_word(board.pieces[at]) for at in range(claim.first, claim.last + 1))


def _shortened(board: Board, claim: Claim) -> None:
    """'circuit one eleven', 'number two point six': the name ends where a number begins that was surely read."""
    numbers = [at for at in range(claim.first, claim.last + 1) if is_number_word(board.pieces[at])]
    if claim.value == "pronoun" or not numbers or numbers[-1] != claim.last:
        return
    begins = board.tags.read_from(numbers[0], numbers[-1])
    if begins is None or (begins == numbers[0] and claim.label == "no reading"):
        return
    value = claim.value
    if claim.label == "equipment":
        if not value.numbered or begins <= claim.first:
            return
        ways = groupings(Reader(board.pieces), numbers[0], begins) if begins > numbers[0] else []
        if begins > numbers[0] and (not ways or ways[0].left_over or len(ways[0].numbers) > 1):
            return
        own = value.name.rstrip("0123456789").strip()
        named = f"{own} {int(ways[0].numbers[0].value)}" if ways else own
        value = replace(value, name=named, numbered=bool(ways) or own != value.entry)
    board.release(claim)
    board.claim(claim.label, claim.first, begins - 1, value, claim.rule)


def _named_alone(board: Board) -> None:
    """'drawer one thirty nine': a number word that names, right before one with which a reading begins."""
    for first, behind in runs(board.pieces, [owner is None for owner in board.owner]):
        begins = board.tags.read_from(first, behind - 1)
        if begins is None or begins == first:
            continue
        kinds = board.tags.kinds(first, begins - 1)
        if all(is_number_word(board.pieces[at]) for at in range(first, begins)) and kinds[NONE] >= PARTED_BY:
            board.claim("no reading", first, begins - 1, "name", "a name, by the words around it")
