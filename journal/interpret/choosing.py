"""Which of several parts or kinds named before a number is meant, and which only say where or how it was measured."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from journal.interpret.board import Board, Claim
from journal.interpret.places import led_to
from journal.interpret.vocabulary import small_words, table


def choose_component(board: Board) -> Callable[[Sequence[Claim]], Claim]:
    """Return how to pick among several parts before a number: 'fuse in the disconnect' is the fuse."""
    data: dict[str, Any] = table("components")
    prepositions = small_words("component_ties")
    articles = small_words("component_articles")

    def choose(window: Sequence[Claim]) -> Claim:
        chosen = window[-1]
        for claim in reversed(window[:-1]):
            between = [board.word(at) for at in range(claim.last + 1, chosen.first) if not _named_on_the_way(board, at)]
            if _air_leaving(board, claim, chosen) and all(word in articles for word in between):
                return claim
            tied = bool(between) and len(between) <= 4 and any(word in prepositions for word in between)
            tied = tied and all(word in prepositions or word in articles for word in between)
            if (tied and not data[claim.value].get("weak")) or (data[chosen.value].get("weak") and not between):
                chosen = claim
            else:
                break
        return chosen

    return choose


def _air_leaving(board: Board, air: Claim, part: Claim) -> bool:
    """'air off the reach in coil': what leaves a part whose air has a temperature."""
    units = [entry["unit"] for entry in table("components")[part.value].get("unsaid", ())]
    return board.word(air.last) in small_words("leaving") and "degF" in units


def _named_on_the_way(board: Board, at: int) -> bool:
    """'heaters to ground on the number two coil', 'air to the reach in coil': points, number, machine part nothing."""
    owner = board.owner[at]
    return owner is not None and owner.label in ("points", "no reading", "equipment")


def only_where(board: Board, claim: Claim, earlier: Sequence[Claim]) -> bool:
    """Return whether a part only says where another was measured: 'suction line ... at the compressor fifty two'."""
    if _only_tells_how(board, claim) or _put_so(board, claim, earlier) or _was_there(board, claim):
        return True
    led = board.word(claim.first - 1) == "at" or (
        board.word(claim.first - 1) == "the" and board.word(claim.first - 2) == "at"
    )
    if not led:
        return False
    data: dict[str, Any] = table("components")
    amounts = list(board.labelled("amount"))
    # in 'thirty eight in the box and forty two at the coil' the box is of its own number
    earlier = [c for c in earlier if not any(a.last < c.first and led_to(board, a, c) for a in amounts)]
    return any(
        (c.label == "component" and data[c.value].get("first") and c.last < claim.first)
        or (c.label == "kind" and c.value in ("superheat", "subcooling") and c.last < claim.first)
        for c in earlier
    )


def _was_there(board: Board, claim: Claim) -> bool:
    """'scratch that the clamp was on both wires': where the number before went wrong, no place of the one behind."""
    taken_back = [c for c in board.labelled("correction") if c.last < claim.first]
    if not taken_back or any(
        taken_back[-1].last < c.first < claim.first for c in board.labelled("amount", "component")
    ):
        return False
    at = claim.first - 1
    while at > taken_back[-1].last and (
        board.word(at) in small_words("determiners") or (board.owner[at] is not None and at > 0)
    ):
        at -= 1
    weak = bool(table("components")[claim.value].get("weak"))
    return weak and board.word(at) in small_words("place_ties") and board.word(at - 1) in table("clauses")["past_verbs"]


def _put_so(board: Board, claim: Claim, earlier: Sequence[Claim]) -> bool:
    """'compressor ... with the wires off three ohms', '... with the contactor in': how another part was measured."""
    at = claim.first - 1
    at -= board.word(at) in small_words("determiners") | {"both", "all"}
    others = any(c.label == "component" and c.last < at and c.value != claim.value for c in earlier)
    wire = bool(table("components")[claim.value].get("weak"))
    return (others or wire) and board.word(at) == "with" and board.word(claim.last + 1) in small_words("put_so")


def _only_tells_how(board: Board, claim: Claim) -> bool:
    """'with the compressor off' is a condition; 'six inches off the compressor' says where along a line."""
    for hit in board.hits.get("conditions", ()):
        if hit.first < claim.first and claim.last < hit.last and board.word(hit.first) in small_words("circumstances"):
            return True
    led = board.word(claim.first - 1 - (board.word(claim.first - 1) in small_words("component_articles")))
    if led == "with" and board.word(claim.last + 1) in small_words("how_it_runs"):
        return True  # 'with the draft blower on i'm at point five'
    at = claim.first - 1
    while at > 0 and (
        board.word(at) in small_words("before_things") or board.word(at) in table("not_readings")["away"]
    ):
        at -= 1
    owner = board.owner[at] if at >= 0 else None
    return owner is not None and owner.value == "distance"


def choose_kind(window: Sequence[Claim]) -> Claim:
    """Of several kind words the last, but 'temperature' yields to a more telling one ('saturated condensing temp')."""
    telling = [claim for claim in window if claim.value not in ("temperature", "pressure")]
    return (telling or window)[-1]
