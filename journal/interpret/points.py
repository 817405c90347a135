"""Measuring points, claimed before numbers so that their digits are taken.

'C to R' belongs to a winding or to a control circuit; a claim keeps what each half may be, and ``settle`` chooses by the
reading's kind once that is known.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from journal.domain.kind import Kind
from journal.interpret.board import Board, Claim
from journal.interpret.numbers import is_number_word, small
from journal.interpret.vocabulary import table

if TYPE_CHECKING:
    from journal.interpret.places import Bound

Half = tuple[tuple[str, str], ...]  # (family, name), every meaning one half may have


@dataclass(frozen=True, slots=True)
class Points:
    """What one claim of points may mean.

    ``halves`` are one or two ends; ``each`` repeats them to a common end ('T1 T2 T3 to ground', 'each of these to ground'
    with no halves of its own); ``same`` repeats the pair before, ``there`` starts where the pair before ended.
    """

    halves: tuple[Half, ...] = ()
    each: bool = False
    group: bool = False
    same: bool = False
    there: bool = False
    side: str | None = None


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


@cache
def _numbered() -> dict[int, str]:
    return {n: name for name, point in table("points")["point"].items() for n in point.get("numbers", ())}


@cache
def _words() -> dict[str, Any]:
    data = table("points")
    return {key: frozenset(data[key]) for key in ("joiners", "between", "pointers")}


def claim_points(board: Board) -> None:
    """Claim pairs, groups, sides and single points."""
    for hit in board.found("sides"):
        board.claim("points", hit.first, hit.last, Points(side=hit.name), "side")
    for hit in board.found("same points"):
        following = board.pieces[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
        if following is not None and is_number_word(following) and is_number_word(board.pieces[hit.last]):
            continue  # 'the same two forty'
        board.claim("points", hit.first, hit.last, Points(same=True), "same points")
    _claim_numbered_terminals(board)
    _claim_pairs(board)
    _claim_number_pairs(board)
    _claim_to_ground(board)
    _claim_singles(board)


def _half_at(board: Board, at: int) -> _Found | None:
    """Return the half of a pair that starts at a token."""
    if at >= len(board.pieces) or board.owner[at] is not None:
        return None
    hit = board.starts("points", at)
    if hit and board.free(hit.first, hit.last):
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
    w = _words()
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
        right, start = _right_half(board, left)
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
        first = _with_lead(board, left.first)
        board.claim("points", first, end, Points(tuple(f.half for f in chain), each=each), "pair of points")
        at = end + 1


def _joins_ground(board: Board, end: int) -> bool:
    target = _joined(board, end + 1)
    half = _half_at(board, target) if target else None
    return half is not None and any(name == "ground" for _, name in half.half) and board.word(end + 1) == "to"


def _right_half(board: Board, left: _Found) -> tuple[_Found | None, int]:
    behind = _joined(board, left.last + 1)
    if behind is not None:
        right = _half_at(board, behind)
        if right and _agree(left, right) and not (left.half == right.half):
            if not (left.weak and right.weak) or board.word(behind - 1) in ("to", "-", "/", "and", "two", "too"):
                if not (left.weak and board.word(behind - 1) == "and" and not right.weak):
                    return right, behind
    if not left.weak and not any(family == "any" for family, _ in left.half):
        right = _half_at(board, left.last + 1)
        if right and not right.weak and _agree(left, right) and left.half != right.half:
            return right, left.last + 1
    return None, 0


def _agree(left: _Found, right: _Found) -> bool:
    """Two halves make a pair when some family holds both; spelled-out lines and loads pair with anything."""
    families = {family for family, _ in left.half} & {family for family, _ in right.half}
    loose = {"any", "phase", "motor"}
    if families:
        return True
    return (
        any(family in loose for family, _ in left.half)
        and any(family in loose for family, _ in right.half)
        and not (left.weak and right.weak)
    ) or ("any" in {f for f, _ in left.half + right.half} and not (left.weak and right.weak))


def _with_lead(board: Board, first: int) -> int:
    """Take 'between', 'from', 'across' in front of a pair along, so that no range is read from them."""
    lead = first - 1
    if lead >= 0 and board.owner[lead] is None and board.word(lead) in ("between", "from", "across"):
        return lead
    return first


def _claim_numbered_terminals(board: Board) -> None:
    """'terminal five', 'terminals two and six', 'x three'."""
    for at, piece in enumerate(board.pieces):
        if piece.text not in table("points")["numbered"] or board.owner[at] is not None:
            continue
        first, halves, place = at, [], at + 1
        while len(halves) < 2:
            number = _plain_number(board, place)
            following = board.pieces[place + 1] if place + 1 < len(board.pieces) else None
            if number is None or (following is not None and is_number_word(following)):
                break
            end, value = number
            halves.append(((("numbered", f"terminal {value}"),), end))
            if board.word(end) in ("and", "to", "-", "through") and _plain_number(board, end + 1) and len(halves) < 2:
                place = end + 1
            elif (
                board.word(end) in ("to", "and")
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


def _plain_number(board: Board, at: int) -> tuple[int, int] | None:
    """Return (next token, value) of a bare number of one token, written or spoken."""
    if at >= len(board.pieces) or board.owner[at] is not None:
        return None
    number = board.pieces[at].number
    if number is not None:
        return (at + 1, int(number)) if number == int(number) and 0 < number < 100 else None
    spoken = next(iter(small([board.word(at)], 0)), None)
    return (at + 1, spoken[1]) if spoken else None


def _claim_number_pairs(board: Board) -> None:
    """'one to two' as lines: several in a sentence, behind a finished amount, or at the start before one."""
    numbers = _numbered()
    pairs: list[tuple[int, int, int]] = []
    at = 0
    while at + 2 < len(board.pieces):
        left, right = _plain_number(board, at), _plain_number(board, at + 2)
        if left and right and board.word(at + 1) == "to" and board.free(at, at + 2):
            if left[1] in numbers and right[1] in numbers and left[1] < right[1] and not _inside_number(board, at):
                pairs.append((at, left[1], right[1]))
                at += 3
                continue
        at += 1
    for place, left_number, right_number in pairs:
        if len(pairs) < 2 and not _stands_alone(board, place):
            continue
        timer = board.has("components", place + 3, place + 6) and not board.has("units", 0, place)
        ends = [left_number, right_number]
        halves: tuple[Half, ...] = tuple(
            (
                (("numbered", f"terminal {n}"),)
                if timer and _control_part(board, place + 3)
                else (("phase", numbers[n]),)
            )
            for n in ends
        )
        first = _with_lead(board, place)
        board.claim("points", first, place + 2, Points(halves), "lines by number")


def _control_part(board: Board, at: int) -> bool:
    parts = table("points")["numbered_parts"]
    return any(hit.name in parts and at <= hit.first <= at + 2 for hit in board.hits.get("components", ()))


def _inside_number(board: Board, at: int) -> bool:
    """'twenty one to two forty': the digit belongs to the number before it."""
    return at > 0 and board.word(at - 1) in table("numbers")["tens"] and not board.has("units", at - 1, at - 1)


def _stands_alone(board: Board, at: int) -> bool:
    """One pair alone counts behind a unit or at the sentence's start, and never before a unit."""
    behind = at + 3
    if any(board.starts(context, behind) for context in ("units",)):
        return False
    if at == 0 or board.word(at - 1) in _words()["pointers"]:
        more = behind < len(board.pieces) and (
            is_number_word(board.pieces[behind])
            or board.word(behind) in ("is", "'s", "reads", "i", "on", "at", "shows")
        )
        return more
    return board.ends("units", at - 1) is not None or (
        behind == len(board.pieces) and is_number_word(board.pieces[at - 1])
    )


