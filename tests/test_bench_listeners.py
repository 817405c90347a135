"""Counting what two listeners made of spoken readings, on made-up hearings."""

from __future__ import annotations

import tomllib
from collections import Counter

from journal.domain.speech import Utterance, Word
from models.recipe.heard import Heard
from models.recipe.readings import Line, Truth
from tests.benchmarks import bench_listeners, scoring
from tests.benchmarks.bench_listeners import TABLE, learned, tallies, with_counts


def words(text: str, by: str) -> tuple[Utterance, ...]:
    said = tuple(Word(word, at * 0.4, at * 0.4 + 0.3, 1.0) for at, word in enumerate(text.split()))
    return (Utterance("r1", 0, said, (), by),)


def heard(text: str, first: str, second: str, *truths: Truth, noise: str = "none") -> Heard:
    return Heard(Line(text, truths), noise, words(first, "vosk"), words(second, "second"), 3.0, 0.3, 0.6)


OHMS = Truth("1.4", "ohm", ("common", "run"))
ALIKE = heard("", "common to run one point four ohms", "Common to run 1.4 ohms.", OHMS)
ELSEWHERE = heard("", "common to start one point four ohms", "Common to start 1.4 ohms.", OHMS)
DIFFERING = heard("", "common to run one point four ohms", "Common to run 14 ohms.", OHMS)
MISSED = heard("", "the fan is loud", "The fan is loud.", OHMS)


def test_right_wrong_missed_and_doubted_are_told_apart() -> None:
    counts, _ = tallies([ALIKE, ELSEWHERE, DIFFERING, MISSED])
    both = counts["both"]
    assert (both.spoken, both.right, both.right_doubted) == (4, 2, 1)
    assert (both.wrong_undoubted, both.wrong_doubted) == (1, 0), "the right number at the wrong place is wrong"
    assert counts["second alone"].right == 1
    row = bench_listeners.row("clean", "both", both)
    assert "| 2: 50.0 % | 66.7 % |" in row
    assert "1 of 1 | 1 of 3: 33.3 %" in row


def test_an_optional_reading_counts_neither_way() -> None:
    tally = scoring.Tally()
    one = heard("", "", "", Truth("5", "minute", (), True))
    tally.add(one.line.readings, [])
    assert (tally.spoken, tally.right, tally.wrong) == (0, 0, 0)


def test_readings_of_the_radio_are_counted_only_beside_a_radio() -> None:
    said = "two hundred and eleven volts"
    for noise, count in (("radio", 1), ("hum", 0)):
        one = heard("", said, said, noise=noise)
        readings = scoring.understood(one)["first alone"].readings
        assert scoring.from_the_radio(one, readings) == count


def test_counts_are_learned_and_put_into_the_table_and_nothing_else_changes() -> None:
    alone = heard("", "one point four ohms", "Common to run 1.4 ohms.", OHMS)
    power = Truth("1789", "watt", None)
    unread = heard("", "it is using seventeen eighty nine whack", "It is using 1789 watts.", power)
    counted = learned([ALIKE, DIFFERING, alone, unread])
    assert counted["differences"] == {"decimal point": Counter(first=1)}
    assert counted["places"] == {"first": Counter(), "second": Counter(right=1)}
    assert counted["numbers"] == Counter(right=1)
    before = TABLE.read_text(encoding="utf-8")
    told = tomllib.loads(with_counts(before, counted))
    assert told["differences"]["decimal point"]["first"] == 1
    assert told["places"]["second"] == {"right": 1, "wrong": 0}
    assert told["numbers"] == {"right": 1, "wrong": 0}
    assert told["differences"]["unit"] | {"first": 0, "second": 0, "neither": 0} == told["differences"]["unit"]
    old = tomllib.loads(before)
    assert told["clears"] == old["clears"]
    assert {n: row["about"] for n, row in told["differences"].items()} == {
        n: row["about"] for n, row in old["differences"].items()
    }
