"""Words of a meter's state that no meter showed: 'so we change nothing', 'that's nothing', 'with no power on it'."""

from __future__ import annotations

from journal.domain.reading import State
from journal.interpret.board import Board, Hit
from journal.interpret.vocabulary import small_words

AMONG = 3  # words behind 'nothing in' among which the part stands that a meter was at
BELONGS = 4  # words between 'that's the' and the state of what a reading tells of


def is_idle(board: Board, hit: Hit) -> bool:
    """Return whether a phrase of ``states.toml`` tells of something else than what a meter showed."""
    if board.text(hit.first, hit.last) == "nothing" and _no_meter(board, hit.first):
        return True
    if hit.name == State.ABSENT and board.word(hit.first - 1) == "with" and board.word(hit.first) == "no":
        return True  # 'closed with no power on it': how a part was, while something else was measured
    return hit.name == State.OPEN and (_of_a_voltage(board, hit) or _inferred(board, hit))


def _no_meter(board: Board, at: int) -> bool:
    """'nothing' that was done, found, said or worth a word."""
    before = board.word(at - 1)
    if _placed(board, at + 1):
        return False
    person = before in small_words("objects_of_telling") and board.word(at - 2) in small_words("does_nothing")
    if board.owner[at - 1] is None and at and (before in {*small_words("does_nothing"), "no"} or person):
        return True  # 'so we change nothing', 'that tells me nothing', 'no buzz no nothing'
    judged = before in small_words("judging") or (
        before in small_words("copulas") and board.word(at - 2) in small_words("demonstratives")
    )
    if judged:
        return True  # 'that's nothing', 'one point three which is nothing for this wire'
    if board.word(at + 1) in small_words("copulas"):
        doing = board.word(at + 2)  # 'nothing is feeding it'; but 'nothing's coming out of it'
        return doing.endswith("ing") and doing not in small_words("arrives")
    return _somewhere_else(board, at)


def _placed(board: Board, at: int) -> bool:
    """Points or a part right behind, or behind a small word: 'nothing to ground', 'nothing at the coil'."""
    tied = (
        small_words("place_ties") | small_words("point_ties") | small_words("determiners") | small_words("nothing_at")
    )
    while at < len(board.pieces) and board.owner[at] is None and board.word(at) in tied:
        at += 1
    owner = board.owner[at] if at < len(board.pieces) else None
    return owner is not None and owner.label in ("component", "points", "amount")


def _somewhere_else(board: Board, at: int) -> bool:
    """'nothing in the house air', 'rooms that get nothing out of the registers': in a thing that is no part of ours."""
    behind = at + 1 + (board.word(at + 1) == "out")
    if board.word(behind) not in small_words("contained") or board.word(behind + 1) not in small_words("determiners"):
        return False
    owners = [board.owner[n] for n in range(behind + 2, min(behind + 2 + AMONG, len(board.pieces)))]
    read = board.word(at - 1) in small_words("taken") and (
        board.word(at - 2) in small_words("myself") | small_words("speaker_has")
    )
    return bool(owners) and owners[0] is None and not (read or board.word(at - 1) in small_words("speaker_has"))


def _of_a_voltage(board: Board, hit: Hit) -> bool:
    """'twenty seven volts open circuit': with nothing connected to it."""
    owner = board.owner[hit.first - 1] if hit.first else None
    volts = owner is not None and owner.label == "amount" and owner.value.unit in ("volt", "millivolt")
    return volts and board.text(hit.first, hit.last) == "open circuit"


def _inferred(board: Board, hit: Hit) -> bool:
    """'that's an internal overload sitting open': no meter is put inside a part; it follows from readings."""
    at = hit.first - 1
    while at >= 0 and hit.first - at <= BELONGS and board.owner[at] is None:
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    part = owner is not None and owner.label == "component"
    return part and owner is not None and "internal" in (board.word(owner.first), board.word(owner.first - 1))
