"""The place that is tied to a number from behind: '... on the discharge', 'a hundred and one going into the drier'."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from journal.domain.unit_table import unit_table
from journal.interpret.board import Board, Claim
from journal.interpret.numbers.amounts import degree_forms, units_of
from journal.interpret.numbers.runs import is_number_word
from journal.interpret.places.having import can_have
from journal.interpret.places.points import is_end
from journal.interpret.vocabulary import small_words, table

VAGUE = ("pressure", "temperature", "voltage", "current", "resistance")  # kinds that name no place
GAUGE_SIDES = ("suction", "discharge")
FAR_LINKS = 5  # words that may stand between a number and the place tied to it


@dataclass(frozen=True, slots=True)
class Bound:
    """What a number is tied to and how: ``before``, ``behind`` or ``list``."""

    claim: Claim
    how: str


def each_its_own(
    board: Board, items: Sequence[Claim], place: int, claims: Sequence[Claim], window: Sequence[Claim]
) -> Claim | None:
    """'one fifty on the low side and three hundred on the high side', 'sixty two oil pressure against twenty on the
    suction': the place behind, as for the number before."""
    end = items[place + 1].first if place + 1 < len(items) else len(board.pieces)
    behind = [c for c in claims if items[place].last < c.first and c.last < end]
    if not behind or not led_to(board, items[place], behind[0]):
        return None
    before = items[place - 1]
    own = (led_to(board, before, claim) or claim.first == before.last + 1 for claim in window)
    return behind[0] if all(own) else None


def other_behind(
    board: Board, items: Sequence[Claim], place: int, claims: Sequence[Claim], before: Bound | None
) -> Claim | None:
    """'low side's twelve and two ten on the high side': the gauge named behind, not the one of the number before; so
    too the quantity in 'saturated thirty, ten of superheat'."""
    quantity = _quantity_counted(board, items[place], claims)
    if quantity is not None and before is not None and quantity.value != before.claim.value:
        return quantity
    end = items[place + 1].first if place + 1 < len(items) else len(board.pieces)
    behind = [c for c in claims if items[place].last < c.first and c.last < end and c.value in GAUGE_SIDES]
    named = before is not None and before.claim.value in GAUGE_SIDES
    if not named or not behind or before is None or behind[0].value == before.claim.value:
        return None
    return behind[0] if led_to(board, items[place], behind[0]) else None


def _quantity_counted(board: Board, item: Claim, claims: Sequence[Claim]) -> Claim | None:
    """'ten of superheat': the quantity that the number counts."""
    at = item.last + 1
    return next((c for c in claims if c.label == "kind" and board.word(at) == "of" and c.first == at + 1), None)


def led_to(board: Board, item: Claim, claim: Claim) -> bool:
    """A preposition, and no more than an article, leads from the number to the place."""
    between = [board.word(at) for at in range(item.last + 1, claim.first)]
    plain = all(word in small_words("openers") for word in between[1:])
    return 1 <= len(between) <= 3 and between[0] in small_words("place_ties") and plain


def end_behind(item: Claim, claims: Sequence[Claim]) -> Claim | None:
    """'... and nothing to ground': a state with an end of its own does not share the points of its list."""
    if item.label != "state":
        return None
    return next(
        (c for c in claims if c.label == "points" and c.first == item.last + 1 and (is_end(c) or c.value.group)), None
    )


def tied_behind(
    board: Board, items: Sequence[Claim], place: int, claims: Sequence[Claim], lists: Sequence[int]
) -> Claim | None:
    item = items[place]
    end = items[place + 1].first if place + 1 < len(items) else len(board.pieces)
    for claim in claims:
        if not (item.last < claim.first and claim.last < end):
            continue
        between = [board.word(at) for at in range(item.last + 1, claim.first) if _plain(board, at)]
        if any((o := board.owner[at]) is not None and o.label == "amount" for at in range(item.last + 1, claim.first)):
            return None
        if claim.label == "component" and between[:1] == ["with"] and len(between) > 1:
            return None  # 'pulling one point six with the old blade': how, not where
        if not _ties(between) and not (
            claim.label == "points" and board.text(claim.first, claim.first) in small_words("point_ties")
        ):
            return None
        if len(between) > FAR_LINKS or _opens_plate(board, item, claim, end):
            return None
        if end < len(board.pieces) and _has_its_own(board, between, claim, end):
            return None
        tied = any(word in table("unsaid")["prepositions"] for word in between) or _one_name(item, claim, between)
        tied = tied or _ties_itself(board, claim)
        if not tied and (_opens_statement(board, claim) or _cannot_have(item, claim)):
            return None
        if not tied and end < len(board.pieces) and _belongs_ahead(board, items, place, claims, claim):
            sized = (
                claim.label == "component" and item.label == "amount" and item.value.unit is None and item.value.size
            )
            return claim if sized else None
        return _whole_name(claim, claims)
    return None


