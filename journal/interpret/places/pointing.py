"""Measuring points, claimed before numbers so that their digits are taken."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from journal.interpret.board import Board
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.places.number_points import claim_number_pairs, plain_number
from journal.interpret.places.points import Half, Points, point_words, with_lead
from journal.interpret.places.single_points import claim_singles, ends_state
from journal.interpret.vocabulary import small_words, table

HIGHEST_TERMINAL = 40
LOOSE = {"any", "phase", "motor"}


@dataclass(frozen=True, slots=True)
class _Found:
    first: int
    last: int
    half: Half
    weak: bool  # a single letter or digit: only half of a pair


@cache
def _letters() -> dict[str, Half]:
    found: dict[str, list[tuple[str, str]]] = {}
    for name, point in table("points")["point"].items():
        for letter in point.get("letters", ()):
            found.setdefault(letter, []).append((point["family"], name))
            found[letter] += [(family, other) for family, other in point.get("also", ()) if name == "C"]
    return {letter: tuple(meanings) for letter, meanings in found.items()}


def claim_points(board: Board) -> None:
    """Claim pairs, groups, sides and single points."""
    for hit in board.found("sides"):
        board.claim("points", hit.first, hit.last, Points(side=hit.name), "side")
    for hit in board.found("both points"):
        board.claim("points", hit.first, hit.last, Points(both=True), "between the two before")
    for hit in board.found("same points"):
        following = board.pieces[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
        if following is not None and is_number_word(following) and is_number_word(board.pieces[hit.last]):
            continue  # 'the same two forty'
        board.claim("points", hit.first, hit.last, Points(same=True), "same points")
    _claim_numbered_terminals(board)
    _claim_pairs(board)
    claim_number_pairs(board)
    _claim_to_ground(board)
    claim_singles(board)


def _half_at(board: Board, at: int) -> _Found | None:
    """Return the half of a pair that starts at a token."""
    if at >= len(board.pieces) or board.owner[at] is not None:
        return None
    hit = board.starts("points", at)
    if hit and board.free(hit.first, hit.last) and not ends_state(board, at):
        point = table("points")["point"][hit.name]
        meanings: list[tuple[str, str]] = [(point["family"], hit.name)]
        meanings += [tuple(pair) for pair in point.get("also", ())]
        return _Found(hit.first, hit.last, tuple(meanings), False)
    letters = _letters().get(board.word(at))
    if letters:
        return _Found(at, at, letters, True)
    return None


def _joined(board: Board, at: int) -> int | None:
    """Return where the second half starts when the tokens from ``at`` join two halves; ``at`` itself for none."""
    w = point_words()
    place = at
    while place < len(board.pieces) and board.word(place) in w["between"] and place - at < 3:
        place += 1
    if board.word(place) in w["joiners"]:
        place += 1
        while board.word(place) in w["between"] and place - at < 6:
            place += 1
        return place
    return None


def _claim_pairs(board: Board) -> None:
    at = 0
    while at < len(board.pieces):
        left = _half_at(board, at)
        if left is None:
            at += 1
            continue
        right = _right_half(board, left)
        if right is None:
            at = left.last + 1 if not left.weak else at + 1
            continue
        chain = [left, right]
        while not right.weak and (more := _half_at(board, right.last + 1)) and not more.weak and len(chain) < 4:
            chain.append(more)
            right = more
        end, each = chain[-1].last, False
        if len(chain) > 2 or _joins_ground(board, end):
            target = _joined(board, end + 1)
            ground = _half_at(board, target) if target else None
            if (
                ground
                and any(name == "ground" for _, name in ground.half)
                and not any(name == "ground" for found in chain for _, name in found.half)
            ):
                chain.append(ground)
                end, each = ground.last, True
            elif len(chain) > 2 and any(name == "ground" for _, name in chain[-1].half):
                each = True
            elif len(chain) > 2:
                chain, end = chain[:2], chain[1].last
        first = with_lead(board, left.first)
        board.claim("points", first, end, Points(tuple(f.half for f in chain), each=each), "pair of points")
        at = end + 1


def _joins_ground(board: Board, end: int) -> bool:
    target = _joined(board, end + 1)
    half = _half_at(board, target) if target else None
    return half is not None and any(name == "ground" for _, name in half.half) and board.word(end + 1) == "to"


def _right_half(board: Board, left: _Found) -> _Found | None:
    """The second half of a pair: behind a joiner, or right behind a spelled-out point ('common run')."""
    behind = _joined(board, left.last + 1)
    right = _half_at(board, behind) if behind is not None else None
    if behind is not None and right is not None and _agree(left, right) and left.half != right.half:
        joiner = board.word(behind - 1)
        letters = left.weak and right.weak and joiner not in table("points")["joins_letters"]
        article = left.weak and not right.weak and joiner == "and"
        listed = any(board.word(at) == "and" for at in range(left.last + 1, behind))
        apart = listed and _is_lead(board, left) and _is_lead(board, right)
        if not (letters or article or apart):
            return right
    if left.weak or any(family == "any" for family, _ in left.half):
        return None
    right = _half_at(board, left.last + 1)
    beside = right is not None and not right.weak and _agree(left, right) and left.half != right.half
    return right if beside else None


def _is_lead(board: Board, half: _Found) -> bool:
    """'on the common wire and the start wire drops': each wire is a place of its own, unless 'between' opens a pair."""
    before = {board.word(half.first - 1), board.word(half.first - 2)}
    return board.word(half.last) in small_words("leads") and not before & small_words("point_leads")


def _agree(left: _Found, right: _Found) -> bool:
    """Two halves make a pair when some family holds both; spelled-out lines, loads and ground pair with anything."""
    ours, theirs = ({family for family, _ in found.half} for found in (left, right))
    if ours & theirs:
        return True
    if left.weak and right.weak:
        return False
    return "any" in ours | theirs or bool(ours & LOOSE and theirs & LOOSE)


def _claim_numbered_terminals(board: Board) -> None:
    """'terminal five', 'terminals two and six', 'x three'."""
    for at, piece in enumerate(board.pieces):
        if piece.text not in table("points")["numbered"] or board.owner[at] is not None:
            continue
        first, place = at, at + 1
        halves: list[tuple[Half, int]] = []
        while len(halves) < 2:
            number = plain_number(board, place)
            following = board.pieces[place + 1] if place + 1 < len(board.pieces) else None
            if number is None or number[1] > HIGHEST_TERMINAL:
                break
            goes_on = following is not None and is_number_word(following)
            if goes_on and not (halves and board.word(place - 1) in table("points")["numbered"] and number[1] < 10):
                break  # but 'terminal one to terminal two two thirty four volts' has said what its digit is
            end, value = number
            halves.append(((("numbered", f"terminal {value}"),), end))
            if board.word(end) in small_words("point_joins") and plain_number(board, end + 1) and len(halves) < 2:
                place = end + 1
            elif (
                board.word(end) in small_words("point_joins")
                and board.word(end + 1) in table("points")["numbered"]
                and len(halves) < 2
            ):
                place = end + 2
            else:
                break
        if not halves:
            continue
        last = halves[-1][1] - 1
        parts: list[Half] = [half for half, _ in halves]
        target = _joined(board, last + 1) if len(parts) == 1 else None
        other = _half_at(board, target) if target else None
        if other and not other.weak:
            parts.append(other.half)
            last = other.last
        if board.free(first, last):
            board.claim("points", first, last, Points(tuple(parts)), "numbered terminals")


def _legs_named(board: Board) -> bool:
    """Two lines were named before, here or in the reading before: 'each leg to ground' is of those."""
    here = {name for c in board.labelled("points") for half in c.value.halves for family, name in half
            if family == "phase"}  # fmt: skip
    return len(here) > 1 or bool(board.hints and board.hints.lines)


def _claim_to_ground(board: Board) -> None:
    """'each of these to ground', 'to ground' alone, 'from there to common'."""
    legs = board.found("leg groups") if _legs_named(board) else []
    for hit in board.found("groups") + legs:
        target = _joined(board, hit.last + 1)
        ground = _half_at(board, target) if target else None
        if ground and any(name == "ground" for _, name in ground.half):
            board.claim(
                "points", hit.first, ground.last, Points((ground.half,), each=True, group=True), "each to ground"
            )
    for at, piece in enumerate(board.pieces):
        if (
            piece.text == "there"
            and board.word(at - 1) == "from"
            and board.word(at + 1) == "to"
            and board.free(at - 1, at)
        ):
            half = _half_at(board, at + 2 + (board.word(at + 2) == "the"))
            if half:
                board.claim("points", at - 1, half.last, Points((half.half,), there=True), "from there")
    for at, piece in enumerate(board.pieces):
        if piece.text == "to" and board.owner[at] is None:
            half = _half_at(board, at + 1 + (board.word(at + 1) == "the"))
            if half and not half.weak and any(name in ("ground", "neutral") for _, name in half.half):
                several = any(hit.last < at - 6 or hit.first > half.last for hit in board.hits.get("groups", ()))
                points = Points((half.half,), each=several, group=several)
                board.claim("points", at, half.last, points, "each to ground" if several else "to ground")
