"""The second opinion on what a number measures: its weights, what it is told, and that it warns."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Reading
from journal.domain.speech import Utterance, Word
from journal.interpret import interpret, opinion
from journal.interpret.document import pieces_of
from tests.interpret.phrase_tables import load


def said(line: str, index: int = 0) -> Utterance:
    words = tuple(Word(w, 6.0 * index + n * 0.3, 6.0 * index + n * 0.3 + 0.25) for n, w in enumerate(line.split()))
    return Utterance("r1", index, words)


def read(*lines: str) -> tuple[Reading, ...]:
    return interpret([said(line, n) for n, line in enumerate(lines)]).readings


def test_weights_name_kinds_and_shares_sum_to_one() -> None:
    weights = opinion.learned()
    kinds = {kind.value for kind in Kind}
    for name in weights.classes:
        assert name == opinion.NONE or name in kinds or name.startswith(f"{Kind.PRESSURE.value} ")
    pieces = pieces_of(said("common to run one point four ohms"))
    shares = weights.shares(opinion.features(pieces, 3, 5, Decimal("1.4"), "-", ()))
    assert math.isclose(sum(shares.values()), 1)
    assert max(shares, key=shares.__getitem__) == Kind.RESISTANCE.value


def test_number_words_are_one_sign_and_the_number_itself_is_not_told() -> None:
    pieces = pieces_of(said("head two forty and suction sixty"))
    assert opinion.shape(pieces) == ["head", "#", "and", "suction", "#"]
    told = opinion.features(pieces, 1, 2, Decimal(240), "-", ["gauges", "on"])
    assert {"l0=head", "r0=and", "R=suction", "P=gauges"} <= set(told)
    assert not any("forty" in name or "sixty" in name for name in told)


@pytest.mark.parametrize("line", ["", "seven", "[unk]", "point point", "minus"])
def test_any_words_have_shares(line: str) -> None:
    pieces = pieces_of(said(line)) if line else ()
    told = opinion.features(pieces, 0, max(0, len(pieces) - 1), None, "-", ())
    assert math.isclose(sum(opinion.learned().shares(told).values()), 1)


def test_a_part_named_in_passing_does_not_decide_alone() -> None:
    """Common practice: a pressure control's cut-out is a pressure, whatever box it serves (invented sentence)."""
    first, second = read(
        "low pressure control was set to cut out at ten and cut in at forty which is way too wide for this box",
        "so i set the cut out to fifteen and the cut in to thirty two",
    )[-2:]
    for reading, value in ((first, 15), (second, 32)):
        assert reading.value == value
        assert reading.kind is Kind.PRESSURE or reading.needs_listening


def test_a_price_by_the_hour_is_no_plain_reading() -> None:
    readings = read("told the manager it's a hundred and forty five for the trip and ninety an hour after that")
    assert all(reading.needs_listening for reading in readings)


def test_plain_sentences_are_left_alone() -> None:
    """The opinion may not cast doubt on what is plainly said: of the tables' readings with a unit, hardly any."""
    readings = [r for phrase in load() for r in interpret(phrase.utterances()).readings if r.unit]
    codes = [doubt.code for r in readings for doubt in r.doubts]
    assert len(readings) > 1500
    assert codes.count("maybe no reading") <= len(readings) // 100
