"""The unit of a number at measuring points when none was said: ohms of windings, volts of lines and controls."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Doubt
from journal.interpret.numbers.amounts import Amount
from journal.interpret.numbers.markings import CAPACITORS
from journal.interpret.places.points import Points
from journal.interpret.quantities.surroundings import Quantity, Surroundings, by_mode
from journal.interpret.quantities.unit_doubts import CLOSE, with_second
from journal.interpret.vocabulary import small_words, table

CONTROL_LOW = Decimal(18)  # volts of a 24 V control circuit, loaded or not: common practice
CONTROL_HIGH = Decimal(32)


def from_points(amount: Amount, around: Surroundings, entry: dict[str, Any] | None) -> Quantity | None:
    points = around.points
    if points is None:
        return None
    mode = around.context.mode
    families = [{family for family, _ in half} for half in points.halves]
    shared = set.intersection(*families) if families else set()
    if mode is not None:
        return by_mode(mode)
    last = around.context.last()
    if len(points.halves) == 1 and "winding" in shared and around.words & small_words("leads"):
        return Quantity("ampere", Kind.CURRENT, {"unit": "clamped lead"})
    if len(points.halves) == 1 and last is not None and last.reading.kind is Kind.CURRENT:
        return Quantity("ampere", Kind.CURRENT, {"unit": "reading before"})
    usual = CONTROL_LOW <= amount.key <= CONTROL_HIGH
    if usual and _control_letters(points) and not _measuring_windings(around):
        return Quantity("volt", Kind.VOLTAGE, {"unit": "control terminals"})
    if (
        "control" in shared
        and (amount.key >= 15 or "winding" not in shared)
        and amount.key < 60
        and control_words(around)
    ):
        return Quantity("volt", Kind.VOLTAGE, {"unit": "control terminals"})
    if "winding" in shared and not control_words(around):
        if "capacitor" in shared and len(shared) == 1:
            return Quantity("microfarad", Kind.CAPACITANCE, {"unit": "capacitor terminals"})
        return Quantity("ohm", Kind.RESISTANCE, {"unit": "winding"})
    if "capacitor" in shared and "control" not in shared:
        return Quantity("microfarad", Kind.CAPACITANCE, {"unit": "capacitor terminals"})
    if around.component in CAPACITORS and "capacitor" in set().union(*families):
        return Quantity("microfarad", Kind.CAPACITANCE, {"unit": f"{around.component}"})
    previous = around.context.last()
    if previous is not None and previous.reading.unit and previous.said_points is not None:
        if not amount.key:
            return Quantity(previous.reading.unit, previous.reading.kind, {"unit": "reading before"})
        size = previous.reading.value
        if size is not None and size and amount.key and size / CLOSE <= amount.key <= size * CLOSE:
            return Quantity(previous.reading.unit, previous.reading.kind, {"unit": "reading before"})
    if "control" in shared and amount.key < 60:
        return Quantity("volt", Kind.VOLTAGE, {"unit": "control terminals"})
    if amount.key >= 90:
        return Quantity("volt", Kind.VOLTAGE, {"unit": "lines"})
    if {"phase"} & set().union(*families) and len(points.halves) == 1:
        return Quantity("ampere", Kind.CURRENT, {"unit": "one line"})
    through = entry is not None and entry["unit"] == "ampere" and len(points.halves) == 2
    if entry is not None and not through:  # no amps flow from 't one to t two'
        return with_second(entry, around)
    if "winding" in set().union(*families) or "motor" in shared:
        return Quantity("ohm", Kind.RESISTANCE, {"unit": "winding"})
    weak = Quantity("volt", Kind.VOLTAGE, {"unit": "lines"})
    weak.doubts.append(Doubt("unit inferred", "No unit was said; lines were named, so volts are assumed."))
    return weak


def _control_letters(points: Points) -> bool:
    """'R to C' in letters, which is also a winding."""
    return len(points.halves) == 2 and all({"control", "winding"} <= {f for f, _ in half} for half in points.halves)


def _measuring_windings(around: Surroundings) -> bool:
    last = around.context.last()
    return last is not None and last.reading.kind is Kind.RESISTANCE and bool(last.reading.points)


def control_words(around: Surroundings) -> bool:
    """Return whether something nearby makes 'C to R' terminals of a control circuit."""
    return (
        around.component in ("thermostat", "control board", "control circuit", "transformer", "defrost control")
        or bool(around.words & set(table("clauses")["control_words"]))
        or (
            around.points is not None and any(not any(f == "winding" for f, _ in half) for half in around.points.halves)
        )
    )
