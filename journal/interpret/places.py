"""Which place, points and kind word belong to which number.

A number takes what was named before it since the number before; else what is tied to it behind ('... on the
discharge');
the numbers of one list share what their first or last one has.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from journal.interpret.amounts import degree_forms
from journal.interpret.board import Board, Claim
from journal.interpret.document import STOPS
from journal.interpret.points import is_end
from journal.interpret.runs import SEPARATORS
from journal.interpret.vocabulary import small_words, table

VAGUE = ("pressure", "temperature", "voltage", "current", "resistance")  # kinds that name no place
COUNTED = ("saturation temperature", "superheat", "subcooling")  # quantities said right behind their number
GAUGE_SIDES = ("suction", "discharge")
OBJECT_REACH = 3  # words from a verb of work to its part
FAR_LINKS = 5  # words that may stand between a number and the place tied to it


@dataclass(frozen=True, slots=True)
class Bound:
    """What a number is tied to and how: ``before``, ``behind`` or ``list``."""

    claim: Claim
    how: str


def lists_of(board: Board, items: Sequence[Claim]) -> list[int]:
    """Return for each item the number of its list: neighbours parted by list words only."""
    numbers: list[int] = []
    for place, item in enumerate(items):
        if place and _listed(board, items[place - 1], item):
            numbers.append(numbers[-1])
        else:
            numbers.append(place)
    return numbers


def _listed(board: Board, before: Claim, item: Claim) -> bool:
    if item.label == "amount" and item.value.repeated:
        return False  # 'and the same on l two to l three' has a place of its own
    between = range(before.last + 1, item.first)
    words = set(table("hedges")["listed"]) | SEPARATORS | {"/", "all", "about"}
    return all(board.word(place) in words and board.owner[place] is None for place in between) and len(between) <= 3


def bind(
    board: Board,
    items: Sequence[Claim],
    claims: Sequence[Claim],
    lists: Sequence[int],
    choose: Callable[[Sequence[Claim]], Claim] = lambda window: window[-1],
) -> list[Bound | None]:
    """Tie each item to one of ``claims``; ``choose`` picks among several named before it."""
    bound: list[Bound | None] = [None] * len(items)
    if _numbers_first(board, items, claims):
        return [Bound(claim, "behind") for claim in claims]
    used: set[int] = set()
    points_first = _points_first(board, items, claims)
    for place, item in enumerate(items):
        after = items[place - 1].last if place else -1
        window = [c for c in claims if after < c.first and c.last < item.first and id(c) not in used]
        if board.word(item.first - 1) in small_words("set_against"):
            window = []  # 'fifty eight oil pressure against thirty one suction'
        shared = _one_each(board, window, lists, place) if window else None
        if shared is not None:
            bound[place : place + len(shared)] = [Bound(claim, "before") for claim in shared]
            continue
        if bound[place] is not None:
            continue
        named = _named_behind(board, item, claims) if not window else None
        if named is not None and id(named) not in used:
            used.add(id(named))
            bound[place] = Bound(named, "behind")
            continue
        own = _each_its_own(board, items, place, claims, window) if window and place else None
        if own is not None:
            used.add(id(own))
            bound[place] = Bound(own, "behind")
            continue
        if window:
            chosen = choose(window)
            other = _weak_yields(board, items, place, claims, chosen)
            bound[place] = Bound(chosen, "before") if other is None else Bound(other, "behind")
            continue
        end = _end_behind(item, claims)
        if end is not None and id(end) not in used:
            bound[place] = Bound(end, "behind")
            used.add(id(end))
            continue
        if place and lists[place] == lists[place - 1] and bound[place - 1] is not None:
            before = bound[place - 1]
            side = _other_behind(board, items, place, claims, before)
            if side is not None:
                used.add(id(side))
                bound[place] = Bound(side, "behind")
                continue
            bound[place] = Bound(before.claim, "list") if before is not None else None
            continue
        if points_first:
            continue
        behind = _tied_behind(board, items, place, claims, lists)
        if behind is not None:
            if not (item.label == "amount" and item.value.size):
                used.add(id(behind))
            bound[place] = Bound(behind, "behind")
    _share_backwards(items, lists, bound)
    return bound


def _named_behind(board: Board, item: Claim, claims: Sequence[Claim]) -> Claim | None:
    """'that's forty saturated so twelve superheat': each number's quantity right behind it, and no number of its own
    behind that."""
    claim = next((c for c in claims if c.label == "kind" and c.first == item.last + 1), None)
    if claim is None or item.label != "amount" or claim.value not in COUNTED:
        return None
    words = table("clauses")
    over = {"", "and", *words["stops"], *words["strong"], *words["subjects"]}
    at = claim.last + 1
    if board.word(at) in over or board.text(at, at + 2) in table("kinds")["saturation temperature"]["by_chart"]:
        return claim
    at += board.word(at) in small_words("determiners")
    owner = board.owner[at] if at < len(board.pieces) else None
    return claim if owner is not None and owner.label == "component" and owner.first == at else None


def _each_its_own(
    board: Board, items: Sequence[Claim], place: int, claims: Sequence[Claim], window: Sequence[Claim]
) -> Claim | None:
    """'one fifty on the low side and three hundred on the high side': the place behind, as for the number before."""
    end = items[place + 1].first if place + 1 < len(items) else len(board.pieces)
    behind = [c for c in claims if items[place].last < c.first and c.last < end]
    if not behind or not led_to(board, items[place], behind[0]):
        return None
    return behind[0] if all(led_to(board, items[place - 1], claim) for claim in window) else None


def _other_behind(
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


def _weak_yields(
    board: Board, items: Sequence[Claim], place: int, claims: Sequence[Claim], chosen: Claim
) -> Claim | None:
    """'took the wires off and it's wide open through the coil': a place tied right behind, where a new statement
    parts the number from the wire."""
    item = items[place]
    if chosen.label != "component":
        return None
    if not (table("components")[chosen.value].get("weak") or _worked_on(board, chosen)):
        return None
    if not any(board.word(at) in table("clauses")["subjects"] for at in range(chosen.last + 1, item.first)):
        return None
    end = items[place + 1].first if place + 1 < len(items) else len(board.pieces)
    tied = board.word(item.last + 1) in table("unsaid")["prepositions"]
    behind = [c for c in claims if item.last < c.first <= item.last + 3 and c.last < end]
    return behind[0] if tied and behind else None


def _worked_on(board: Board, part: Claim) -> bool:
    """'after i washed the coil it's two forty on the head': what was done to the part, and no number of it."""
    return any(0 < part.first - c.last <= OBJECT_REACH for c in board.labelled("work"))


