"""Which place, points and kind word belong to which number.

A number takes what was named before it since the number before; else what is tied to it behind ('... on the
discharge');
the numbers of one list share what their first or last one has.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from journal.interpret.board import Board, Claim
from journal.interpret.document import STOPS
from journal.interpret.numbers.runs import SEPARATORS
from journal.interpret.places.behind import Bound, each_its_own, end_behind, other_behind, tied_behind
from journal.interpret.places.yielding import behind_wins
from journal.interpret.vocabulary import small_words, table

COUNTED = ("saturation temperature", "superheat", "subcooling")  # quantities said right behind their number


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
    words = set(table("hedges")["listed"]) | SEPARATORS | small_words("amid_lists")
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
        own = each_its_own(board, items, place, claims, window) if window and place else None
        if own is not None:
            used.add(id(own))
            bound[place] = Bound(own, "behind")
            continue
        if window:
            chosen = choose(window)
            other = behind_wins(board, items, place, claims, chosen)
            bound[place] = Bound(chosen, "before") if other is None else Bound(other, "behind")
            continue
        end = end_behind(item, claims)
        if end is not None and id(end) not in used:
            bound[place] = Bound(end, "behind")
            used.add(id(end))
            continue
        if place and lists[place] == lists[place - 1] and bound[place - 1] is not None:
            before = bound[place - 1]
            side = other_behind(board, items, place, claims, before)
            if side is not None:
                used.add(id(side))
                bound[place] = Bound(side, "behind")
                continue
            bound[place] = Bound(before.claim, "list") if before is not None else None
            continue
        if points_first:
            continue
        behind = tied_behind(board, items, place, claims, lists)
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
    over = {*small_words("behind_quantities"), *words["stops"], *words["strong"], *words["subjects"]}
    at = claim.last + 1
    if board.word(at) in over or board.text(at, at + 2) in table("kinds")["saturation temperature"]["by_chart"]:
        return claim
    at += board.word(at) in small_words("determiners")
    owner = board.owner[at] if at < len(board.pieces) else None
    return claim if owner is not None and owner.label == "component" and owner.first == at else None


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


def _share_backwards(items: Sequence[Claim], lists: Sequence[int], bound: list[Bound | None]) -> None:
    for place in range(len(items) - 2, -1, -1):
        after = bound[place + 1]
        own = after is not None and after.claim.label == "points" and items[place].label != items[place + 1].label
        if own:
            continue  # 'eight ohms and open to ground': only what it shows to ground is told of the ground
        if bound[place] is None and after is not None and lists[place] == lists[place + 1] and after.how != "before":
            bound[place] = Bound(after.claim, "list")


def told_of_points(board: Board, items: Sequence[Claim], claims: Sequence[Claim], bound: list[Bound | None]) -> None:
    """'one point two ohms is what i've got common to run', 'two point six is what common to start gives me': the only
    number of an utterance and the only points, behind it, with nothing but words of having between."""
    if len(items) != 1 or len(claims) != 1 or bound[0] is not None or claims[0].first < items[0].last:
        return
    between = [board.word(at) for at in range(items[0].last + 1, claims[0].first)]
    if " ".join(between[:2]) in small_words("is_what") and set(between) <= small_words("having"):
        bound[0] = Bound(claims[0], "behind")
