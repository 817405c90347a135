"""A second opinion on what a number measures, and whether it is a reading at all: the tagger's.

The rules take an unsaid unit from one thing near the number: the part, the meter's mode, the number before.  The tagger
has learned from all the words around it.  Where it finds the rule's answer very unlikely, the reading is doubted;
where it is also sure of another kind, that one is shown and the rule's is kept as the alternative.  A number that most
likely counts or names something is doubted, and left out where hardly anything speaks for it; with a unit or points
later than without.  What was left out is told by ``journal readings --explain``.
"""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt
from journal.interpret.numbers.amounts import Amount
from journal.interpret.places.having import AT_TERMINALS
from journal.interpret.quantities.quantities import reference_of
from journal.interpret.quantities.surroundings import DIFFERENCES, Quantity, Surroundings
from journal.interpret.tagger.tags import NONE, NOWHERE, label_of
from journal.interpret.vocabulary import table

IDLE = 0.6  # from here on a number is doubted to be a reading
SURELY_IDLE = 0.9  # from here on a number without unit and points is none
CERTAINLY_IDLE = 0.97  # and one with them
SHOWN = 0.6  # from here on a kind is shown where the rules know nothing
SURE_ANYWHERE = 0.985  # the same for a pressure of which it is not plain where it was read
SURE_OF_PART = 0.7
SHOWN_IF_READ = 0.4  # the same where it was surely read
SURE = 0.97  # from here on without a doubt
LIKELY = 0.8  # a kind that has at least this much, and
TIMES = 4  # this many times what the rule's has, is shown instead
UNLIKELY = 0.15  # below this share what is shown is doubted
LEAST_LEFT = 0.005  # where they have hardly any share, the words may not be ends at all
#: kinds that degrees may be said of
IN_DEGREES = (Kind.TEMPERATURE, Kind.SATURATION_TEMPERATURE, *DIFFERENCES)
#: units that tell of which kind of pressure a reading is not by their names
INCHES = ("inch_H2O", "inch_Hg")


def with_opinion(found: Quantity | None, amount: Amount, around: Surroundings) -> Quantity | None:
    """The rule's quantity, doubted or replaced where the words around the number speak against it; or None.

    A number for which the rules found nothing is shown as what the words around it speak for.
    """
    shares = possible_kinds(amount, around)
    if not shares or around.nominal or around.stressed or amount.repeated:
        return found  # what was said stands for the number: 'got my twenty four', 'nothing zero'
    if found is None:
        return _by_the_words(amount, around, shares)
    idle, bare = shares.get(NONE, 0.0), amount.unit is None and around.points is None
    if idle >= (SURELY_IDLE if bare else CERTAINLY_IDLE) and not amount.confirmed:
        return None
    if idle >= IDLE and not amount.confirmed:
        found.doubts.append(Doubt("maybe no reading", "The words around this number sound like no reading of a meter."))
        return found
    if not amount.difference:
        found = _of_other_kind(found, amount, around, shares)
    own = shares.get(label_of(found.kind, found.unit), 1.0)
    if own < UNLIKELY and not found.doubts:
        why = f"The words around this number do not sound like {_a(found.kind)}."
        found.doubts.append(Doubt("maybe no reading" if amount.unit else "kind unsure", why))
    return found


def possible_kinds(amount: Amount, around: Surroundings) -> dict[str, float]:
    """How likely each kind is, only those that a meter reads at terminals where ends were named: 'two eleven one to
    two' is no temperature, whatever was read before it."""
    shares = around.board.tags.kinds(amount.number_first, amount.number_last)
    if around.points is None or not around.points.halves:
        return shares
    at_ends = {name for name in shares if name != NONE and _kind_of(name) in AT_TERMINALS}
    left = sum(shares[name] for name in at_ends)
    whole = 1 - shares.get(NONE, 0.0)
    if left < LEAST_LEFT:
        return shares
    return {
        name: share if name == NONE else share * whole / left if name in at_ends else 0.0
        for name, share in shares.items()
    }


