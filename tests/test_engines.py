"""Numbers in what recognisers write, in words or digits: the same number is the same, another is another."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest

from models.recipe.evaluate import Set
from tests.benchmarks import bench_speech, engines


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("i have two hundred and nine volts", "I have 209 volts."),
        ("common to run one point nine", "Common to run 1.9"),
        ("fourteen and a half ohms", "14.5 ohms"),
        ("sixteen hundred thirty microns", "1,630 microns."),
        ("twenty three point eight at the coil and six amps", "23.8 at the coil, and 6 amps"),
    ],
)
def test_words_and_digits_are_the_same_number(said: str, written: str) -> None:
    assert engines.numbers(said) == engines.numbers(written) != ()


@pytest.mark.parametrize(("said", "written"), [("fifteen volts", "50 volts"), ("two oh eight", "28"), ("six", "")])
def test_another_number_is_another(said: str, written: str) -> None:
    assert engines.numbers(said) != engines.numbers(written)
    assert engines.numbers("") == ()
    assert engines.numbers("1.50 ohms") == (Decimal("1.5"),)


def test_strings_of_digits_by_word_and_by_figure() -> None:
    assert engines.digits("nine oh two one oh") == engines.digits("9-0-2-1-0.") == "90210"
    assert engines.digits("for to") == "42"
    assert engines.digits("five five whatever") == "55?"


def test_both_counts_what_is_alike_right_and_wrong() -> None:
    silence = [np.zeros(160, dtype=np.float32)] * 4
    source = Set("narration_joe", silence, ["six ohms", "ten volts", "two amps", "nothing"], ["joe"] * 4)
    first = ["six ohms", "twelve volts", "two amps", "nothing"]
    second = ["6 ohms", "12 volts", "three amps", "nothing"]
    assert bench_speech.together(source, first, second) == "2 / 1"
    assert bench_speech.score(source, first) == (3, 4)
    strings = Set("digits_strings", silence[:1], ["one two three"], ["joe"])
    assert bench_speech.score(strings, ["1 2 4"]) == (1, 3)