def _claim_to_ground(board: Board) -> None:
    """'each of these to ground', 'to ground' alone, 'from there to common'."""
    for hit in board.found("groups"):
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


def _claim_singles(board: Board) -> None:
    """A point by itself: 'L1 is one nineteen', 'the y terminal', 'start is open'."""
    loose = ("phase", "motor", "control", "capacitor")
    alone = sum(1 for piece in board.pieces if piece.text.isalnum()) == 1
    for hit in board.found("points"):
        point = table("points")["point"][hit.name]
        meanings = ((point["family"], hit.name), *(tuple(pair) for pair in point.get("also", ())))
        behind = hit.last + 1
        spoken = board.word(behind) in ("is", "'s", "reads", "to", "at", "pulling", "shows") or (
            behind < len(board.pieces) and is_number_word(board.pieces[behind]) and board.owner[behind] is None
        )
        corrected = any(claim.last + 3 >= hit.first > claim.last for claim in board.labelled("correction"))
        winding = point["family"] == "winding"
        named = (corrected or alone) and point["family"] in ("winding", "any")
        if point["family"] in loose or named or (winding and spoken and hit.last > hit.first):
            board.claim("points", hit.first, hit.last, Points((meanings,)), "single point")
    _claim_fan_side(board)
    _join_ends(board)


