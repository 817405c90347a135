"""Numbers that whisper wrote partly in digits; each sentence is one it wrote of a spoken reading, or close to one."""

from __future__ import annotations

from decimal import Decimal

import pytest

from journal.domain.speech import utterance_of
from journal.interpret import interpret


def values(text: str) -> list[tuple[Decimal | None, str | None]]:
    return [(reading.value, reading.unit) for reading in interpret([utterance_of(text)]).readings]


def test_two_decimals_written_as_one_are_two() -> None:
    readings = [(Decimal("7.1"), "ampere"), (Decimal("7.2"), "ampere"), (Decimal("7.3"), "ampere")]
    assert values("Legs are 7.17.2 and 7.3 amps.") == readings


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("Y to C on the board is sitting at 25 point two volts.", "25.2", "volt"),
        ("The transformer is putting out 25 buoyant for volts.", "25.4", "volt"),
        ("I see 25 buoyant of volts at the thermostat.", "25.0", "volt"),
        ("The fan motor draws 4 point 2 amps.", "4.2", "ampere"),
        ("Condensate pump hums at point 4 amps.", "0.4", "ampere"),
        ("There's a drop of point 8-7 volts over that contact.", "0.87", "volt"),
        ("My high side gauge says 170 for psi.", "174", "psi"),
        ("Hood over the grille reads 1,250 for CFM.", "1254", "cubic_foot_per_minute"),
        ("Line one to line three comes up to oh four volts.", "204", "volt"),
        ("Run capacitor is seven-and-a-half microfarads.", "7.5", "microfarad"),
        ("My high side gauge says 200 and 2 psi.", "202", "psi"),
        ("The solenoid coil has 400 and two ohms in it.", "402", "ohm"),
        ("That rack compressor is loaded up at 140 9 amps.", "149", "ampere"),
        ("That pipe in front of the dryer is 100-8 degrees.", "108", "degF"),
        ("Standing pressure this morning was 1 1 7 psi.", "117", "psi"),
        ("Bus on the drive is at 3 1 4 volts DC.", "314", "volt"),
        ("Hot leg, that one is two 12 volts.", "212", "volt"),
        ("After twenty minutes the vacuum is 21-11 microns.", "2111", "micron_Hg"),
        ("Nothing wrong with the supply, two 10 volts on the fuse.", "210", "volt"),
        ("Pressure test held at 3, 2, 2 PSI.", "322", "psi"),
        ("Line frequency is 60 point to hertz.", "60.2", "hertz"),
        ("C to fan is 45. Point for microfarads.", "45.4", "microfarad"),
        ("There is two ohs x volts on the heater.", "206", "volt"),
        ("Discharge pressure peaks at 209ps psi g before it cycles.", "209", "psi"),
        ("The heater is using seventeen eighty nine watch.", "1789", "watt"),
        ("Start capacitor is swollen and meters 142 and f d.", "142", "microfarad"),
        ("Compressor to ground stays at 1,000 megums.", "1000", "megaohm"),
    ],
)
def test_one_number_stays_one(text: str, value: str, unit: str) -> None:
    assert values(text) == [(Decimal(value), unit)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Pressure is 40 psi for 5 minutes", [("40", "psi")]),
        ("174 psi and 40 psi", [("174", "psi"), ("40", "psi")]),
        ("it went from 120 to 118 volts at 25 amps", [("25", "ampere")]),
        ("line 1 to line 2 is 208 volts", [("208", "volt")]),
        ("the heaters draw 20 and 5 amps", [("20", "ampere"), ("5", "ampere")]),
        ("fans draw 20 and 25 amps", [("20", "ampere"), ("25", "ampere")]),
        ("box 40-45 degrees", []),
        ("the signal is 4-20 milliamps", []),
        ("leg two 12 amps", [("12", "ampere")]),
        ("leg 1 is 17 amps", [("17", "ampere")]),
        ("pressure went from 45 to 50 psi", []),
        ("suction 120 psi and 40 degrees", [("120", "psi"), ("40", "degF")]),
        ("R-S 4.2 ohms", [("4.2", "ohm")]),
    ],
)
def test_what_is_no_mixed_number_stays_as_it_was(text: str, expected: list[tuple[str, str]]) -> None:
    assert set(expected_of(expected)) <= set(values(text))
    assert Decimal(44) not in {value for value, _ in values(text)}


def test_a_falling_range_is_no_number_in_the_thousands() -> None:
    assert Decimal(4540) not in {value for value, _ in values("box is 45-40 degrees")}


def expected_of(pairs: list[tuple[str, str]]) -> list[tuple[Decimal | None, str | None]]:
    return [(Decimal(value), unit) for value, unit in pairs]
