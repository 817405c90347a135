"""Points by themselves: 'L1 is one nineteen', 'the y terminal', 'nine amps on common'."""

from __future__ import annotations

from itertools import pairwise

from journal.domain.kind import Kind
from journal.interpret.board import Board, Hit
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.places.number_points import plain_number
from journal.interpret.places.points import Points, is_end, is_single
from journal.interpret.vocabulary import small_words, table


def ends_state(board: Board, at: int) -> bool:
    """'o l to ground' shows open to ground: its 'l to' is no line two."""
    return any(state.first < at <= state.last for state in board.hits.get("states", ()))


def claim_singles(board: Board) -> None:
    """A point by itself: 'L1 is one nineteen', 'the y terminal', 'start is open'."""
    loose = ("phase", "motor", "control", "capacitor")
    clamped = _windings_in_turn(board)
    alone = sum(1 for piece in board.pieces if piece.text.isalnum()) == 1
    for hit in board.found("points"):
        if ends_state(board, hit.first):
            continue
        point = table("points")["point"][hit.name]
        meanings = ((point["family"], hit.name), *(tuple(pair) for pair in point.get("also", ())))
        behind = hit.last + 1
        spoken = board.word(behind) in small_words("point_verbs") or (
            behind < len(board.pieces) and is_number_word(board.pieces[behind]) and board.owner[behind] is None
        )
        corrected = any(claim.last + 3 >= hit.first > claim.last for claim in board.labelled("correction"))
        winding = point["family"] == "winding"
        led = winding and board.word(hit.first - 1) == "on" and clamped
        led = led or (winding and hit.last > hit.first and behind == len(board.pieces) and _clamp_on(board, hit))
        led = led or (hit.name == "common" and _amps_on(board, hit))
        named = (corrected or alone) and point["family"] in ("winding", "any")
        wired = winding and hit.last > hit.first and board.word(hit.first - 1) in small_words("before_wires")
        if point["family"] in loose or named or led or wired or (winding and spoken and hit.last > hit.first):
            board.claim("points", hit.first, hit.last, Points((meanings,)), "single point")
    _claim_terminals(board)
    _claim_fan_side(board)
    _claim_line_again(board)
    _join_ends(board)


def _claim_line_again(board: Board) -> None:
    """'leg one ... leg two ... leg three ... now three is thirty one': the digit alone, once the lines were named."""
    named = {name for c in board.labelled("points") for half in c.value.halves if len(c.value.halves) == 1
             for family, name in half if family == "phase"}  # fmt: skip
    lines = {n: name for name, point in table("points")["point"].items() for n in point.get("numbers", ())}
    if len(named) < 2:
        return
    for at in range(1, len(board.pieces)):
        number = plain_number(board, at)
        if number is None or lines.get(number[1]) not in named or is_number_word(board.pieces[at - 1]):
            continue
        following = board.pieces[at + 1] if at + 1 < len(board.pieces) else None
        if following is not None and is_number_word(following):
            continue
        spoken = board.word(at + 1) in small_words("is_now") and at + 2 < len(board.pieces)
        if board.word(at - 1) == "on" or (spoken and is_number_word(board.pieces[at + 2])):
            board.claim("points", at, at, Points(((("phase", lines[number[1]]),),)), "line named again")


def _join_ends(board: Board) -> None:
    """'to ground on l one': the two ends of one pair, said apart."""
    claims = list(board.labelled("points"))
    for end, point in pairwise(claims):
        between = [board.word(at) for at in range(end.last + 1, point.first)]
        if not (is_end(end) and is_single(point) and len(between) == 1 and between[0] in small_words("between_ends")):
            continue
        board.release(end)
        board.release(point)
        halves = (point.value.halves[0], end.value.halves[0])
        board.claim("points", end.first, point.last, Points(halves), "pair said apart")


def _clamp_on(board: Board, hit: Hit) -> bool:
    """'clamp's on the common wire': the amps come in the next utterance."""
    on = board.word(hit.first - 1) == "on" or board.text(hit.first - 2, hit.first - 1) in small_words("clamped_on")
    return on and any(mode.name == Kind.CURRENT and mode.last < hit.first for mode in board.found("modes", free=False))


def _amps_on(board: Board, hit: Hit) -> bool:
    """'thirteen point six on common', 'the amps on common are nine': every amp goes through it."""
    on = hit.first - 1 - (board.word(hit.first - 1) == "the")
    number = on > 0 and is_number_word(board.pieces[on - 1])
    amps = board.ends("units", on - 1) or board.ends("kinds", on - 1)
    return board.word(on) == "on" and (number or (amps is not None and amps.name in ("ampere", "current")))


def _windings_in_turn(board: Board) -> bool:
    """'eighteen on common sixteen on run three on start': amps of the leads, one after the other."""
    winding = [hit for hit in board.found("points") if table("points")["point"][hit.name]["family"] == "winding"]
    return sum(1 for hit in winding if board.word(hit.first - 1) == "on") > 1


def _claim_terminals(board: Board) -> None:
    """'twenty five volts at y', 'nothing on w': a single letter behind volts is a terminal of the control circuit."""
    letters = {
        letter: name
        for name, point in table("points")["point"].items()
        for letter in point.get("letters", ())
        if point["family"] == "control" and len(letter) == 1
    }
    for at in range(2, len(board.pieces)):
        name = letters.get(board.word(at))
        if name is None or board.owner[at] is not None or board.word(at - 1) not in small_words("terminal_leads"):
            continue
        volts = board.ends("units", at - 2)
        absent = board.ends("states", at - 2)
        last = at + 1 >= len(board.pieces) or (len(board.word(at + 1)) > 1 and not is_number_word(board.pieces[at + 1]))
        if last and ((volts is not None and volts.name == "volt") or absent is not None):
            board.claim("points", at, at, Points(((("control", name),),)), "terminal behind volts")


def _claim_fan_side(board: Board) -> None:
    """'HERM 37.1, FAN 4.9', in one utterance or the next: 'fan' alone is a capacitor's terminal once the other one was
    named, unless it turns or draws."""
    herm = any(name == "HERM" for c in board.labelled("points") for half in c.value.halves for _, name in half)
    hints = board.hints
    if not herm and hints is not None and (hints.component, hints.unit) == ("dual capacitor", "microfarad"):
        herm = small_words("of_a_motor").isdisjoint(piece.text for piece in board.pieces)
    for at, piece in enumerate(board.pieces):
        if piece.text == "fan" and herm and board.owner[at] is None:
            board.claim("points", at, at, Points(((("capacitor", "FAN"),),)), "single point")
