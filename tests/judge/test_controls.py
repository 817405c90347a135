"""Pressure controls, start relays, sensors, wires, parts."""

from __future__ import annotations

import pytest

from journal.domain.visit import Equipment
from journal.judge.refrigerants import saturation_temperature
from journal.judge.sensors import curves
from tests.builders import a_reading
from tests.judge.builders import by_hand, checks_of, found, judged, outcome

LOW = "low pressure control"


def test_cut_out_is_cut_in_less_differential() -> None:
    """Wolseley Beermaster p. 17: 5 - 3 = 2 bar; Hussmann 8-2 for an Alco control: 15 - 10 = 5 psig."""
    given = {"cut_in": "15 psig", "differential": "10 psi"}
    assert outcome("low-pressure-settings", cut_out="5 psig", **given) == "within"
    assert outcome("low-pressure-settings", cut_out="9 psig", **given) == "outside"
    assert outcome("low-pressure-settings", cut_in="5 bar", cut_out="2 bar", differential="3 bar") == "within"


@pytest.mark.parametrize(
    ("cut_out", "expected"),
    [("10", "within"), ("10.1", "marginal"), ("12.1", "outside"), ("16", "outside"), ("-2", "marginal")],
)
def test_settings_of_the_low_pressure_control(cut_out: str, expected: str) -> None:
    """5 psi of differential, cut-out not below the atmosphere (common practice)."""
    assert outcome("low-pressure-settings", cut_in="15 psig", cut_out=f"{cut_out} psig") == expected


def test_two_settings_without_words_tell_themselves_apart() -> None:
    settings = [a_reading(psi=p, component=LOW, role="setting") for p in ("10", "30")]
    verdict = found(judged(*settings), "low-pressure-settings")
    assert verdict.formula.startswith("cut-in 30 - cut-out 10 = 20 psi")


@pytest.mark.parametrize(
    ("name", "gauge", "fahrenheit"),
    [
        ("R-134a", 35, 40.0),
        ("R-134a", 15, 14.9),
        ("R-404A", 70, 30.5),
        ("R-404A", 45, 11.7),
        ("R-404A", 15, -21.5),
        ("R-404A", 5, -38.6),
        ("R-448A", 15, -11.5),
        ("R-448A", 5, -28.3),
    ],
)
def test_settings_as_temperatures(name: str, gauge: float, fahrenheit: float) -> None:
    """Dew temperatures of usual settings (CoolProp 8.0.0)."""
    kelvin = saturation_temperature(name, gauge * 6894.757 + 101325, "dew")
    assert kelvin * 1.8 - 459.67 == pytest.approx(fahrenheit, abs=0.1)


@pytest.mark.parametrize(
    ("broke", "made", "expected"),
    [
        ("9", "28", "within"),
        ("7", "28", "within"),
        ("6", "28", "marginal"),
        ("4.9", "28", "outside"),
        ("10", "36", "outside"),
    ],
)
def test_where_it_acts_against_its_setting(broke: str, made: str, expected: str) -> None:
    """'Broke at nine, made at twenty-eight' against 10 and 30: 2 to 3 psi on the low side (common practice)."""
    given = {"cut_in": "30 psig", "cut_out": "10 psig", "component": LOW}
    assert (
        outcome("control-action", cut_out_measured=f"{broke} psig", cut_in_measured=f"{made} psig", **given) == expected
    )


def test_a_high_pressure_control_has_wider_limits() -> None:
    """Lennox KCA092 p. 25: 640 +-10 psig."""
    given = {"cut_out": "640 psig", "component": "high pressure control"}
    assert outcome("control-action", cut_out_measured="650 psig", **given) == "within"
    assert outcome("control-action", cut_out_measured="651 psig", **given) == "marginal"


def test_acting_points_are_found_in_a_visit() -> None:
    readings = [
        a_reading(psi="10", component=LOW, role="setting", conditions=("cut out",)),
        a_reading(psi="30", component=LOW, role="setting", conditions=("cut in",)),
        a_reading(psi="9", component=LOW, conditions=("cut out",)),
        a_reading(psi="28", component=LOW, conditions=("cut in",)),
    ]
    verdict = found(judged(*readings), "control-action")
    assert verdict.outcome == "within"
    assert len(verdict.readings) == 4


@pytest.mark.parametrize(("cut_out", "expected"), [("450", "within"), ("450.1", "outside")])
def test_high_pressure_control_against_the_plate(cut_out: str, expected: str) -> None:
    verdict = by_hand("high-pressure-setting", cut_out=f"{cut_out} psig", plate="450 psig")
    assert (verdict.outcome, verdict.authority) == (expected, "nameplate")


def test_cut_in_of_an_outdoor_unit_in_the_cold() -> None:
    """R-404A at 0 degF stands at 32.6 psig (dew): a cut-in of 35 does not close again."""
    given = {"ambient": "0 F", "refrigerant": "R-404A"}
    assert outcome("cut-in-against-ambient", cut_in="35 psig", **given) == "marginal"
    assert outcome("cut-in-against-ambient", cut_in="25 psig", **given) == "within"