def _opens_statement(board: Board, claim: Claim) -> bool:
    """'four seventy eight compressor shell's warm': what is said next is told of the part."""
    if claim.label != "component":
        return False
    at = claim.last + 1
    at += board.word(at) in small_words("bodies")
    return board.word(at) == "'s" and not any(
        is_number_word(piece) for piece in board.pieces[claim.last + 1 : claim.last + 4]
    )


def _cannot_have(item: Claim, claim: Claim) -> bool:
    """'three point five inches flame blue': no flame has inches."""
    if claim.label != "component" or item.label != "amount" or item.value.unit is None:
        return False
    kinds = [kind for unit in units_of(item.value.unit) for kind in unit_table()[unit].kinds]
    return not any(can_have(claim.value, kind) for kind in kinds)


def _ties_itself(board: Board, claim: Claim) -> bool:
    """'a hundred and one going into the drier': the place's own name begins with a preposition."""
    return claim.label == "component" and board.word(claim.first) in table("unsaid")["prepositions"]


def _one_name(item: Claim, kind: Claim, between: Sequence[str]) -> bool:
    """'a three degree differential': the unit in the singular right before the quantity it is of."""
    if between or kind.label != "kind" or item.label != "amount":
        return False
    form = item.value.unit_form
    return form in degree_forms() and not form.endswith("s")


def _has_its_own(board: Board, between: Sequence[str], claim: Claim, number: int) -> bool:
    """'sixty eight ... with the return air at seventy four', 'thirty four with a saturation of twenty three'."""
    if board.word(claim.last) == "'s" and claim.last + 1 == number:
        return True  # 'fifty eight return's seventy two'
    at = claim.last + 1
    kind = board.owner[at]
    if "with" in between and (kind.last + 1 if kind is not None and kind.label == "kind" else at) == number:
        return True  # 'eighty eight out with head pressure one seventy five'
    own = small_words("own_value") if "with" in between else small_words("own_value_always")
    return board.word(claim.last + 1) in own and claim.last + 2 == number


def _opens_plate(board: Board, item: Claim, claim: Claim, end: int) -> bool:
    """'static's point eight one on a blower rated for point five': the part belongs to the printed number behind."""
    if claim.label != "component" or item.label != "amount" or item.value.unit is not None or end >= len(board.pieces):
        return False
    cue = board.starts("roles", claim.last + 1)
    return cue is not None and cue.name == "nameplate"


def _whole_name(claim: Claim, claims: Sequence[Claim]) -> Claim:
    """'on the condenser fan cap': of parts named in one breath the last is meant."""
    parts = table("components")
    for other in claims:
        if claim.label == other.label == "component" and other.first == claim.last + 1:
            if parts[claim.value].get("electrical") and not parts[other.value].get("electrical"):
                break  # 'ten amps on the blower motor outside'
            claim = other
    return claim


def _plain(board: Board, at: int) -> bool:
    owner = board.owner[at]
    return owner is None or owner.label not in (
        "component",
        "points",
        "equipment",
        "kind",
        "correction",
        "corrected unit",
    )


def _ties(between: Sequence[str]) -> bool:
    data = table("unsaid")
    links = set(data["links"]) | set(data["prepositions"]) | set(table("conditions")["drops_behind"])
    return all(word in links for word in between)


def _belongs_ahead(board: Board, items: Sequence[Claim], place: int, claims: Sequence[Claim], claim: Claim) -> bool:
    """Nothing ties the place to the number before it; it belongs to the number behind unless that has one of its
    own."""
    following = items[place + 1]
    own = next((c for c in claims if c.first > following.last and c.label == claim.label), None)
    between = {board.word(at) for at in range(claim.last + 1, following.first)}
    apart = own is not None and led_to(board, following, own) and claim.first == items[place].last + 1
    if apart or between & small_words("set_against"):
        return False  # 'sixty two oil pressure against twenty on the suction'
    if any(label.last < items[0].first and label.value not in VAGUE for label in board.labelled("component", "kind")):
        return True  # in this sentence places come before their numbers
    if following.first - claim.last > 6 or between & set(table("clauses")["parts_statements"]):
        return False
    rest = [c for c in claims if c.first > following.last and c.label == claim.label]
    if not rest or rest[0].first - following.last > 2:
        return True
    further = items[place + 2].first if place + 2 < len(items) else len(board.pieces)
    return not (rest[0].last < further and rest[0].first - following.last <= claim.first - items[place].last)
