"""Saturations that somebody looked up: a pressure was read, and a chart or an app says what that is in degrees."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.interpret.board import Board
from journal.interpret.numbers.amounts import Amount
from journal.interpret.quantities.surroundings import Surroundings
from journal.interpret.vocabulary import small_words, table

REACH = 7  # words from a number to the chart named behind it


def is_looked_up(amount: Amount, around: Surroundings) -> bool:
    """'head's two oh five and the chart says that's ninety four degrees': degrees of the pressure read right before."""
    return follows_pressure(around) and chart_named(around.board, amount)


def follows_pressure(around: Surroundings) -> bool:
    """A pressure of refrigerant was read last, in this utterance, and no other place was named since."""
    last = around.context.last()
    if last is None or last.reading.kind is not Kind.PRESSURE or last.reading.unit != "psi" or around.printed:
        return False
    here = last.reading.evidence is not None and last.reading.evidence.utterance == around.board.utterance.index
    measured = last.reading.role is Role.MEASURED
    return here and measured and around.component_how != "said" and around.points is None


def chart_named(board: Board, amount: Amount) -> bool:
    """A chart or an app is named between the number before and this one, or behind this one up to the next."""
    charts = table("kinds")["saturation temperature"]["charts"]
    told = [claim for claim in board.labelled("amount") if claim.last < amount.first]
    start = told[-1].last + 1 if told else 0
    if any(board.word(at) in charts for at in range(start, amount.first)):
        return True
    behind = range(amount.last + 1, min(amount.last + 1 + REACH, len(board.pieces)))
    return board.word(amount.last + 1) in small_words("looked_up") and any(board.word(at) in charts for at in behind)


def equals_that(board: Board, amount: Amount) -> bool:
    """'the chart says that's', 'the app puts that at' right before the number: it is the pressure's own temperature."""
    said = table("kinds")["saturation temperature"]["equals_that"]
    return any(board.text(amount.first - len(form.split()), amount.first - 1) == form for form in said)
