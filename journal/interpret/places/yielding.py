"""Where the place behind a number is meant rather than the part named before it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from journal.domain.kind import Kind
from journal.domain.unit_table import can_measure
from journal.interpret.board import Board, Claim
from journal.interpret.numbers.amounts import units_of
from journal.interpret.places.behind import GAUGE_SIDES, led_to
from journal.interpret.places.having import shows
from journal.interpret.vocabulary import small_words, table

OBJECT_REACH = 3  # words from a verb of work to its part


def behind_wins(
    board: Board, items: Sequence[Claim], place: int, claims: Sequence[Claim], chosen: Claim
) -> Claim | None:
    """Return the place behind a number where it is meant rather than the part named before."""
    if chosen.label != "component":
        return None
    item, end = items[place], items[place + 1].first if place + 1 < len(items) else len(board.pieces)
    behind = next((c for c in claims if item.last < c.first and c.last < end), None)
    if behind is None:
        return None
    weak = _weak_yields(board, item, chosen, behind) or _weather(board, item, behind)
    return (
        behind
        if weak or _side_of_gauges(board, item, chosen, behind) or _told_of(board, item, chosen, behind)
        else None
    )


def _weak_yields(board: Board, item: Claim, chosen: Claim, behind: Claim) -> bool:
    """'took the wires off and it's wide open through the coil': a place tied right behind, where a new statement
    parts the number from the wire."""
    worked = _worked_on(board, chosen)
    if not (table("components")[chosen.value].get("weak") or worked):
        return False
    new = table("clauses")["subjects"] if not worked else (*table("clauses")["subjects"], *small_words("new_statement"))
    if not any(board.word(at) in new for at in range(chosen.last + 1, item.first)):
        return False
    return board.word(item.last + 1) in table("unsaid")["prepositions"] and behind.first <= item.last + 3


def _weather(board: Board, item: Claim, behind: Claim) -> bool:
    """'compressor's been off all night and it's thirty eight degrees outside': nothing is cold outside but the air."""
    led = any(board.word(at) in small_words("it") for at in range(item.first - 3, item.first))
    units = () if item.label != "amount" or item.value.unit is None else units_of(item.value.unit)
    warm = item.label == "amount" and (not units or any(can_measure(unit, Kind.TEMPERATURE) for unit in units))
    return led and warm and behind.value == "ambient" and behind.first == item.last + 1


def _worked_on(board: Board, part: Claim) -> bool:
    """'after i washed the coil it's two forty on the head': what was done to the part, and no number of it."""
    return any(0 < part.first - c.last <= OBJECT_REACH for c in board.labelled("work"))


def _side_of_gauges(board: Board, item: Claim, chosen: Claim, behind: Claim) -> bool:
    """'the left compressor has forty four on the low side': a pressure, and no part but the gauges has one."""
    if behind.value not in GAUGE_SIDES or not led_to(board, item, behind) or item.label != "amount":
        return False
    units = () if item.value.unit is None else units_of(item.value.unit)
    pressure = not units or any(can_measure(unit, Kind.PRESSURE) for unit in units)
    rests = board.word(chosen.last) == "pressure" and chosen.value not in GAUGE_SIDES  # 'standing pressure'
    return pressure and (rests or not shows(chosen.value, Kind.PRESSURE))


def _told_of(board: Board, item: Claim, chosen: Claim, behind: Claim) -> bool:
    """'contactor won't pull in and there's a hundred and twenty volts right across its coil': the statement about the
    part named before is over, and the one with the number has a place of its own."""
    clauses = table("clauses")
    words = [board.word(at) if board.owner[at] is None else "" for at in range(chosen.last + 1, item.first)]
    joined = next((n for n, word in enumerate(words) if word in clauses["parts_statements"]), None)
    told = words[0] in table("unsaid")["verbs"]["forms"] if words else False  # 'contactor's chattering i've got ...'
    has = small_words("has_there") if joined is not None else small_words("speaker_has")
    if joined is None and not told:
        return False
    volts = item.label == "amount" and item.value.unit == "volt"
    own = joined is not None and volts and bool(table("components")[behind.value].get("electrical"))
    if not own and not any(word in has for word in words[(joined or 0) + 1 :]):
        return False
    at = item.last + 1
    while board.word(at) in small_words("right_there"):
        at += 1
    led = led_to(board, replace(item, last=at - 1), behind) and behind.label == "component"
    own = led and chosen.value.endswith(f" {behind.value}")  # 'evaporator fan ... at the motor leads'
    return led and not own and not table("components")[behind.value].get("weak")
