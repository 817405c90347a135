"""Units said of no number, for a whole list: 'in kilohms', 'those were all microamps'; and the scale somebody reads in.

They hold where no unit was said with the number itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from journal.domain.kind import Kind
from journal.domain.unit_table import unit_table
from journal.interpret.board import Board
from journal.interpret.context import Context
from journal.interpret.numbers.amounts import Amount
from journal.interpret.quantities.surroundings import Quantity, Surroundings
from journal.interpret.vocabulary import table

HEADED = "unit of the list"
FAHRENHEIT, CELSIUS = "degF", "degC"


def units_alone(board: Board) -> Iterator[str]:
    """The units of an utterance that no number has."""
    for hit in board.hits.get("units", ()):
        owner = board.owner[hit.first]
        if hit.name in unit_table() and (owner is None or owner.label == "kind"):
            yield hit.name


def note_heading(board: Board, context: Context) -> None:
    """Remember the unit of an utterance that has units and no numbers: a list follows."""
    if any(True for _ in board.labelled("amount")):
        return
    for unit in units_alone(board):
        context.heading, context.heading_at = unit, context.now


def in_unit_of_list(amount: Amount, around: Surroundings, quantity: Quantity) -> Quantity:
    """The quantity in the unit that heads or ends its list, if it is one of its kind."""
    if _of_degrees(quantity.unit):
        return _in_celsius(amount, around, quantity)
    if amount.unit is not None or quantity.unit != table("kinds").get(quantity.kind.value, {}).get("unit"):
        return quantity
    headed = around.context.headed()
    for unit in (*units_alone(around.board), *((headed,) if headed else ())):
        same = quantity.kind in unit_table()[unit].kinds and quantity.kind is not Kind.PRESSURE
        if same and unit != quantity.unit:
            return replace(quantity, unit=unit, inferred={**quantity.inferred, "unit": HEADED})
    return quantity


def _of_degrees(unit: str) -> bool:
    return unit.endswith((FAHRENHEIT, CELSIUS))


def _in_celsius(amount: Amount, around: Surroundings, quantity: Quantity) -> Quantity:
    """'we're at four degrees ... and the setpoint's three celsius': the scale said for one holds for all of them, and
    that of the reading before for what follows it ('seven celsius leaving ... three and a half across')."""
    last = around.context.last()
    said = {claim.value.unit for claim in around.board.labelled("amount")} - {None}
    before = last.reading.unit if last is not None and amount.unit is None else None
    celsius = CELSIUS in said or (before is not None and before.endswith(CELSIUS))
    if FAHRENHEIT in said or not celsius or not quantity.unit.endswith(FAHRENHEIT):
        return quantity
    why = "celsius said beside it" if CELSIUS in said else "celsius said before"
    unit = quantity.unit.replace(FAHRENHEIT, CELSIUS)
    return replace(quantity, unit=unit, inferred={**quantity.inferred, "unit": why})
