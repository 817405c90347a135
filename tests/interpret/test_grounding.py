"""A spoken number without a unit is doubted where its place is not plainly tied to it, and never in clean speech."""

from __future__ import annotations

import pytest

from journal.domain.reading import Reading
from journal.domain.speech import Utterance, Word
from journal.interpret import interpret
from journal.interpret.document import UNKNOWN


def _heard(*lines: str, unsure: str = "", typed: bool = False) -> tuple[Reading, ...]:
    """The readings of lines heard one after the other; the word ``unsure`` was heard with low confidence."""
    spoken, now = [], 1.0
    for index, line in enumerate(lines):
        words = []
        for text in line.split():
            start, end = (0.0, 0.0) if typed else (now, now + 0.3)
            words.append(Word(text, start, end, 0.4 if text == unsure else 1.0))
            now += 0.4
        spoken.append(Utterance("r1", index, tuple(words)))
        now += 1.5
    return interpret(spoken).readings


def _codes(reading: Reading) -> set[str]:
    return {doubt.code for doubt in reading.doubts}


@pytest.mark.parametrize(
    "lines",
    [
        ("box", "[unk] eleven"),
        ("box", "[unk] maybe it's eleven now"),
        ("l one to l two", "[unk] two thirty six"),
        ("quarter limit and sorry walk in cooler complete",),
        ("disconnect is are light and eight",),
    ],
)
def test_a_unit_taken_over_words_not_understood_is_doubted(lines: tuple[str, ...]) -> None:
    readings = _heard(*lines)
    garbled = not lines[-1].startswith(UNKNOWN)  # no reading at all is right, too
    assert (garbled and not readings) or "unit inferred" in _codes(readings[-1])


def test_a_word_heard_badly_between_place_and_number_is_doubted() -> None:
    assert "unit inferred" in _codes(_heard("box reads thirty six", unsure="reads")[-1])
    assert not _heard("box reads thirty six")[-1].doubts


def test_a_place_carried_into_a_badly_heard_utterance_is_doubted() -> None:
    assert "unit inferred" in _codes(_heard("box", "alright thirty six", unsure="alright")[-1])
    assert not _heard("box", "alright thirty six")[-1].doubts


def test_a_quantity_named_and_left_without_its_number_is_doubted() -> None:
    assert "grouping" in _codes(_heard("superheat to motor amps thirty one")[-1])
    assert not _heard("motor amps thirty one")[-1].doubts


def test_a_unit_that_was_said_needs_no_place() -> None:
    assert "unit inferred" not in _codes(_heard("garble lemon eight volts")[-1])


def test_typed_notes_are_not_doubted_for_their_words() -> None:
    (reading,) = _heard("compressor xyzzy 6 ohms", typed=True)
    assert "unit inferred" not in _codes(reading)


def test_an_instrument_is_told_only_with_what_it_measures() -> None:
    """A megger puts 500 V or more across insulation and shows ohms; no box is read with it."""
    to_ground, box = _heard("i have the megger on common to ground five hundred megs", "box is thirty six degrees")
    assert (to_ground.unit, to_ground.instrument) == ("megaohm", "megger")
    assert (box.unit, box.instrument) == ("degF", None)
    amps = _heard("clamp meter on the compressor eleven amps")[0]
    assert amps.instrument == "clamp meter"
