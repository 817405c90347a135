"""The second opinion on what a number measures: its weights, what it is told, and that it warns."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Reference
from journal.domain.speech import Utterance, Word, utterance_of
from journal.interpret import explain, interpret
from journal.interpret.document import pieces_of
from journal.interpret.quantities import opinion
from journal.interpret.steps import phrases_in
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
    shares = weights.shares(opinion.features(pieces, 3, 5, Decimal("1.4"), "-", (), phrases_in(pieces)))
    assert math.isclose(sum(shares.values()), 1)
    assert max(shares, key=shares.__getitem__) == Kind.RESISTANCE.value


def test_number_words_are_one_sign_and_the_number_itself_is_not_told() -> None:
    pieces = pieces_of(said("head two forty and suction sixty"))
    assert opinion.shape(pieces) == ["head", "#", "and", "suction", "#"]
    told = opinion.features(pieces, 1, 2, Decimal(240), "-", ["gauges", "on"], phrases_in(pieces))
    assert {"l0=head", "r0=and", "R=suction", "P=gauges"} <= set(told)
    assert not any("forty" in name or "sixty" in name for name in told)


@pytest.mark.parametrize("line", ["", "seven", "[unk]", "point point", "minus"])
def test_any_words_have_shares(line: str) -> None:
    pieces = pieces_of(said(line)) if line else ()
    told = opinion.features(pieces, 0, max(0, len(pieces) - 1), None, "-", (), phrases_in(pieces))
    assert math.isclose(sum(opinion.learned().shares(told).values()), 1)


def test_a_part_named_in_passing_does_not_decide_alone() -> None:
    """Common practice: a pressure control's cut-out is a pressure, whatever box it serves (invented sentence)."""
    first, second = read(
        "low pressure cutout opens at twelve and makes again at thirty eight that is wrong for a produce box",
        "so the cut out is now twenty and the cut in forty four",
    )[-2:]
    for reading, value in ((first, 20), (second, 44)):
        assert reading.value == value
        assert reading.kind is Kind.PRESSURE or reading.needs_listening


def test_a_price_by_the_hour_is_no_plain_reading() -> None:
    readings = read("it is a hundred and ten to come out she asked and then eighty for every hour on site")
    assert all(reading.needs_listening for reading in readings)


@pytest.mark.parametrize("line", ["suction " + "9" * 400, "head 1" + "0" * 320 + " psi", "nine " * 400])
def test_a_giant_number_does_not_raise(line: str) -> None:
    interpret([utterance_of(line)])


def heard_as(monkeypatch: pytest.MonkeyPatch, label: str, line: str) -> tuple[Reading, ...]:
    """What a sentence gives when the opinion is sure of one class."""
    monkeypatch.setattr(opinion.Weights, "shares", lambda self, told: {n: float(n == label) for n in self.classes})
    return read(line)


def test_a_kind_that_is_never_said_without_a_unit_is_not_proposed(monkeypatch: pytest.MonkeyPatch) -> None:
    for label in opinion.learned().classes:
        for reading in heard_as(monkeypatch, label, "suction is sixty two"):
            assert reading.kind not in (Kind.DURATION, Kind.POWER)


def test_a_pressure_by_the_words_around_it_counts_from_somewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    (reading,) = heard_as(monkeypatch, "pressure psi", "the box is sixty two")
    assert (reading.kind, reading.unit, reading.needs_listening) == (Kind.PRESSURE, "psi", True)
    assert reading.reference is Reference.GAUGE


def test_what_the_rules_know_nothing_of_is_shown_doubted_when_the_words_are_sure(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    line = "so there we have sixty two"
    assert heard_as(monkeypatch, opinion.NONE, line) == ()
    (reading,) = heard_as(monkeypatch, "pressure psi", line)
    assert (reading.value, reading.unit, reading.reference) == (62, "psi", Reference.GAUGE)
    assert [doubt.code for doubt in reading.doubts] == ["kind unsure"]


def test_a_reading_whose_words_no_reading_of_its_kind_has_is_doubted(monkeypatch: pytest.MonkeyPatch) -> None:
    def shares(weights: opinion.Weights, _: object) -> dict[str, float]:
        own = {Kind.TEMPERATURE.value: 0.04, "pressure psi": 0.5, Kind.CURRENT.value: 0.46}
        return {name: own.get(name, 0.0) for name in weights.classes}

    monkeypatch.setattr(opinion.Weights, "shares", shares)
    (reading,) = read("box is twenty six")
    assert reading.kind is Kind.TEMPERATURE
    assert [doubt.code for doubt in reading.doubts] == ["kind unsure"]
    assert not read("box is twenty six degrees on the probe")[0].doubts  # its unit was said: it may only be no reading


def test_what_is_left_out_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    assert heard_as(monkeypatch, opinion.NONE, "suction is sixty two") == ()
    steps = explain([said("suction is sixty two")])
    assert ("left out", "sixty two") in [(step.became, step.words) for step in steps]


def test_plain_sentences_are_left_alone() -> None:
    """The opinion may not cast doubt on what is plainly said: of the tables' readings with a unit, hardly any."""
    readings = [r for phrase in load() for r in interpret(phrase.utterances()).readings if r.unit]
    codes = [doubt.code for r in readings for doubt in r.doubts]
    assert len(readings) > 1500
    assert codes.count("maybe no reading") <= len(readings) // 100
