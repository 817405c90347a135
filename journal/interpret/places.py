"""Which place, points and kind word belong to which number.

A number takes what was named before it since the number before; else what is tied to it behind ('... on the
discharge');
the numbers of one list share what their first or last one has.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from journal.interpret.amounts import tails
from journal.interpret.board import Board, Claim, Hit, spans_of
from journal.interpret.document import STOPS
from journal.interpret.runs import SEPARATORS, is_number_word
from journal.interpret.vocabulary import small_words, table

VAGUE = ("pressure", "temperature", "voltage", "current", "resistance")  # kinds that name no place
FAR_LINKS = 5  # words that may stand between a number and the place tied to it


@dataclass(frozen=True, slots=True)
class Bound:
    """What a number is tied to and how: ``before``, ``behind`` or ``list``."""

    claim: Claim
    how: str


def claim_components(board: Board) -> None:
    """Claim the parts and places named; 'start relay coil' is one part, the coil is of the relay."""
    data = table("components")
    before: Claim | None = None
    beyond = spans_of(tails(board))
    for hit in board.found("components"):
        if not beyond.isdisjoint(range(hit.first, hit.last + 1)) or _is_elsewhere(board, hit):
            continue
        generic = data[hit.name].get("generic") or data[hit.name].get("weak")
        if before is not None and generic and before.last + 1 == hit.first:
            claim = Claim("component", before.first, hit.last, before.value, before.rule)
            board.release(before)
            before = board.claim("component", claim.first, claim.last, claim.value, "part of a part")
            continue
        before = board.claim("component", hit.first, hit.last, hit.name, "part or place")


def _is_elsewhere(board: Board, hit: Hit) -> bool:
    """The words are part of a unit ('inches of vacuum'), a state ('line voltage at the contactor') or a kind ('max
    fuse')."""
    kind = board.ends("kinds", hit.last)
    if kind is not None and kind.first < hit.first:
        return True
    for unit in board.hits.get("units", ()):
        if unit.first < hit.first <= unit.last and unit.first and is_number_word(board.pieces[unit.first - 1]):
            return True
    state = board.starts("states", hit.first)
    if state is None or state.last != hit.last:
        state = next((s for s in board.hits.get("states", ()) if s.first <= hit.first and s.last >= hit.last), None)
    return state is not None and board.word(state.last + 1) in table("unsaid")["prepositions"]


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
    for place, item in enumerate(items):
        after = items[place - 1].last if place else -1
        window = [c for c in claims if after < c.first and c.last < item.first and id(c) not in used]
        if window:
            bound[place] = Bound(choose(window), "before")
            continue
        if place and lists[place] == lists[place - 1] and bound[place - 1] is not None:
            before = bound[place - 1]
            bound[place] = Bound(before.claim, "list") if before is not None else None
            continue
        behind = _tied_behind(board, items, place, claims, lists)
        if behind is not None:
            if not (item.label == "amount" and item.value.size):
                used.add(id(behind))
            bound[place] = Bound(behind, "behind")
    _share_backwards(items, lists, bound)
    return bound


def _numbers_first(board: Board, items: Sequence[Claim], claims: Sequence[Claim]) -> bool:
    """'211, 1 to 2, 214, 2 to 3': every number has its points behind a comma, in turn, from the first on."""
    if not items or len(items) != len(claims) or any(claim.label != "points" for claim in claims):
        return False
    ends = [*(item.first for item in items[1:]), len(board.pieces)]
    for item, claim, end in zip(items, claims, ends, strict=True):
        between = [board.word(at) for at in range(item.last + 1, claim.first)]
        behind = board.word(claim.last + 1) if claim.last + 1 < len(board.pieces) else "."
        if not item.last < claim.first < end or between != [","] or behind not in STOPS:
            return False
    return True


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
        if not _ties(between) and not (
            claim.label == "points" and board.text(claim.first, claim.first) in small_words("point_ties")
        ):
            return None
        if len(between) > FAR_LINKS:
            return None
        tied = any(word in table("unsaid")["prepositions"] for word in between)
        if not tied and end < len(board.pieces) and _belongs_ahead(board, items, place, claims, claim):
            sized = (
                claim.label == "component" and item.label == "amount" and item.value.unit is None and item.value.size
            )
            return claim if sized else None
        return _whole_name(claim, claims)
    return None


def _whole_name(claim: Claim, claims: Sequence[Claim]) -> Claim:
    """'on the condenser fan cap': of parts named in one breath the last is meant."""
    for other in claims:
        if claim.label == other.label == "component" and other.first == claim.last + 1:
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
    if any(label.last < items[0].first and label.value not in VAGUE for label in board.labelled("component", "kind")):
        return True  # in this sentence places come before their numbers
    following = items[place + 1]
    between = {board.word(at) for at in range(claim.last + 1, following.first)}
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
        if bound[place] is None and after is not None and lists[place] == lists[place + 1] and after.how != "before":
            bound[place] = Bound(after.claim, "list")


def choose_component(board: Board) -> Callable[[Sequence[Claim]], Claim]:
    """Return how to pick among several parts before a number: 'fuse in the disconnect' is the fuse."""
    data: dict[str, Any] = table("components")
    prepositions = small_words("component_ties")
    articles = small_words("component_articles")

    def choose(window: Sequence[Claim]) -> Claim:
        chosen = window[-1]
        for claim in reversed(window[:-1]):
            between = [board.word(at) for at in range(claim.last + 1, chosen.first)]
            tied = bool(between) and len(between) <= 4 and any(word in prepositions for word in between)
            tied = tied and all(word in prepositions or word in articles for word in between)
            if (tied and not data[claim.value].get("weak")) or (data[chosen.value].get("weak") and not between):
                chosen = claim
            else:
                break
        return chosen

    return choose


def only_where(board: Board, claim: Claim, earlier: Sequence[Claim]) -> bool:
    """Return whether a part only says where another was measured: 'suction line ... at the compressor fifty two'."""
    led = board.word(claim.first - 1) == "at" or (
        board.word(claim.first - 1) == "the" and board.word(claim.first - 2) == "at"
    )
    if not led:
        return False
    data: dict[str, Any] = table("components")
    return any(
        (c.label == "component" and data[c.value].get("first") and c.last < claim.first)
        or (c.label == "kind" and c.value in ("superheat", "subcooling") and c.last < claim.first)
        for c in earlier
    )


def choose_kind(window: Sequence[Claim]) -> Claim:
    """Of several kind words the last, but 'temperature' yields to a more telling one ('saturated condensing temp')."""
    telling = [claim for claim in window if claim.value not in ("temperature", "pressure")]
    return (telling or window)[-1]