def _join_ends(board: Board) -> None:
    """'to ground on l one': the two ends of one pair, said apart."""
    claims = list(board.labelled("points"))
    for end, point in pairwise(claims):
        between = [board.word(at) for at in range(end.last + 1, point.first)]
        if not (_is_end(end) and _is_single(point) and between in (["on"], ["at"], ["from"])):
            continue
        board.release(end)
        board.release(point)
        halves = (point.value.halves[0], end.value.halves[0])
        board.claim("points", end.first, point.last, Points(halves), "pair said apart")


def _is_end(claim: Claim) -> bool:
    """'to ground', 'to neutral' with nothing before it."""
    value: Points = claim.value
    return (
        len(value.halves) == 1 and not value.each and any(name in ("ground", "neutral") for _, name in value.halves[0])
    )


def _is_single(claim: Claim) -> bool:
    value: Points = claim.value
    return len(value.halves) == 1 and not (value.each or value.there or value.same or _is_end(claim))


def with_ends(board: Board, items: Sequence[Claim], bound: list[Bound | None]) -> None:
    """'l one reads one twenty to ground': the point before the number and the end behind it are one pair."""
    ends = {claim.first: claim for claim in board.labelled("points") if _is_end(claim)}
    for place, item in enumerate(items):
        before, end = bound[place], ends.get(item.last + 1)
        if before is None or end is None or before.claim is end or not _is_single(before.claim):
            continue
        halves = (before.claim.value.halves[0], end.value.halves[0])
        joined = Claim("points", before.claim.first, before.claim.last, Points(halves), "pair around its number")
        bound[place] = replace(before, claim=joined)


def _claim_fan_side(board: Board) -> None:
    """'HERM 37.1, FAN 4.9': 'fan' alone is a capacitor's terminal once the other one was named."""
    herm = any(name == "HERM" for c in board.labelled("points") for half in c.value.halves for _, name in half)
    for at, piece in enumerate(board.pieces):
        if piece.text == "fan" and herm and board.owner[at] is None:
            board.claim("points", at, at, Points(((("capacitor", "FAN"),),)), "single point")


FAMILIES: dict[Kind | None, tuple[str, ...]] = {
    Kind.RESISTANCE: ("winding", "motor", "numbered", "phase", "any", "capacitor", "control"),
    Kind.CAPACITANCE: ("capacitor", "winding", "phase", "any", "numbered", "motor", "control"),
    Kind.VOLTAGE: ("phase", "motor", "any", "numbered", "winding", "control", "capacitor"),
    Kind.CURRENT: ("phase", "motor", "winding", "any", "numbered", "control", "capacitor"),
}
CONTROL_FIRST = ("control", "any", "numbered", "phase", "winding", "motor", "capacitor")
CONTROL_VOLTS = Decimal(60)  # below it, letters are terminals of a control circuit


def settle(points: Points, kind: Kind | None, value: Decimal | None, control: bool = False) -> tuple[str, ...]:
    """Return the names of a pair's points for a reading of this kind; ``control`` says a control part was named."""
    families = FAMILIES.get(kind, FAMILIES[Kind.VOLTAGE])
    if kind is Kind.VOLTAGE and (control or (value is not None and abs(value) < CONTROL_VOLTS)):
        families = CONTROL_FIRST
    if points.side:
        return (points.side,)
    for family in families:
        names = [_in_family(half, (family,)) for half in points.halves]
        if all(names):
            return tuple(name for name in names if name)
    return tuple(name for half in points.halves if (name := _in_family(half, families)))


def _in_family(half: Half, families: tuple[str, ...]) -> str | None:
    for family in families:
        for own, name in half:
            if own == family:
                return name
    return None


def pairs_of(
    points: Points, kind: Kind | None, value: Decimal | None, members: tuple[str, ...]
) -> Iterator[tuple[str, ...]]:
    """Yield every pair a claim stands for; ``members`` are the points a group ('each of these') means."""
    if not points.each:
        yield settle(points, kind, value)
        return
    names = settle(points, kind, value)
    end = names[-1] if names else "ground"
    for name in members if points.group else names[:-1]:
        yield (name, end)
