"""Which of several parts or kinds named before a number is meant."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from journal.interpret.board import Board, Claim
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


def choose_kind(window: Sequence[Claim]) -> Claim:
    """Of several kind words the last, but 'temperature' yields to a more telling one ('saturated condensing temp')."""
    telling = [claim for claim in window if claim.value not in ("temperature", "pressure")]
    return (telling or window)[-1]
