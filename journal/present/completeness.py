"""What a visit's record still lacks: what is usual, and, marked apart, what rules demand of a refrigerant record."""

from __future__ import annotations

from dataclasses import dataclass

from journal.domain.visit import Visit
from journal.keep.complete import lacking
from journal.present.record_fields import demanded_places
from journal.present.refrigerant import DEFERS, movements

#: how a missing part is marked
DEMANDED, MAYBE, USUAL = "demanded", "may be demanded", ""


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing a complete record would hold.

    ``place`` is where it belongs (``field.NAME``, ``equipment.serial``, ``visit.site``...); ``word`` marks it;
    ``source`` names the provision that demands it, '' where it is only usual.
    """

    what: str
    place: str
    word: str = USUAL
    source: str = ""


@dataclass(frozen=True, slots=True)
class Gaps:
    """Everything that is missing, the demanded first.

    ``rules`` name the rules with their dates and defer to the regulation at the place.
    """

    items: tuple[Missing, ...] = ()
    rules: tuple[str, ...] = ()


def missing_in(visit: Visit) -> Gaps:
    """Return what a visit's record lacks, of the visit as it stands (corrections applied).

    Pure; the usual parts are ``keep/record_fields.toml`` (common practice), the demanded ones
    ``judge/regulations.toml``.
    """
    moved = movements(visit)
    places = demanded_places()
    found: dict[str, Missing] = {}
    for movement in sorted(moved, key=lambda movement: not movement.certain):
        for demand in movement.missing if movement.asked else ():
            word = DEMANDED if movement.certain else MAYBE
            found.setdefault(places[demand.name], Missing(demand.asks, places[demand.name], word, demand.source))
    usual = tuple(Missing(lack.name, lack.held_by) for lack in lacking(visit) if lack.held_by not in found)
    rules = tuple(dict.fromkeys(movement.rule[:1].upper() + movement.rule[1:] + "." for movement in moved))
    return Gaps((*found.values(), *usual), (*rules, DEFERS) if rules else ())
