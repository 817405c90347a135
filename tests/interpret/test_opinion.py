"""The second opinion on what a number measures: what it may change, and that it warns."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Reference
from journal.domain.speech import utterance_of
from journal.interpret import explain, interpret
from journal.interpret.tagger.encoder import learned
from journal.interpret.tagger.tags import NONE
from tests.interpret.phrase_tables import load
from tests.interpret.tagged import opinion, read, said


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


def heard_as(monkeypatch: pytest.MonkeyPatch, kinds: Mapping[str, float], line: str) -> tuple[Reading, ...]:
    """What a sentence gives when the tagger has such an opinion of every word."""
    opinion(monkeypatch, kinds)
    return read(line)


def test_a_kind_that_is_never_said_without_a_unit_is_not_proposed(monkeypatch: pytest.MonkeyPatch) -> None:
    shown = 0
    for label in learned().outputs["kind"]:
        for reading in heard_as(monkeypatch, {label: 1.0}, "suction is sixty two"):
            shown += 1
            assert reading.kind is not Kind.DURATION
    assert shown > 10


def test_a_pressure_by_the_words_around_it_counts_from_somewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    (reading,) = heard_as(monkeypatch, {"pressure psi": 0.9}, "the box is sixty two")
    assert (reading.kind, reading.unit, reading.needs_listening) == (Kind.PRESSURE, "psi", True)
    assert reading.reference is Reference.GAUGE
    assert [other.kind for other in reading.alternatives] == [Kind.TEMPERATURE]  # as the rules have it


def test_a_said_unit_is_never_replaced(monkeypatch: pytest.MonkeyPatch) -> None:
    for label in learned().outputs["kind"]:
        ohms = heard_as(monkeypatch, {label: 1.0}, "common to run two point one ohms")
        degrees = heard_as(monkeypatch, {label: 1.0}, "box is twenty six degrees on the probe")
        assert len(ohms) == len(degrees) == int(label != NONE)
        assert all(reading.unit == "ohm" for reading in ohms)
        assert all(reading.unit in ("degF", "delta_degF") for reading in degrees)


def test_what_the_rules_know_nothing_of_is_shown_doubted_when_the_words_are_sure(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    line = "so there we have sixty two"
    assert heard_as(monkeypatch, {NONE: 1.0}, line) == ()
    (reading,) = heard_as(monkeypatch, {"pressure psi": 0.8, NONE: 0.2}, line)
    assert (reading.value, reading.unit, reading.reference) == (62, "psi", Reference.GAUGE)
    assert "kind unsure" in [doubt.code for doubt in reading.doubts]


def test_a_reading_whose_words_no_reading_of_its_kind_has_is_doubted(monkeypatch: pytest.MonkeyPatch) -> None:
    kinds = {Kind.TEMPERATURE.value: 0.13, "pressure psi": 0.45, Kind.CURRENT.value: 0.42}
    (reading,) = heard_as(monkeypatch, kinds, "box is twenty six")
    assert reading.kind is Kind.TEMPERATURE
    assert [doubt.code for doubt in reading.doubts] == ["kind unsure"]


def test_what_is_left_out_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    assert heard_as(monkeypatch, {NONE: 1.0}, "suction is sixty two") == ()
    steps = explain([said("suction is sixty two")])
    assert ("left out", "sixty two") in [(step.became, step.words) for step in steps]


def test_plain_sentences_are_left_alone() -> None:
    """The opinion may not cast doubt on what is plainly said: of the tables' readings with a unit, hardly any."""
    readings = [r for phrase in load() for r in interpret(phrase.utterances()).readings if r.unit]
    codes = [doubt.code for r in readings for doubt in r.doubts]
    assert len(readings) > 1500
    assert codes.count("maybe no reading") <= len(readings) // 100