def _by_the_words(amount: Amount, around: Surroundings, shares: dict[str, float]) -> Quantity | None:
    """What the words around a number without a unit say that it measures."""
    best = max(shares, key=shares.__getitem__)
    shown = SHOWN_IF_READ if shares.get(NONE, 0.0) <= 1 - SURE else SHOWN
    if amount.unit is not None or best == NONE or shares[best] < shown:
        return None
    kind, unit = _kind_of(best), _unit_for(best, amount, around)
    if not unit:
        return None
    doubts = [Doubt("kind unsure", f"Only the words around this number say that it is {_a(kind)}.")]
    if shares[best] >= (SURE if _placed(kind, amount, around) else SURE_ANYWHERE):
        doubts = []
    return Quantity(unit, kind, {"unit": "words around it"}, doubts, [], reference_of(unit, amount, around))


def _placed(kind: Kind, amount: Amount, around: Surroundings) -> bool:
    """Whether it is plain what a pressure was read of: 'pulls the low down to five'."""
    parts = around.board.tags.components(amount.number_first, amount.number_last)
    return kind is not Kind.PRESSURE or around.component is not None or max(parts.values(), default=0.0) >= SURE_OF_PART


def _of_other_kind(found: Quantity, amount: Amount, around: Surroundings, shares: dict[str, float]) -> Quantity:
    """The rule's quantity, or that of another kind where the words around it speak for that one far more."""
    own = label_of(found.kind, found.unit)
    possible = [
        name for name in shares if name != NONE and _unit_for(name, amount, around) and _may_be(name, found, amount)
    ]
    best = max(possible, key=shares.__getitem__, default=own)
    if best == own or shares[best] < LIKELY or shares[best] < TIMES * shares.get(own, 0.0):
        return found
    kind, unit = _kind_of(best), _unit_for(best, amount, around)
    if found.unit.endswith("degC"):
        unit = unit.replace("degF", "degC")
    doubts, inferred = list(found.doubts), {**found.inferred, "unit": "words around it"}
    if shares[best] < (SURE if _placed(kind, amount, around) else SURE_ANYWHERE):
        why = f"The words around this number sound like {kind.value}, not {found.kind.value}."
        doubts.append(Doubt("kind unsure", why))
    other = Alternative(kind=found.kind, unit=found.unit, why=f"{found.kind.value}, as the rules have it")
    return Quantity(unit, kind, inferred, doubts, [*found.alternatives, other], reference_of(unit, amount, around))


def _unit_for(label: str, amount: Amount, around: Surroundings) -> str:
    """The unit of a number whose kind only the words around it told: that of the reading before at the same part, or
    the usual one; none for a duration that follows no other."""
    usual, kind = _usual_unit(label), _kind_of(label)
    board, last = around.board, around.context.last()
    if amount.unit is not None or kind is Kind.PRESSURE or last is None or last.reading.unit is None:
        return usual
    parts = board.tags.components(amount.number_first, amount.number_last)
    part = max(parts, key=parts.__getitem__, default=NOWHERE)
    same = kind in IN_DEGREES or not usual or last.reading.component in (None, part)
    return last.reading.unit if last.reading.kind is kind and same else usual


def _may_be(label: str, found: Quantity, amount: Amount) -> bool:
    """Whether a kind fits what was said of the unit."""
    if amount.unit is None:
        return True
    if found.unit.removeprefix("delta_") in ("degF", "degC"):
        return _kind_of(label) in IN_DEGREES
    return found.unit in INCHES and _usual_unit(label) in INCHES


def _a(kind: Kind) -> str:
    return f"{'an' if kind.value[0] in 'aeiou' else 'a'} {kind.value}"


def _kind_of(label: str) -> Kind:
    return Kind.PRESSURE if label.startswith(f"{Kind.PRESSURE.value} ") else Kind(label)


def _usual_unit(label: str) -> str:
    """The unit of a class when none was said; empty for those that are never said without one, and for none."""
    if label.startswith(f"{Kind.PRESSURE.value} "):
        return label.rpartition(" ")[2]
    unit: str = table("kinds").get(label, {}).get("unit", "")
    return unit