def test_freezestat() -> None:
    """Lennox KCA: opens at 29 degF."""
    assert by_hand("freezestat", measured="29 F", maker="Lennox").authority == "maker"
    assert outcome("freezestat", measured="33 F", maker="Lennox") == "outside"
    assert outcome("freezestat", measured="33 F") == "within"


@pytest.mark.parametrize(
    ("check", "read", "expected"),
    [
        ("start-relay-contact", "continuity", "within"),
        ("start-relay-contact", "0.4 ohm", "within"),
        ("start-relay-contact", "open", "outside"),
        ("start-relay-coil", "6.2 kohm", "within"),
        ("start-relay-coil", "open", "outside"),
        ("start-relay-coil", "300 ohm", "outside"),
        ("start-ptc", "12 ohm", "within"),
        ("start-ptc", "open", "outside"),
        ("start-ptc", "900 ohm", "marginal"),
    ],
)
def test_start_relays(check: str, read: str, expected: str) -> None:
    """Common practice."""
    assert outcome(check, measured=read) == expected


@pytest.mark.parametrize(("running", "expected"), [("232.8", "within"), ("232.7", "marginal"), ("227.9", "outside")])
def test_wires(running: str, expected: str) -> None:
    """3 and 5 % of 240 V (NEC notes, from memory)."""
    assert outcome("voltage-drop", off="240 V", running=f"{running} V") == expected


@pytest.mark.parametrize(
    ("curve", "ohms", "celsius", "allowed"),
    [
        ("10k type 2", 97_006.9, -20, 0.05),
        ("10k type 2", 32_650.9, 0, 0.05),
        ("10k type 2", 10_000, 25, 0.01),
        ("10k type 2", 15_698, 15, 0.1),
        ("10k type 3", 10_000, 24.98, 0.01),
        ("10k type 3", 29_490, -0.02, 0.01),
        ("10k type 3", 5_592, 39.99, 0.01),
        ("15k", 15_000, 0, 0.01),
        ("15k", 5_148, 25, 0.35),
        ("15k", 3_000, 40, 0.01),
    ],
)
def test_sensor_curves(curve: str, ohms: float, celsius: float, allowed: float) -> None:
    """Campbell 109SS 10K3MCD1 (-20 and 0 degC), Carrier HXC table 39B, EKO MS-80 coefficients, Mitsubishi PEA p. 29.

    15.0 degC on the type 2 curve by the beta between 10 and 20 degC; the 15k row of 25 by its formula, R0 +-3 %.
    """
    told = curves()[curve].fahrenheit(ohms)
    assert told is not None
    assert (told - 32) / 1.8 == pytest.approx(celsius, abs=allowed)


def test_sensor_in_ice_water() -> None:
    """1 degF in ice water, 2 in the field (common practice); 32,650 ohm is a type 2 and 29,490 a type 3 at freezing."""
    assert outcome("sensor", measured="32650 ohm", probe="32 F", curve="10k type 2") == "within"
    wrong = by_hand("sensor", measured="29490 ohm", probe="32 F", curve="10k type 2")
    assert wrong.outcome == "marginal"
    assert outcome("sensor", measured="29.49 kohm", probe="32 F", curve="10k type 3") == "within"
    assert outcome("sensor", measured="20 kohm", probe="32 F", curve="10k type 3") == "outside"
    assert outcome("sensor", measured="open", probe="32 F") == "outside"
    guessed = by_hand("sensor", measured="32.65 kohm", probe="32 F")
    assert guessed.outcome == "within"
    assert "10k type 2" in guessed.plain
    assert outcome("sensor", measured="60 kohm", probe="75 F") == "undetermined"


def test_new_part_against_old() -> None:
    """The rating of a replacement is equal or higher, never lower (tyreepartsandhardware.com)."""
    assert outcome("new-capacitor-voltage", old="370 V", new="440 V") == "within"
    lower = by_hand("new-capacitor-voltage", old="440 V", new="370 V")
    assert (lower.outcome, lower.authority) == ("outside", "nameplate")
    assert outcome("new-capacitor-size", old="45 uF", new="45 uF") == "within"
    assert outcome("new-capacitor-size", old="45 uF", new="40 uF") == "outside"
    plates = [
        a_reading(microfarad="40", role="nameplate", component="run capacitor"),
        a_reading(microfarad="45", role="nameplate", component="run capacitor", phase="as left"),
    ]
    assert found(judged(*plates), "new-capacitor-size").phase == "as left"


def test_controls_of_two_machines_stay_apart() -> None:
    first, second = Equipment("rack a"), Equipment("rack b")
    readings = [
        a_reading(psi="30", component=LOW, role="setting", conditions=("cut in",), equipment="rack a"),
        a_reading(psi="10", component=LOW, role="setting", conditions=("cut out",), equipment="rack b"),
    ]
    assert "low-pressure-settings" not in checks_of(judged(*readings, equipment=[first, second]))