def _one_each(board: Board, window: Sequence[Claim], lists: Sequence[int], place: int) -> Sequence[Claim] | None:
    """'suction and head are sixty and two ten': as many places joined by 'and' as the list has numbers."""
    members = sum(1 for number in lists[place:] if number == lists[place])
    if lists[place] != place or members < 2 or len(window) < members:
        return None
    last = window[-members:]
    joined = all(_only_joined(board, left.last + 1, right.first) for left, right in pairwise(last))
    return last if joined and len({claim.value for claim in last}) == members else None


def _only_joined(board: Board, first: int, behind: int) -> bool:
    words = [board.word(at) for at in range(first, behind)]
    return words == ["/"] or (
        "and" in words and all(word in SEPARATORS or word in small_words("openers") for word in words)
    )


def _end_behind(item: Claim, claims: Sequence[Claim]) -> Claim | None:
    """'... and nothing to ground': a state with an end of its own does not share the points of its list."""
    if item.label != "state":
        return None
    return next(
        (c for c in claims if c.label == "points" and c.first == item.last + 1 and (is_end(c) or c.value.group)), None
    )


def _numbers_first(board: Board, items: Sequence[Claim], claims: Sequence[Claim]) -> bool:
    """'211, 1 to 2, 214, 2 to 3', '208 one to two 211 two to three': numbers and points in turn, the first a number."""
    if not items or len(items) != len(claims) or any(claim.label != "points" for claim in claims):
        return False
    ends = [*(item.first for item in items[1:]), len(board.pieces)]
    comma = all(board.word(item.last + 1) == "," for item in items)
    for item, claim, end in zip(items, claims, ends, strict=True):
        between = [board.word(at) for at in range(item.last + 1, claim.first)]
        if not item.last < claim.first < end or between != ([","] if comma else []) or item.label != "amount":
            return False
        behind = board.word(claim.last + 1) if claim.last + 1 < len(board.pieces) else "."
        if comma and behind not in STOPS:
            return False
    return comma or len(items) > 2


def _points_first(board: Board, items: Sequence[Claim], claims: Sequence[Claim]) -> bool:
    """'on five hundred volts run to ground two ten meg start to ground two oh five': the last number stands right
    behind its points, so the points come before their numbers from the first to the last."""
    if len(claims) < 2 or any(claim.label != "points" for claim in claims):
        return False
    return all(any(item.first == claim.last + 1 for item in items) for claim in claims)


def _tied_behind(
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
        if not tied and end < len(board.pieces) and _belongs_ahead(board, items, place, claims, claim):
            sized = (
                claim.label == "component" and item.label == "amount" and item.value.unit is None and item.value.size
            )
            return claim if sized else None
        return _whole_name(claim, claims)
    return None


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
    between = {board.word(at) for at in range(claim.last + 1, following.first)}
    if between & small_words("set_against"):
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


def _share_backwards(items: Sequence[Claim], lists: Sequence[int], bound: list[Bound | None]) -> None:
    for place in range(len(items) - 2, -1, -1):
        after = bound[place + 1]
        own = after is not None and after.claim.label == "points" and items[place].label != items[place + 1].label
        if own:
            continue  # 'eight ohms and open to ground': only what it shows to ground is told of the ground
        if bound[place] is None and after is not None and lists[place] == lists[place + 1] and after.how != "before":
            bound[place] = Bound(after.claim, "list")
