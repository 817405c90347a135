"""Numbers in words read back exactly: num2words (general reference library) speaks, the language stage reads.

The trade's own forms ('two seventeen') are common practice; their cases are in the phrase tables.
"""

from __future__ import annotations

import random
from decimal import Decimal

import pytest
from num2words import num2words

from journal.domain.reading import Reading
from journal.domain.speech import Utterance, utterance_of
from journal.interpret import interpret
from journal.interpret.document import pieces_of
from journal.interpret.numbers.numbers import Number, Reader
from journal.interpret.numbers.runs import groupings


def spoken(number: int | Decimal, *, with_and: bool = True) -> str:
    """Return a number as num2words says it, as a recogniser would write it: no commas, no hyphens."""
    text: str = num2words(number).replace(",", "").replace("-", " ")
    return text if with_and else text.replace(" and ", " ")


def read(text: str) -> tuple[Number, ...]:
    """Return the best reading of words that are one number and nothing else."""
    pieces = pieces_of(Utterance("r1", 0, utterance_of(text).words))
    return groupings(Reader(pieces), 0, len(pieces))[0].numbers


def value(text: str) -> Decimal:
    numbers = read(text)
    assert len(numbers) == 1, f"{text!r} fell into {[str(n.value) for n in numbers]}"
    return numbers[0].value


@pytest.mark.parametrize("with_and", [True, False])
def test_every_integer_to_9999(with_and: bool) -> None:
    wrong = [n for n in range(10_000) if value(spoken(n, with_and=with_and)) != n]
    assert not wrong


@pytest.mark.parametrize("with_and", [True, False])
def test_integers_to_999999(with_and: bool) -> None:
    sample = random.Random(4).sample(range(10_000, 1_000_000), 3_000)
    wrong = [n for n in sample if value(spoken(n, with_and=with_and)) != n]
    assert not wrong


@pytest.mark.parametrize("places", [1, 2, 3])
def test_decimals(places: int) -> None:
    numbers = random.Random(places)
    wrong = []
    for _ in range(1_000):
        number = Decimal(numbers.randrange(1, 999 * 10**places)).scaleb(-places)
        if value(spoken(number)) != number:
            wrong.append(number)
    assert not wrong


def test_decimals_keep_their_digits() -> None:
    assert str(value("twenty four point three zero")) == "24.30"


FRAMES = (
    ("common to run {} ohms", "ohm", ("common", "run")),
    ("i'm reading {} volts l one to l two", "volt", ("L1", "L2")),
    ("line one to ground is {} volts", "volt", ("L1", "ground")),
    ("run to start i have {} kilohms", "kiloohm", ("run", "start")),
    ("the compressor is drawing {} amps", "ampere", ()),
    ("head pressure's {} psi", "psi", ()),
    ("vacuum is at {} microns", "micron_Hg", ()),
)


def only(text: str) -> Reading:
    readings = interpret([Utterance("r1", 0, utterance_of(text).words)]).readings
    assert len(readings) == 1, f"{text!r} gave {len(readings)} readings"
    return readings[0]


@pytest.mark.parametrize(("frame", "unit", "points"), FRAMES)
def test_numbers_inside_sentences(frame: str, unit: str, points: tuple[str, ...]) -> None:
    """Integers to 999,999 and decimals to three places, with unit and points around them."""
    numbers = random.Random(frame)
    for _ in range(120):
        places = numbers.choice((0, 0, 0, 1, 2, 3))
        if places:
            number = Decimal(numbers.randrange(1, 999 * 10**places)).scaleb(-places)
        else:
            number = Decimal(numbers.randrange(2, 10 ** numbers.randint(1, 6)))
        reading = only(frame.format(spoken(number if places else int(number))))
        assert (reading.value, reading.unit, reading.points) == (number, unit, points), frame.format(
            spoken(int(number))
        )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("one ninety six", "196"),
        ("four oh nine", "409"),
        ("twelve hundred", "1200"),
        ("eleven fifty", "1150"),
        ("twelve oh five", "1205"),
        ("a hundred and eighty", "180"),
        ("oh point seven", "0.7"),
        ("point oh five", "0.05"),
        ("twenty two point oh five", "22.05"),
        ("two point three five", "2.35"),
        ("two point thirty five", "2.35"),
        ("three and a half", "3.5"),
        ("five and an eighth", "5.125"),
        ("two and three quarters", "2.75"),
        ("minus eleven", "-11"),
        ("two two oh", "220"),
        ("five double oh", "500"),
    ],
)
def test_forms_of_the_trade(text: str, expected: str) -> None:
    """Common practice; worded after no source."""
    assert value(text) == Decimal(expected)


def test_both_groupings_are_kept() -> None:
    pieces = pieces_of(Utterance("r1", 0, utterance_of("three fifteen").words))
    ways = groupings(Reader(pieces), 0, 2)
    values = [[n.value for n in way.numbers] for way in ways if not way.left_over]
    assert values[:2] == [[Decimal(315)], [Decimal(3), Decimal(15)]]
