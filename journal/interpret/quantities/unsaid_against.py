"""The unit of a number that is set against another: what it moved from, what it should be, what it was another day."""

from __future__ import annotations

from journal.domain.reading import Alternative, Doubt
from journal.interpret.numbers.amounts import Amount
from journal.interpret.quantities.surroundings import DIFFERENCES, Quantity, Surroundings, kind_for
from journal.interpret.quantities.unit_doubts import CLOSE

AGAINST = "value it is set against"  # where a number without a name has its unit from


def from_moved(amount: Amount, around: Surroundings) -> Quantity | None:
    """'washed it and it dropped to two ten': the unit of the reading that moved."""
    before = around.moved
    if before is None or before.unit is None:
        return None
    found = Quantity(before.unit, before.kind, {"unit": "reading that moved"}, reference=before.reference)
    size = before.value
    if before.kind in DIFFERENCES and around.context.component not in (None, before.component):
        found.doubts.append(Doubt("kind unsure", "A part was named since; the number may be of that."))
    if amount.unit is None and size and not abs(size) / CLOSE <= abs(amount.key) <= abs(size) * CLOSE:
        found.doubts.append(Doubt("unit inferred", "No unit was said; if it is what was read before, it moved far."))
    return _with_rival(found, around)


def from_memory(amount: Amount, around: Surroundings) -> Quantity | None:
    """'five hundred megohms in the spring, now it's ninety': the unit of the number told of another day."""
    unit = around.remembered
    return Quantity(unit, kind_for(unit, None), {"unit": AGAINST}) if unit is not None else None


def _with_rival(found: Quantity, around: Surroundings) -> Quantity:
    """Two values of two kinds were told before, and either may be meant."""
    other = around.rival
    if other is not None and other.unit is not None:
        why = f"Told of {found.kind.value} or of {other.kind.value}: both were read just before."
        found.doubts.append(Doubt("kind unsure", why))
        found.alternatives.append(Alternative(kind=other.kind, unit=other.unit, why="read just before as well"))
    return found


def from_against(amount: Amount, around: Surroundings) -> Quantity | None:
    """'eighty two percent and it ought to be eighty five': the unit of the value it is set against."""
    before = around.against
    if before is None or before.unit is None:
        return None
    found = Quantity(before.unit, before.kind, {"unit": AGAINST}, reference=before.reference)
    if any(doubt.code == "unit inferred" for doubt in before.doubts):
        found.doubts.append(Doubt("unit inferred", "No unit was said here nor at the reading before."))
    return _with_rival(found, around) if not around.expected and not around.printed else found
