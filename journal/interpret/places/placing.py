"""A reading at its points, once for each when several were named together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from journal.domain.ids import new_id
from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role
from journal.interpret.context import Context, Draft
from journal.interpret.places.points import CONTROL_VOLTS, Points, pairs_of
from journal.interpret.quantities.surroundings import Surroundings
from journal.interpret.quantities.unsaid_points import control_words
from journal.interpret.sentence import Sentence
from journal.interpret.standing.roles import Stand

WINDINGS = ("common", "run", "start")
ENDS = (WINDINGS, ("T1", "T2", "T3"), ("L1", "L2", "L3"))  # points that are measured to ground one after the other


def at_points(
    reading: Reading, sentence: Sentence, place: int, context: Context, around: Surroundings, stand: Stand
) -> Iterator[Draft]:
    """Yield the reading at its points, once for each when several were named together."""
    part, points = sentence.parts.get(place), around.points

    def draft(at: tuple[str, ...] = ()) -> Draft:
        return Draft(
            replace(reading, points=at, id=new_id()),
            at=context.now,
            said_unit="unit" not in dict(reading.inferred),
            said_points=points,
            said_component=sentence.components[place] is not None,
            said_role=stand.said and stand.role is not Role.MEASURED,
        )

    if part is not None and part.points:
        yield draft(part.points)
        return
    if points is None:
        yield draft()
        return
    if sentence.points[place] is None:
        context.points = None
        if not points.same:
            reading = replace(reading, inferred=(*reading.inferred, ("points", "named before")))
    if points.same:
        yield draft(context.last_points)
        return
    if points.both:
        yield draft(_between_the_two(context))
        return
    for names in _pairs(reading, points, context, around):
        yield draft(names)
        context.last_points = names


def _between_the_two(context: Context) -> tuple[str, ...]:
    """'l one to ground ... l two to ground ... across both of them': the ends the two readings before do not share."""
    last = [draft.reading.points for draft in context.drafts[-2:]]
    if len(last) < 2:
        return ()
    ends = tuple(name for here, there in (last, last[::-1]) for name in here if name not in there)
    return ends if len(ends) == 2 else ()


def _pairs(reading: Reading, points: Points, context: Context, around: Surroundings) -> list[tuple[str, ...]]:
    number = reading.value if reading.value is not None else reading.high
    if control_words(around) and (number is None or number < CONTROL_VOLTS):
        number = Decimal(0)  # letters are terminals then, whatever the number
    found: list[tuple[str, ...]] = []
    members = members_of_group(context)
    if points.group and reading.kind is Kind.VOLTAGE and members == WINDINGS:
        return [("ground",)]  # 'one nineteen to ground on each leg': no winding was spoken of, nor which legs there are
    for pair in pairs_of(points, reading.kind, number, members):
        if points.there and context.last_points:
            found.append((context.last_points[-1], *pair))
        elif _goes_on_to_ground(reading, points, pair, context):
            found.append((*pair, "ground"))
        else:
            found.append(pair)
    return found


def _goes_on_to_ground(reading: Reading, points: Points, pair: tuple[str, ...], context: Context) -> bool:
    """'t one to ground two megs, t two three': one end alone, where the ground of the reading before is still meant."""
    if len(pair) != 1 or pair[0] == "ground" or points.side:
        return False
    last = context.last()
    if context.to_ground or last is None:
        return context.to_ground
    before = last.reading.points
    resistances = reading.kind is Kind.RESISTANCE and last.reading.kind is Kind.RESISTANCE
    if not resistances or len(before) != 2 or before[1] != "ground":
        return False
    family = next((family for family in ENDS if before[0] in family), ())
    return pair[0] in family and pair[0] != before[0]


def members_of_group(context: Context) -> tuple[str, ...]:
    """The points that 'each of these' means: those of the readings just taken."""
    recent = [point for draft in context.drafts[-6:] for point in draft.reading.points]
    for family in (("L1", "L2", "L3"), ("T1", "T2", "T3")):
        if any(point in family for point in recent):
            return tuple(point for point in family if point in recent)
    windings = tuple(dict.fromkeys(point for point in recent if point in WINDINGS))
    return windings if len(windings) == len(WINDINGS) else WINDINGS
