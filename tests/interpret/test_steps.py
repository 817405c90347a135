"""Each step alone: which words it claims, on a board that only the steps before it have touched."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from journal.domain.speech import Utterance, Word
from journal.interpret.board import Board, find_phrases
from journal.interpret.document import pieces_of
from journal.interpret.places.points import settle
from journal.interpret.steps import STEPS, pipeline


def board_before(text: str, until: str) -> Board:
    """Return a sentence's board after the steps up to and including ``until``."""
    from spacy.tokens import Doc

    words = tuple(Word(part, 0.4 * n, 0.4 * n + 0.35) for n, part in enumerate(text.split()))
    utterance = Utterance("r1", 0, words)
    pieces = pieces_of(utterance)
    board = Board(utterance, pieces, find_phrases(Doc(pipeline().vocab, words=[piece.text for piece in pieces])))
    for name, step in STEPS:
        step(board)
        if name == until:
            return board
    raise AssertionError(f"there is no step {until!r}")


def claimed(text: str, step: str, label: str) -> list[tuple[str, Any]]:
    board = board_before(text, step)
    return [(board.text(claim.first, claim.last), claim.value) for claim in board.labelled(label)]


def test_steps_run_in_the_documented_order() -> None:
    order = [name for name, _ in STEPS]
    assert order == [name.removeprefix("journal_") for name in pipeline().pipe_names]
    assert order.index("components") < order.index("points") < order.index("amounts") < order.index("states")


def test_corrections_leave_no_voltage_alone() -> None:
    assert claimed("two thirty make that two thirteen", "corrections", "correction") == [("make that", "replace")]
    assert claimed("no voltage at the coil", "weak", "correction") == []


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("it's four ten a", "R-410A"),
        ("five oh seven system", "R-507A"),
        ("r four oh four a", "R-404A"),
        ("on four forty eight", "R-448A"),
        ("propane", "R-290"),
    ],
)
def test_refrigerants(said: str, name: str) -> None:
    assert [value for _, value in claimed(said, "refrigerants", "refrigerant")] == [name]


@pytest.mark.parametrize(
    "said", ["four ten volts", "head's four oh four", "legs four forty eight four fifty two", "twenty two ohms"]
)
def test_readings_that_sound_like_refrigerants(said: str) -> None:
    assert claimed(said, "refrigerants", "refrigerant") == []


def test_machines_take_their_numbers() -> None:
    [(words, machine)] = claimed("on the second condensing unit suction forty", "equipment", "equipment")
    assert (words, machine.name) == ("second condensing unit", "condensing unit 2")
    [(words, machine)] = claimed("circuit a seven discharge air twenty six", "equipment", "equipment")
    assert (words, machine.name) == ("circuit a seven", "circuit A7")
    assert claimed("compressor nine point eight amps", "equipment", "equipment") == []


def test_parts_take_the_longest_form() -> None:
    assert [v for _, v in claimed("liquid line one oh five", "components", "component")] == ["liquid line"]
    assert [v for _, v in claimed("start relay coil open", "components", "component")] == ["start relay"]


def test_points_take_their_digits() -> None:
    [(words, points)] = claimed("l one to l two two forty one", "points", "points")
    assert words == "l one to l two"
    assert settle(points, None, Decimal(241)) == ("L1", "L2")


def test_numbers_as_lines_stand_before_or_behind() -> None:
    said = "two eleven one to two two fourteen two to three two oh nine one to three"
    assert [words for words, _ in claimed(said, "points", "points")] == ["one to two", "two to three", "one to three"]
    assert claimed("one to two ohms", "points", "points") == []


@pytest.mark.parametrize(
    ("said", "taken"),
    [
        ("breaker twelve two forty volts", "twelve"),
        ("quoted eighty five dollars", "eighty five"),
        ("appointment at eight fifteen", "eight fifteen"),
        ("compressor was changed in two thousand nineteen", "two thousand nineteen"),
        ("reach me at five five five oh one eight seven", "five five five oh one eight seven"),
        ("forty mikes plus or minus six percent", "plus or minus six percent"),
    ],
)
def test_names_dates_prices(said: str, taken: str) -> None:
    board = board_before(said, "names")
    assert [board.text(c.first, c.last) for c in board.labelled("no reading", "tolerance")] == [taken]


def test_amounts_keep_their_units_and_bounds() -> None:
    [(words, amount)] = claimed("better than a thousand megs common to ground", "amounts", "amount")
    assert (words, amount.low, amount.unit) == ("better than a thousand megs", Decimal(1000), "megaohm")
    [(_, amount)] = claimed("one forty five to one seventy five mikes", "amounts", "amount")
    assert (amount.low, amount.high) == (Decimal(145), Decimal(175))
    [(_, amount)] = claimed("one pound nine ounces", "amounts", "amount")
    assert (amount.value, amount.unit) == (Decimal("1.5625"), "pound")


def test_states_and_commands_are_told_apart() -> None:
    assert [v.state for _, v in claimed("common to start is open", "states", "state")] == ["open"]
    assert claimed("open the liquid valve slowly", "states", "state") == []
