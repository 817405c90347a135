"""Voltages known by their size, and by where they stand: at a part, across it, followed along from part to part."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Alternative, Doubt, Reading
from journal.domain.unit_table import can_measure
from journal.interpret.numbers.amounts import Amount
from journal.interpret.places.having import shows
from journal.interpret.quantities.surroundings import Quantity, Surroundings, electrical
from journal.interpret.quantities.unit_doubts import CLOSE
from journal.interpret.quantities.unsaid_volts import near_usual
from journal.interpret.vocabulary import small_words, table


def from_across(amount: Amount, around: Surroundings) -> Quantity | None:
    """'its heater's open and there's two forty across it', 'solenoid coil's getting one twenty': what stands across a
    part, or what it gets, is a voltage, whatever is usually read there."""
    if around.component is None or around.points is not None or around.context.mode not in (None, Kind.VOLTAGE):
        return None
    if not electrical(around.component) or not near_usual(amount) or around.kind is not None:
        return None
    board, at = around.board, amount.last + 1
    while board.word(at) in small_words("right_there"):
        at += 1
    there = board.word(amount.first - 1) in small_words("stands_there")
    across = board.word(at) == "across" or (board.word(at) == "on" and board.word(at + 1) in small_words("on_it"))
    if there and across:
        return Quantity("volt", Kind.VOLTAGE, {"unit": "across a part"})
    if board.word(amount.first - 1) in small_words("is_fed") and shows(around.component, Kind.RESISTANCE):
        found = Quantity("volt", Kind.VOLTAGE, {"unit": "size of the number"})
        found.doubts.append(Doubt("unit inferred", f"No unit was said; what the {around.component} gets is a voltage."))
        found.alternatives.append(Alternative(kind=Kind.RESISTANCE, unit="ohm", why="ohms are usual there"))
        return found
    return None


def followed_along(amount: Amount, around: Surroundings, before: Reading) -> bool:
    """'secondary's twenty six and at the board i've only got nineteen': one voltage, followed from part to part."""
    evidence, size = before.evidence, before.value
    here = evidence is not None and evidence.utterance == around.board.utterance.index
    if not here or before.kind is not Kind.VOLTAGE or before.points or not electrical(around.component) or not size:
        return False
    entries = table("components")[around.component or ""].get("unsaid", ()) if around.component else ()
    if entries and not any(can_measure(entry["unit"], Kind.VOLTAGE) for entry in entries):
        return False
    return bool(abs(size) / CLOSE <= abs(amount.key) <= abs(size) * CLOSE)
