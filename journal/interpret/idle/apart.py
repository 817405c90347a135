"""How far values lie apart, how much too much they are and how far they moved: nothing that a meter showed.

Each rule names the last token that it takes; they are tried with those of ``lookalikes`` before amounts are claimed.
"""

from __future__ import annotations

from journal.interpret.board import Board
from journal.interpret.idle.idle_numbers import value_of
from journal.interpret.numbers.amounts import unit_at
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.vocabulary import small_words, table

LITTLE = 10  # degrees by which something is off; nobody reads so few of them at a box that is off
MOST_MOVED = 150  # how far a value moves at once, microns aside


def too_much(board: Board, first: int, behind: int) -> int | None:
    """'fifty too much', 'six amps too many': how far off a value is."""
    unit = unit_at(board, behind)
    end = unit[1] + 1 if unit else behind
    much = board.word(end) == "too" and board.word(end + 1) in small_words("too_much")
    return end - 1 if much else None


def moved_by(board: Board, first: int, behind: int) -> int | None:
    """'head dropped thirty pounds', 'superheat came up four degrees': how far it moved, and not where it is.

    'Dropped three pounds across the drier' was read there, and so much moves a value that a large one lost its 'to'.
    """
    unit, value = unit_at(board, behind), value_of(board, first, behind)
    if unit is None or value is None or unit[0] in table("not_readings")["times"]:
        return None
    at = first - 1
    at -= board.word(at) in small_words("roughly")
    verb = at
    while board.word(verb) in small_words("up_down"):
        verb -= 1
    moved = board.word(verb) in small_words("moves_by") or (verb < at and board.word(verb) in small_words("goes"))
    it = board.word(verb) in small_words("moved_things")  # 'bumped it up two degrees'
    moved = moved or (verb < at and it and board.word(verb - 1) in small_words("moves_that"))
    far = value > MOST_MOVED and unit[0] != "micron_Hg"
    across = board.word(unit[1] + 1) in small_words("spanning")
    return _in_so_long(board, unit[1]) if moved and not far and not across else None


def _in_so_long(board: Board, last: int) -> int:
    """'... in ten minutes', '... in an hour' behind how far a value moved: the time belongs to it."""
    end = last + 2
    while board.word(last + 1) == "in" and end < len(board.pieces) and is_number_word(board.pieces[end]):
        end += 1
    end += end == last + 2 and board.word(end) in table("numbers")["articles"]
    unit = unit_at(board, end) if board.word(last + 1) == "in" else None
    timed = unit is not None and unit[0] in table("not_readings")["times"] and board.free(last + 1, unit[1])
    return unit[1] if unit is not None and timed else last


def other_than(board: Board, first: int, behind: int) -> int | None:
    """'suction's ten pounds lower than before': how far from another time; 'cooler than the box' was read there."""
    unit = unit_at(board, behind)
    if unit is None or board.text(unit[1] + 1, unit[1] + 2) not in table("not_readings")["other_than"]:
        return None
    at = unit[1] + 3
    at += board.word(at) in small_words("determiners")
    place = any(board.starts(context, at) for context in ("components", "kinds", "equipment"))
    return None if place or _number_at(board, at) else unit[1]


def _number_at(board: Board, at: int) -> bool:
    return at < len(board.pieces) and is_number_word(board.pieces[at])


def off_by(board: Board, first: int, behind: int) -> int | None:
    """'so one degree off', 'that's two degrees off': how far a value lies from what it should be."""
    unit = unit_at(board, behind)
    if unit is None or board.word(unit[1] + 1) != "off":
        return None
    value = value_of(board, first, behind)
    little = value is not None and value < LITTLE and board.word(behind) in small_words("degrees_off")
    if board.word(first - 1) not in small_words("so_far") and not little:
        return None
    clauses = table("clauses")
    ends = {
        *small_words("behind_off"),
        *clauses["strong"],
        *clauses["subjects"],
        *clauses["stops"],
        *small_words("conjunctions"),
    }
    return unit[1] + 1 if board.word(unit[1] + 2) in ends else None


def below_a_place(board: Board, first: int, behind: int) -> int | None:
    """'thirteen below the box is a little wide': how far one lies under another, nothing below zero."""
    at = behind + (board.word(behind) in small_words("degrees_off"))
    if board.word(at) not in small_words("lower_than") or board.word(at + 1) != "the" or at + 2 >= len(board.pieces):
        return None
    owner = board.owner[at + 2]
    if owner is None or owner.label != "component" or board.word(first - 1) in small_words("copulas"):
        return None
    after = owner.last + 1
    after += board.word(after) in small_words("copulas")
    read = after < len(board.pieces) and is_number_word(board.pieces[after])
    return None if read else at - 1
