"""Windings: order, sum, opens, three phases, data book, coils."""

from __future__ import annotations

import pytest

from tests.builders import a_reading
from tests.judge.builders import by_hand, checks_of, found, judged, outcome

PAIRS = ("common_run", "common_start", "run_start")


def three(cr: str, cs: str, rs: str) -> dict[str, str]:
    return dict(zip(PAIRS, (f"{v} ohm" if v[0].isdigit() else v for v in (cr, cs, rs)), strict=True))


def test_worked_examples() -> None:
    """1.8 / 4.9 / 6.7 adds up; 1.8 / 4.9 / 5.6 misses by 1.1 ohm (common practice; series circuit)."""
    assert outcome("winding-sum", **three("1.8", "4.9", "6.7")) == "within"
    bad = by_hand("winding-sum", **three("1.8", "4.9", "5.6"))
    assert (bad.outcome, bad.authority) == ("outside", "physics")
    assert "-1.1 ohm" in bad.formula
    assert outcome("winding-order", **three("1.8", "4.9", "6.7")) == "within"


@pytest.mark.parametrize(
    ("rs", "expected"),
    [
        ("30.0", "within"),
        ("31.5", "within"),
        ("31.6", "marginal"),
        ("33.3", "marginal"),
        ("33.4", "outside"),
        ("28.6", "within"),
        ("27.2", "outside"),
    ],
)
def test_sum_on_its_edges(rs: str, expected: str) -> None:
    """5 and 10 % of the highest reading: 10 + 20 = 30 ohm (common practice)."""
    assert outcome("winding-sum", **three("10.0", "20.0", rs)) == expected


def test_small_windings_are_beyond_a_hand_meter() -> None:
    """0.4 ohm with a hand meter and leads: finer than the instrument (common practice)."""
    verdict = by_hand("winding-sum", **three("0.4", "0.9", "1.3"))
    assert verdict.outcome == "undetermined"
    assert "milliohm meter" in verdict.missing[0]
    assert outcome("winding-sum", **three("0.41", "0.92", "1.33")) == "within"


def test_equal_readings_have_no_order() -> None:
    assert outcome("winding-order", **three("1.4", "1.4", "2.8")) == "undetermined"


@pytest.mark.parametrize(
    ("values", "common", "run"),
    [
        (("6.7", "4.9", "1.8"), "start", "run"),
        (("4.9", "1.8", "6.7"), "common", "start"),
        (("1.8", "6.7", "4.9"), "run", "common"),
    ],
)
def test_wrong_order_means_misnamed_terminals(values: tuple[str, str, str], common: str, run: str) -> None:
    """The highest pair is run and start; the terminal left over is common (series circuit)."""
    verdict = by_hand("winding-order", **three(*values))
    assert verdict.outcome == "marginal"
    assert "no fault of the motor" in verdict.plain
    assert f"common is the terminal called {common}, run is the one called {run}" in verdict.plain


def test_open_to_common_is_the_overload_first() -> None:
    """Tecumseh handbook p. 63: the internal protector may take more than an hour to close again."""
    verdict = by_hand("winding-open", **three("OL", "OL", "6.7"))
    assert verdict.outcome == "undetermined"
    assert "more than an hour" in verdict.missing[0]
    open_start = by_hand("winding-open", **three("1.8", "OL", "OL"))
    assert (open_start.outcome, open_start.authority) == ("outside", "physics")


def test_an_open_winding_is_not_summed() -> None:
    readings = [
        a_reading(ohm="1.8", points="common run"),
        a_reading(state="open", points="common start"),
        a_reading(state="open", points="run start"),
    ]
    judgement = judged(*readings)
    assert found(judgement, "winding-open").component == "compressor"
    assert {"winding-sum", "winding-order"}.isdisjoint(checks_of(judgement))


def test_two_of_three_say_what_is_missing() -> None:
    readings = [a_reading(ohm="1.8", points="common run"), a_reading(ohm="4.9", points="common start")]
    verdict = found(judged(*readings), "winding-sum")
    assert verdict.missing == ("run to start",)
    assert "winding-sum" not in checks_of(judged(readings[0]))


@pytest.mark.parametrize(
    ("third", "expected"), [("10.0", "within"), ("10.5", "within"), ("11.2", "marginal"), ("12.3", "outside")]
)
def test_three_phase(third: str, expected: str) -> None:
    """Each pair within 5 to 10 % of the average (common practice)."""
    assert outcome("three-phase-windings", t1_t2="10.0 ohm", t2_t3="10.0 ohm", t1_t3=f"{third} ohm") == expected


def test_three_phase_opens() -> None:
    """Three-phase internal protectors open all three (Tecumseh text)."""
    assert outcome("three-phase-windings", t1_t2="open", t2_t3="open", t1_t3="open") == "undetermined"
    assert outcome("three-phase-windings", t1_t2="open", t2_t3="open", t1_t3="1.2 ohm") == "outside"
    assert outcome("three-phase-windings", t1_t2="0.4 ohm", t2_t3="0.4 ohm", t1_t3="0.4 ohm") == "undetermined"


def test_against_the_data_book_at_another_temperature() -> None:
    """1.80 ohm at 25 degC is 2.147 ohm at 75 degC (IEEE 112 and 118, from memory)."""
    verdict = by_hand("winding-data", measured="2.15 ohm", data="1.80 ohm", temperature="75 C")
    assert "2.147 ohm" in verdict.formula
    assert verdict.outcome == "within"
    assert outcome("winding-data", measured="2.15 ohm", data="1.80 ohm") == "outside"


@pytest.mark.parametrize(
    ("read", "expected"),
    [("open", "outside"), ("short", "outside"), ("continuity", "undetermined"), ("12 ohm", "undetermined")],
)
def test_coils(read: str, expected: str) -> None:
    assert outcome("coil", component="contactor coil", measured=read) == expected


def test_a_coil_against_its_maker() -> None:
    assert outcome("coil", measured="11 ohm", data="12 ohm") == "within"
    assert outcome("coil", measured="8 ohm", data="12 ohm") == "outside"


@pytest.mark.parametrize(
    ("ohms", "expected"),
    [("0.5", "within"), ("0.6", "marginal"), ("1.0", "marginal"), ("1.1", "outside"), ("open", "outside")],
)
def test_meter_leads(ohms: str, expected: str) -> None:
    """Fluke help page 7474313483540: 0.5 ohm at most, worn out above 1."""
    assert outcome("meter-leads", measured=ohms if ohms == "open" else f"{ohms} ohm") == expected


def test_the_leads_are_taken_off_small_windings() -> None:
    """1.4 ohm read with leads of 0.3 is 1.1 ohm; a reading below the leads asks for zeroing."""
    assert outcome("winding-sum", leads="0.3 ohm", **three("0.7", "1.2", "1.6")) == "within"  # 0.4 + 0.9 = 1.3
    assert outcome("winding-sum", **three("0.7", "1.2", "1.6")) == "undetermined"
    assert "zeroed" in by_hand("winding-sum", leads="0.8 ohm", **three("0.7", "1.2", "1.6")).missing[0]
