"""Voltages told by their size: those of a plate, of the mains at a part, and where nothing else is known."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Doubt
from journal.interpret.numbers.amounts import Amount
from journal.interpret.numbers.hints import mains_there
from journal.interpret.quantities.surroundings import Quantity, Surroundings, electrical
from journal.interpret.vocabulary import small_words, table

MOST_BEFORE_PHASES = 7  # words between a voltage and the number of phases, another voltage among them
SPREAD = Decimal("0.06")  # share by which a number may miss a usual voltage and still be taken for it


def from_service(amount: Amount, around: Surroundings) -> Quantity | None:
    """'two oh eight two thirty single phase', 'forty watts on the tag at one twenty': a plate's voltage."""
    if amount.value not in table("unsaid")["nominal_volts"]:
        return None
    return Quantity("volt", Kind.VOLTAGE, {"unit": "service voltage"}) if around.service else None


def from_phases(amount: Amount, around: Surroundings) -> Quantity | None:
    """'two oh eight slash two thirty three phase': nominal voltages right before a number of phases."""
    board, at = around.board, amount.last + 1
    if not around.printed:
        return None  # 'it's a four sixty three phase machine' names the machine
    while at < len(board.pieces) and at - amount.last < MOST_BEFORE_PHASES:
        owner = board.owner[at]
        if owner is not None and owner.label in ("no reading", "idiom"):
            phases = {board.word(owner.last), board.word(owner.last + 1)} & set(table("unsaid")["phases"])
            nominal = amount.value in table("unsaid")["nominal_volts"]
            return Quantity("volt", Kind.VOLTAGE, {"unit": "number of phases"}) if phases and nominal else None
        if owner is not None and (owner.label != "amount" or owner.value.unit is not None):
            return None
        if owner is None and board.word(at) not in small_words("between_voltages"):
            return None
        at += 1
    return None


def mains_at_part(amount: Amount, around: Surroundings) -> bool:
    """A mains voltage is there, also at a part that is known by its ohms."""
    return amount.unit is None and mains_there(around.board, amount.number_first, amount.number_last + 1)


def from_part(amount: Amount, around: Surroundings) -> Quantity | None:
    """'got one twenty at the solenoid': at an electrical part a number of a usual size is volts, doubted."""
    board = around.board
    on_it = board.word(amount.last + 1) in small_words("place_ties") and board.word(amount.last + 2) in small_words(
        "them"
    )
    tied = around.component_how == "said" or (around.component_how == "carried" and on_it)  # 'one twenty across it'
    if not tied or not electrical(around.component) or not near_usual(amount):
        return None
    found = Quantity("volt", Kind.VOLTAGE, {"unit": "size of the number"})
    found.doubts.append(Doubt("unit inferred", f"No unit was said; at the {around.component} volts are assumed."))
    return found


def near_usual(amount: Amount) -> bool:
    volts = [Decimal(24), *table("unsaid")["mains_volts"]]
    return amount.value is not None and any(abs(amount.value - v) <= SPREAD * v for v in volts)


def from_size(amount: Amount, around: Surroundings) -> Quantity | None:
    """'should be two thirty but i've only got one ninety eight': with nothing else to go by, mains voltages are
    known."""
    if not around.measured or amount.value is None or around.context.drafts or around.component is not None:
        return None
    if not near_usual(amount):
        return None
    found = Quantity("volt", Kind.VOLTAGE, {"unit": "size of the number"})
    found.doubts.append(Doubt("unit inferred", "No unit and no place was said; by its size it is a mains voltage."))
    return found
