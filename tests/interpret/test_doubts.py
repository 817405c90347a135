"""Doubts are raised where they should be, and nowhere else."""

from __future__ import annotations

from decimal import Decimal

import pytest

from journal.domain.reading import Reading
from journal.domain.speech import Hypothesis, Utterance, Word, utterance_of
from journal.interpret import interpret
from tests.interpret.tagged import opinion


def heard(text: str, *, confidence: float = 0.99, rivals: tuple[str, ...] = (), index: int = 0) -> Utterance:
    def words(said: str) -> tuple[Word, ...]:
        return tuple(Word(part, 0.4 * n, 0.4 * n + 0.35, confidence) for n, part in enumerate(said.split()))

    hypotheses = tuple(Hypothesis(words(rival), 1.0 - n) for n, rival in enumerate(rivals))
    return Utterance("r1", index, words(text), hypotheses)


def only(*utterances: Utterance) -> Reading:
    readings = interpret(utterances).readings
    assert len(readings) == 1
    return readings[0]


def codes(reading: Reading) -> set[str]:
    return {doubt.code for doubt in reading.doubts}


def values(reading: Reading) -> set[Decimal | None]:
    return {alternative.value for alternative in reading.alternatives}


def test_a_clean_sentence_is_not_doubted() -> None:
    assert not only(heard("common to run one point four ohms")).doubts


def test_words_that_sound_alike_are_alternatives_not_doubts() -> None:
    reading = only(heard("the compressor is drawing fifteen amps"))
    assert not reading.doubts
    assert Decimal(50) in values(reading)


def test_a_rival_among_the_hypotheses_is_a_doubt() -> None:
    said = "the compressor is drawing fifteen amps"
    reading = only(heard(said, rivals=(said, "the compressor is drawing fifty amps")))
    assert codes(reading) == {"confusable"}
    assert reading.alternatives[0].value == Decimal(50)


def test_a_hypothesis_that_differs_elsewhere_is_none() -> None:
    reading = only(heard("the compressor is drawing fifteen amps", rivals=("a compressor is drawing fifteen amps",)))
    assert not reading.doubts


def test_a_hypothesis_with_more_words_is_aligned() -> None:
    reading = only(heard("l one to l two two forty volts", rivals=("l one to l two two forty one volts",)))
    assert codes(reading) == {"rival hearing"}
    assert Decimal(241) in values(reading)


def test_a_hypothesis_with_a_number_word_in_front_is_aligned() -> None:
    reading = only(heard("head pressure's ten psi", rivals=("head pressure's four ten psi",)))
    assert Decimal(410) in values(reading)


def test_low_confidence_of_the_number_is_a_doubt() -> None:
    assert "low confidence" in codes(only(heard("common to run one point four ohms", confidence=0.4)))


def test_an_unknown_word_beside_the_number_is_a_doubt() -> None:
    assert "word not understood" in codes(only(heard("common to run [unk] point four ohms")))
    assert "word not understood" in codes(only(heard("common to run four [unk] ohms")))
    assert not only(heard("[unk] so common to run four ohms")).doubts


def test_a_point_with_nothing_behind_it_is_a_doubt() -> None:
    reading = only(heard("common to run is four point"))
    assert "number broken off" in codes(reading) or "grouping" in codes(reading)


def test_two_ways_of_grouping_are_a_doubt() -> None:
    reading = only(heard("compressor's pulling eight nine"))
    assert "grouping" in codes(reading)
    assert (reading.value, Decimal(89) in values(reading)) == (Decimal("8.9"), True)


def test_a_weakly_inferred_unit_is_a_doubt_and_says_from_what(monkeypatch: pytest.MonkeyPatch) -> None:
    opinion(monkeypatch, {"voltage": 0.6, "none": 0.4})
    reading = only(heard("got one twenty at the solenoid"))
    assert "unit inferred" in codes(reading)
    assert dict(reading.inferred)["unit"] == "size of the number"


def test_a_strongly_inferred_unit_is_none() -> None:
    reading = only(heard("box is thirty eight"))
    assert not reading.doubts
    assert dict(reading.inferred)["unit"] == "box"


def test_pressure_or_temperature_is_left_open() -> None:
    reading = only(heard("discharge is one ninety"))
    assert codes(reading) == {"kind unsure"}
    assert any(a.unit == "degF" for a in reading.alternatives)


def test_a_plate_spelled_aloud_is_doubted() -> None:
    machine = interpret([heard("serial number is four five one two nine b")]).equipment[0]
    assert machine.serial == "45129B"
    assert [doubt.code for doubt in machine.doubts] == ["spelled"]


def test_two_digits_before_a_decimal_point_may_be_two_numbers() -> None:
    for said in (
        "legs are nine nine point one and nine point two amps",
        "legs are seven eight point one and eight amps",
    ):
        first = interpret([heard(said)]).readings[0]
        assert "grouping" in codes(first), said
    assert not only(heard("compressor is drawing twenty three point five amps")).doubts
    assert not only(heard("head is two thirty five point one psi")).doubts


def test_a_verb_of_pulling_beside_a_pressure_makes_amps_a_guess() -> None:
    assert codes(only(heard("it pulls the low down to five"))) & {"unit inferred", "kind unsure"}
    assert not only(heard("the compressor is pulling six point two")).doubts


def test_words_two_steps_want_raise_nothing() -> None:
    for said in (
        "dead at voltage c to r twenty eight point one",
        "high that rack c o two",
        "a steady superheat somewheres in the low twenties gauge has me at seventeen",
    ):
        interpret([heard(said)])


def test_for_behind_a_verb_may_be_a_four_whoever_heard_it() -> None:
    (reading,) = interpret([utterance_of("so the meter gives me for fifty three volts")]).readings
    assert "sounds like a number" in codes(reading)
    assert 453 in [other.value for other in reading.alternatives]
    assert "sounds like a number" not in codes(
        interpret([utterance_of("that is good for fifty three amps")]).readings[0]
    )
