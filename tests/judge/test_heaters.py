"""Heaters by resistance, current and the pattern of three lines; defrost."""

from __future__ import annotations

import pytest

from tests.judge.builders import by_hand, outcome


@pytest.mark.parametrize(
    ("ohms", "expected"),
    [
        ("52.9", "within"),
        ("50.5", "within"),
        ("58.6", "within"),
        ("49.9", "marginal"),
        ("59.9", "marginal"),
        ("62", "outside"),
        ("46", "outside"),
    ],
)
def test_resistance(ohms: str, expected: str) -> None:
    """1000 W at 230 V: 52.9 ohm; wattage +5/-10 % is 50.4 to 58.8 ohm (common element specification, from memory)."""
    verdict = by_hand("heater-resistance", measured=f"{ohms} ohm", watts="1000 W", volts="230 V")
    assert verdict.outcome == expected
    assert "52.9 ohm" in verdict.formula


def test_open_and_shorted_heaters() -> None:
    assert by_hand("heater-resistance", measured="open").authority == "physics"
    assert outcome("heater-resistance", measured="short") == "outside"
    assert outcome("heater-resistance", measured="continuity") == "undetermined"


def test_current_follows_the_voltage() -> None:
    """1000 W 230 V element at 208 V: 3.93 A (H1: I = V / R; johanson.com formulas)."""
    given = {"watts": "1000 W", "volts": "230 V", "voltage": "208 V"}
    verdict = by_hand("heater-current", measured="3.93 A", **given)
    assert verdict.outcome == "within"
    assert "3.932 A at 208 V" in verdict.formula
    assert outcome("heater-current", measured="3.5 A", **given) == "outside"
    assert outcome("heater-current", measured="0 A", **given) == "outside"


@pytest.mark.parametrize(("volts", "percent"), [("230", 92), ("208", 75), ("277", 133)])
def test_power_at_another_voltage(volts: str, percent: int) -> None:
    """process-flow-and-control.blogspot 2014/12: a 240 V element gives 92 % at 230, 75 % at 208, 133 % at 277 V."""
    verdict = by_hand("heater-current", measured="10 A", rated="10 A", volts="240 V", voltage=f"{volts} V")
    assert verdict.limits[0].high is not None
    expected = float(verdict.limits[0].high) / 1.1  # amps at that voltage
    assert expected / 10 * float(volts) / 240 * 100 == pytest.approx(percent, abs=0.6)


@pytest.mark.parametrize(
    ("amps", "expected"), [("13.5", "outside"), ("13.6", "within"), ("16.5", "within"), ("16.6", "outside")]
)
def test_three_phase_heater(amps: str, expected: str) -> None:
    """6 kW at 230 V three-phase: 15.06 A a line; within 10 % (LU-VE F31HC p. 17)."""
    given = {"measured": f"{amps} A", "second": f"{amps} A", "third": f"{amps} A", "watts": "6000 W", "volts": "230 V"}
    assert outcome("heater-current", **given) == expected


@pytest.mark.parametrize(
    ("amps", "expected", "word"),
    [
        (("8.70", "8.70", "15.06"), "outside", "delta"),
        (("13.04", "13.04", "0"), "outside", "carries nothing"),
        (("15.06", "15.0", "15.1"), "within", "no element is open"),
        (("15.06", "12.0", "9.0"), "undetermined", "no single open element"),
    ],
)
def test_patterns_of_three_lines(amps: tuple[str, str, str], expected: str, word: str) -> None:
    """One delta element open: 57.7 / 57.7 / 100 %; an open line or wye element: 86.6 / 86.6 / 0 % (arithmetic)."""
    verdict = by_hand("heater-lines", **dict(zip(("l1", "l2", "l3"), (f"{a} A" for a in amps), strict=True)))
    assert verdict.outcome == expected
    assert word in verdict.plain


def test_contact_of_the_timer() -> None:
    """Timer contact 40 A resistive (its plate)."""
    assert outcome("heater-contact", measured="40 A", contact="40 A") == "within"
    assert outcome("heater-contact", measured="40.1 A", contact="40 A") == "outside"


@pytest.mark.parametrize(
    ("coil", "expected"), [("50", "within"), ("45", "within"), ("44", "marginal"), ("36", "outside"), ("80", "outside")]
)
def test_end_of_defrost(coil: str, expected: str) -> None:
    """Master-Bilt BSD p. 3: about 50 degF; fans wait for about 25."""
    assert outcome("defrost-termination", measured=f"{coil} F") == expected


def test_fans_after_defrost() -> None:
    assert outcome("defrost-fan-delay", measured="25 F") == "within"
    assert outcome("defrost-fan-delay", measured="40 F") == "outside"


def test_defrost_that_runs_into_its_limit() -> None:
    """Fail-safe 20 to 45 minutes (common practice)."""
    assert outcome("defrost-length", measured="22 min") == "within"
    verdict = by_hand("defrost-length", measured="45 min", fail_safe="45 min")
    assert verdict.outcome == "outside"
    assert "outside usual practice" in verdict.plain


def test_crankcase_heater() -> None:
    """10 degF over ambient (common practice)."""
    assert outcome("crankcase-heater", measured="80 F", ambient="60 F") == "within"
    assert outcome("crankcase-heater", measured="61 F", ambient="60 F") == "outside"
