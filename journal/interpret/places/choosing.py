"""Which of several parts or kinds named before a number is meant."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from journal.interpret.board import Board, Claim
from journal.interpret.vocabulary import small_words, table

MOST_CALLED = 4  # words from a part to the one it is on


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
            tied = tied or _on_something(board, claim, chosen)
            if (tied and not data[claim.value].get("weak")) or (data[chosen.value].get("weak") and not between):
                chosen = claim
            else:
                break
        return chosen

    return choose


def _on_something(board: Board, claim: Claim, place: Claim) -> bool:
    """'defrost heaters on the back evaporator', 'discharge line on the squash compressor': what the part is on may
    have any name."""
    between = range(claim.last + 1, place.first)
    if not 2 <= len(between) <= MOST_CALLED or board.word(between[0]) not in small_words("component_ties"):
        return False
    clauses = table("clauses")
    parting = {
        *clauses["parts_statements"],
        *clauses["subjects"],
        *clauses["strong"],
        *table("unsaid")["verbs"]["forms"],
    }
    body = table("components")[claim.value]
    if not (body.get("electrical") or body.get("first")):
        return False  # 'evaporator in the cave coil twenty four': where, and then what
    return board.word(between[1]) in small_words("component_articles") and all(
        _names(board, at) and board.word(at) not in parting for at in between[2:]
    )


def _names(board: Board, at: int) -> bool:
    """'nitrogen test on the ice cream cabinet': no number, nor anything else that is told."""
    owner = board.owner[at]
    return owner is None or owner.label in ("component", "equipment", "no reading", "refrigerant")


def _air_leaving(board: Board, air: Claim, part: Claim) -> bool:
    """'air off the reach in coil': what leaves a part whose air has a temperature."""
    units = [entry["unit"] for entry in table("components")[part.value].get("unsaid", ())]
    return board.word(air.last) in small_words("leaving") and "degF" in units


def _named_on_the_way(board: Board, at: int) -> bool:
    """'heaters to ground on the number two coil', 'air to the reach in coil': points, number, machine part nothing."""
    owner = board.owner[at]
    return owner is not None and owner.label in ("points", "no reading", "equipment")


def choose_kind(window: Sequence[Claim]) -> Claim:
    """Of several kind words the last, but 'temperature' yields to a more telling one ('saturated condensing temp')."""
    telling = [claim for claim in window if claim.value not in ("temperature", "pressure")]
    return (telling or window)[-1]
