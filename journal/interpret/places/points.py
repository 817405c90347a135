"""Measuring points: what a pair, a group or a side may mean, and what it means for a reading of some kind.

'C to R' belongs to a winding or to a control circuit; a claim keeps what each half may be, and ``settle`` chooses by
the reading's kind once that is known.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any

from journal.domain.kind import Kind
from journal.interpret.board import Board, Claim
from journal.interpret.vocabulary import small_words, table

if TYPE_CHECKING:
    from journal.interpret.places.behind import Bound


Half = tuple[tuple[str, str], ...]  # (family, name), every meaning one half may have


@dataclass(frozen=True, slots=True)
class Points:
    """What one claim of points may mean.

    ``halves`` are one or two ends; ``each`` repeats them to a common end ('T1 T2 T3 to ground', 'each of these to
    ground'
    with no halves of its own); ``same`` repeats the pair before, ``both`` is
    between the points of the two readings before, ``there`` starts where the pair before ended.
    """

    halves: tuple[Half, ...] = ()
    each: bool = False
    group: bool = False
    same: bool = False
    both: bool = False
    there: bool = False
    side: str | None = None


def is_end(claim: Claim) -> bool:
    """'to ground', 'to neutral' with nothing before it."""
    value: Points = claim.value
    return (
        len(value.halves) == 1 and not value.each and any(name in ("ground", "neutral") for _, name in value.halves[0])
    )


def is_single(claim: Claim) -> bool:
    value: Points = claim.value
    return len(value.halves) == 1 and not (value.each or value.there or value.same or value.both or is_end(claim))


def with_ends(board: Board, items: Sequence[Claim], bound: list[Bound | None]) -> None:
    """'l one reads one twenty to ground': the point before the number and the end behind it are one pair."""
    ends = {claim.first: claim for claim in board.labelled("points") if is_end(claim)}
    for place, item in enumerate(items):
        before, end = bound[place], ends.get(item.last + 1)
        if before is None or end is None or before.claim is end or not is_single(before.claim):
            continue
        halves = (before.claim.value.halves[0], end.value.halves[0])
        joined = Claim("points", before.claim.first, before.claim.last, Points(halves), "pair around its number")
        bound[place] = replace(before, claim=joined)


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


@cache
def point_words() -> dict[str, Any]:
    data = table("points")
    return {key: frozenset(data[key]) for key in ("joiners", "between", "pointers")}


def with_lead(board: Board, first: int) -> int:
    """Take 'between', 'from', 'across' in front of a pair along, so that no range is read from them."""
    lead = first - 1
    if lead >= 0 and board.owner[lead] is None and board.word(lead) in small_words("point_leads"):
        return lead
    return first
