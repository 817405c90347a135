"""Points that are called by numbers: 'one to two' as lines, numbered terminals."""

from __future__ import annotations

from functools import cache

from journal.interpret.board import Board
from journal.interpret.numbers.number_words import small, words
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.places.points import Half, Points, point_words, with_lead
from journal.interpret.vocabulary import small_words, table


@cache
def _lines_by_number() -> dict[int, str]:
    return {n: name for name, point in table("points")["point"].items() for n in point.get("numbers", ())}


def plain_number(board: Board, at: int) -> tuple[int, int] | None:
    """Return (next token, value) of a bare number of one token, written or spoken."""
    if at >= len(board.pieces) or board.owner[at] is not None:
        return None
    number = board.pieces[at].number
    if number is not None:
        return (at + 1, int(number)) if number == int(number) and 0 < number < 100 else None
    spoken = next(iter(small([board.word(at)], 0)), None)
    return (at + 1, spoken[1]) if spoken else None


def claim_number_pairs(board: Board) -> None:
    """'one to two' as lines: several in a sentence, behind a finished amount, or at the start before one."""
    numbers = _lines_by_number()
    pairs: list[tuple[int, int, int]] = []
    at = 0
    while at + 2 < len(board.pieces):
        left, right = plain_number(board, at), plain_number(board, at + 2)
        listed = board.word(at + 1) == "and" and board.word(at - 1) in small_words("line_leads")
        joined = (board.word(at + 1) == "to" or listed) and board.free(at, at + 2)
        joined = joined and (not _inside_number(board, at) or _next_of_lines(board, at))
        if left and right and joined and _of_numbered_part(board, at):
            ends_: tuple[Half, ...] = tuple((("numbered", f"terminal {n}"),) for n in (left[1], right[1]))
            if left[1] != right[1] and max(left[1], right[1]) < 10 and not _number_goes_on(board, at + 3):
                board.claim("points", with_lead(board, at), at + 2, Points(ends_), "terminals by number")
                at += 3
                continue
        if left and right and joined and {left[1], right[1]} <= set(numbers) and left[1] < right[1]:
            pairs.append((at, left[1], right[1]))
            at += 3
        else:
            at += 1
    for place, left_number, right_number in pairs:
        alone = _stands_alone(board, place) or _is_pointed_at(board, place) or _next_of_lines(board, place)
        if len(pairs) < 2 and not alone:
            continue
        timer = board.has("components", place + 3, place + 6) and not board.has("units", 0, place)
        ends = [left_number, right_number]
        halves: tuple[Half, ...] = tuple(
            (
                (("numbered", f"terminal {n}"),)
                if _terminals_before(board, place) or (timer and _control_part(board, place + 3))
                else (("phase", numbers[n]),)
            )
            for n in ends
        )
        first = with_lead(board, place)
        board.claim("points", first, place + 2, Points(halves), "lines by number")


def _terminals_before(board: Board, place: int) -> bool:
    """'terminal one to terminal two ... and two to three': the numbers go on naming terminals."""
    before = [claim.value for claim in board.labelled("points") if claim.last < place]
    return any(family == "numbered" for points in before[-1:] for half in points.halves for family, _ in half)


def _of_numbered_part(board: Board, at: int) -> bool:
    """'start relay five to two is ...', 'on the timer three to four': the last part named before has numbers."""
    before = [claim for claim in board.labelled("component") if claim.last < at]
    return bool(before) and before[-1].value in table("points")["numbered_parts"]


def _number_goes_on(board: Board, at: int) -> bool:
    """'five to two hundred', 'from two to three psi': amounts, no terminals."""
    if at >= len(board.pieces):
        return False
    scales = table("numbers")["scales"]
    return board.word(at) in scales or board.word(at) in words().points or board.starts("units", at) is not None


def _is_pointed_at(board: Board, at: int) -> bool:
    """'and i have one to two at two oh two volts': a verb or a preposition behind the pair, then its number."""
    behind = board.word(at + 3)
    following = board.pieces[at + 4] if at + 4 < len(board.pieces) else None
    if behind not in small_words("pair_verbs") or following is None or not is_number_word(following):
        return False
    owner = board.owner[at - 1] if at else None
    return not (at and is_number_word(board.pieces[at - 1])) and (owner is None or owner.label != "component")


def _control_part(board: Board, at: int) -> bool:
    parts = table("points")["numbered_parts"]
    return any(hit.name in parts and at <= hit.first <= at + 2 for hit in board.hits.get("components", ()))


def _inside_number(board: Board, at: int) -> bool:
    """'twenty one to two forty': the digit belongs to the number before it."""
    return at > 0 and board.word(at - 1) in table("numbers")["tens"] and not board.has("units", at - 1, at - 1)


def _next_of_lines(board: Board, at: int) -> bool:
    """'line one to line two four eighty one to three four seventy eight': other lines, and a voltage of their own."""
    lines, digits = _lines_by_number(), table("numbers")["digits"]
    pair = {lines.get(digits.get(board.word(end), 0)) for end in (at, at + 2)}
    named = [
        {name for half in claim.value.halves for family, name in half if family == "phase"}
        for claim in board.labelled("points")
        if claim.last < at and len(claim.value.halves) > 1
    ]
    following = [board.word(place) for place in range(at + 3, at + 5)]
    volts = following[0] in digits and following[1] in {
        *table("numbers")["tens"],
        *table("numbers")["teens"],
        *words().zeros,
    }
    return bool(named) and volts and None not in pair and pair not in named


def _stands_alone(board: Board, at: int) -> bool:
    """One pair alone counts behind a unit or at the sentence's start, and never before a unit."""
    behind = at + 3
    if any(board.starts(context, behind) for context in ("units",)):
        return False
    if at == 0 or board.word(at - 1) in point_words()["pointers"]:
        return behind < len(board.pieces) and (
            is_number_word(board.pieces[behind]) or board.word(behind) in small_words("point_verbs")
        )
    return board.ends("units", at - 1) is not None or (
        behind == len(board.pieces) and is_number_word(board.pieces[at - 1])
    )
