"""What ends a printed value or one that was wanted: the next part, the speaker's own meter, a bracket, a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from journal.domain.reading import Role
from journal.interpret.board import Board, Claim
from journal.interpret.vocabulary import small_words, table

PAST_REACH = 6  # words behind 'and' in which the verb of a statement stands
BRACKETED = 4  # tokens from an opening bracket to the end of the cue in it


def next_part(board: Board, items: Sequence[Claim], at: int, cue_at: int) -> bool:
    """'compressor nine point six amps plate ten point two, fan one point one': a plate's number stood against what was
    read of the part before it, and the next part's number is read again; 'herm's thirty eight marked forty, fan's four
    point six marked five': at a terminal, where its own mark follows."""
    owner = board.owner[at]
    label = owner.label if owner is not None and owner.first == at else ""
    plates = [hit for hit in board.hits.get("roles", ()) if hit.name == Role.NAMEPLATE]
    marked = [hit for hit in plates if hit.first > at]
    named = label == "component" or (label == "points" and (bool(marked) or not _of_capacitor(owner)))
    bare = owner is None and board.word(at) in small_words("bare_parts")
    if not (named or bare):
        return False
    behind = owner.last + 1 if owner is not None else at + 1
    behind += board.word(behind) in small_words("copulas")
    number = board.owner[behind] if behind < len(board.pieces) else None
    if number is None or number.label != "amount":
        return False
    read = [item for item in items if item.label == "amount" and item.last < cue_at]
    if read and any(hit.last < read[0].first for hit in plates):
        return False  # 'the tag says compressor rla thirteen locked rotor seventy and the fan is one point four'
    parts = [c.first for c in board.labelled(label or "component") if c.first < at]
    return bool(read and parts) and max(parts) < read[-1].first and cue_at - read[-1].last <= BRACKETED


def own_instrument(board: Board, at: int) -> bool:
    """'stamped seventeen fifty and my tach on the shaft says': what the speaker's own meter tells was measured."""
    words = table("clauses")
    if board.word(at) not in words["owners"] or board.word(at + 1) not in words["instruments"]:
        return False
    return any(board.word(n) in words["told_by"] for n in range(at + 2, at + 2 + PAST_REACH))


def aside_is_over(board: Board, at: int, cue_at: int) -> bool:
    """'L1 11.2 A (rated 14), L2 11.5 A': a cue written in brackets holds up to the closing one."""
    if board.word(at) != ")" or cue_at < 0:
        return False
    brackets = [board.word(place) for place in range(cue_at) if board.word(place) in small_words("brackets")]
    return bool(brackets) and brackets[-1] == "("


def terminal_again(board: Board, at: int, consumed: int, role: Role) -> bool:
    """'marked thirty five plus five, herm's thirty four': both printed values were said, a terminal opens the
    measured ones."""
    owner = board.owner[at]
    if role is not Role.NAMEPLATE or owner is None or owner.label != "points" or owner.first != at:
        return False
    if consumed and _measured_at_points(board, owner):
        return True
    if consumed < 2:
        return False
    named = any(claim.label == "points" and claim.last < at for claim in board.claims)
    return _of_capacitor(owner) and not named


def _measured_at_points(board: Board, points: Claim) -> bool:
    """'herm to c reads thirty eight and it's marked forty five, fan to c four point nine': where the points before were
    read with a cue of measuring, those behind are too."""
    earlier = [c for c in board.labelled("points") if c.last < points.first]
    if not earlier:
        return False
    read = [hit for hit in board.hits.get("roles", ()) if hit.name == "measured" and hit.first > earlier[-1].last]
    amounts = [c for c in board.labelled("amount") if earlier[-1].last < c.first < points.first]
    return bool(amounts) and any(hit.last < amounts[0].first for hit in read)


def _of_capacitor(points: Claim | None) -> bool:
    halves = points.value.halves if points is not None else ()
    return "capacitor" in {family for half in halves for family, _ in half}
