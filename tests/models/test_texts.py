"""The speech grammar and the spoken numbers of the model's recipe."""

from __future__ import annotations

from random import Random

import pytest

from models.recipe import evaluate, spoken, texts


@pytest.mark.parametrize(
    ("value", "forms"),
    [
        (15, {"fifteen"}),
        (50, {"fifty"}),
        (
            196,
            {
                "one ninety six",
                "one hundred ninety six",
                "one hundred and ninety six",
                "a hundred ninety six",
                "a hundred and ninety six",
                "one nine six",
            },
        ),
        (409, {"four oh nine", "four hundred nine", "four hundred and nine", "four zero nine"}),
        (1200, {"twelve hundred", "one thousand two hundred"}),
        (-11, {"minus eleven", "negative eleven"}),
    ],
)
def test_whole_numbers_are_said_in_every_usual_way_and_no_other(value: int, forms: set[str]) -> None:
    """Forms of DESIGN's kind: 'one ninety six', 'four oh nine', 'twelve hundred' (common practice)."""
    rng = Random(1)
    assert {spoken.integer(value, rng) for _ in range(400)} == forms


def test_every_written_place_of_a_decimal_is_said() -> None:
    rng = Random(2)
    said = {spoken.decimal("24.30", rng) for _ in range(200)}
    assert {s.split(" point ")[1] for s in said} == {"three oh", "three zero", "thirty"}
    assert {spoken.decimal("0.35", rng).split(" point ")[0] for _ in range(200)} >= {"zero", "oh"}


def test_the_same_seed_says_the_same_sentences() -> None:
    first, second, other = (texts.load(seed, ["door"]) for seed in (4, 4, 5))
    lines = [first.say() for _ in range(50)]
    assert lines == [second.say() for _ in range(50)]
    assert lines != [other.say() for _ in range(50)]


def test_a_grammar_with_a_hole_is_refused() -> None:
    with pytest.raises(ValueError, match="no such rule: nowhere"):
        texts.parse_grammar("sentence\n  go <nowhere>\n")
    with pytest.raises(ValueError, match="without"):
        texts.parse_grammar("sentence\n  [open\n")
    with pytest.raises(ValueError, match="before any rule"):
        texts.parse_grammar("  alone\n")


def test_drawn_sentences_stay_inside_the_words_the_grammar_lists() -> None:
    rules = texts.parse_grammar(texts.GRAMMAR.read_text(encoding="utf-8"))
    known, speaker = texts.words_of(rules), texts.load(7, ["door"])
    spoken_words = {word for _ in range(3000) for word in speaker.say().split()}
    assert spoken_words - known <= {"door"}


def test_sentences_to_measure_with_are_never_drawn() -> None:
    held = set(evaluate.sentences())
    assert len(held) > 100
    speaker = texts.load(11)
    long = {s for s in held if len(s.split()) > 6}
    assert not long & {speaker.say() for _ in range(20000)}


def test_numbers_of_a_sentence_are_compared_by_what_was_said() -> None:
    assert evaluate.numbers("two hundred and nine volts at oh point five") == ["two hundred nine", "zero point five"]
    assert evaluate.numbers("a hundred and five") == evaluate.numbers("one hundred five")
    assert evaluate.numbers("fifteen") != evaluate.numbers("fifty")


def test_word_errors_are_edit_distance() -> None:
    assert evaluate.edits(["one", "two", "three"], ["one", "too", "three", "four"]) == 2
    assert evaluate.edits([], ["x"]) == 1
