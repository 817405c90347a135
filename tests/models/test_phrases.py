"""Sentences of the phrase tables as text for the language model."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from models.recipe import evaluate, lexicon, phrases, spoken

NUMBERED = "dual cap thirty five and seven point five at four forty"


def test_held_out_tables_and_sentences_to_measure_with_are_never_read(tmp_path: Path) -> None:
    for folder in ("held_out", "fresh"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "some.toml").write_text(f'[[phrase]]\nsaid = "from {folder}"\n', encoding="utf-8")
    assert phrases.sentences(tmp_path) == ["from fresh"]
    lines = set(phrases.sentences())
    assert len(lines) > 1000
    assert not lines & set(evaluate.sentences())


def test_typed_phrases_and_written_digits_are_left_out(tmp_path: Path) -> None:
    table = tmp_path / "some.toml"
    table.write_text(
        '[[phrase]]\nsaid = ["two volts, there", "R 22 is in"]\n[[phrase]]\nsaid = "low side dead"\ntyped = true\n',
        encoding="utf-8",
    )
    assert phrases.sentences(tmp_path) == ["two volts there"]
    assert phrases.sentences(tmp_path / "nowhere") == []


def test_numbers_are_drawn_anew_and_every_other_word_stays() -> None:
    rng = Random(3)
    drawn = {phrases.redrawn(NUMBERED, rng) for _ in range(200)}
    assert len(drawn) > 190
    for line in drawn:
        words = [w for w in line.split() if w not in spoken.NUMBER_WORDS]
        assert [w for w in words if w not in ("a", "and", "hundred")] == ["dual", "cap", "at"]
        assert "point" in line


def test_what_has_no_number_is_left_as_it_is() -> None:
    line = "oil residue on the discharge line right at the service valve"
    assert phrases.redrawn(line, Random(1)) == line


def test_words_of_the_phrases_are_in_the_vocabulary() -> None:
    pytest.importorskip("pocketsphinx", reason="needs the extra [models]: the CMU dictionary")
    known, missing = lexicon.build()
    wanted = phrases.words()
    # What is left are invented names of people and places, and what was misspelled on purpose.
    assert len(wanted & set(known)) > 0.985 * len(wanted), sorted(wanted & set(missing))


def test_commands_are_in_the_language_model() -> None:
    lines = phrases.commands()
    assert {"pause the journal", "start listening", "mark this", "new machine"} <= set(lines)
    assert {"journal", "listening"} <= phrases.words()
    assert set(lines) - {""} <= set(phrases.all_lines())
