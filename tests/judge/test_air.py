"""Air over coils, ducts, and gas heat."""

from __future__ import annotations

import pytest

from journal.domain.visit import Equipment
from tests.builders import a_reading
from tests.judge.builders import by_hand, found, judged, outcome


@pytest.mark.parametrize(
    ("supply", "expected"),
    [("59", "within"), ("53", "within"), ("52.9", "marginal"), ("60", "marginal"), ("61.1", "outside")],
)
def test_comfort_cooling(supply: str, expected: str) -> None:
    """16 to 22 degF (common practice)."""
    given = {"return": "75 F", "type": "rooftop unit"}
    from journal.judge import run_by_hand

    assert run_by_hand("air-difference", {**given, "supply": f"{supply} F"}).outcome == expected


@pytest.mark.parametrize(
    ("off", "expected"), [("30", "within"), ("33", "within"), ("33.1", "marginal"), ("25.9", "marginal")]
)
def test_over_a_cooler_coil(off: str, expected: str) -> None:
    """air-conditioning-and-refrigeration-guide.com: 4 to 6 usual, below 3 or above 10 degF look."""
    from journal.judge import run_by_hand

    assert (
        run_by_hand("air-difference", {"return": "36 F", "supply": f"{off} F", "type": "walk-in cooler"}).outcome
        == expected
    )


def test_wet_bulb_said_in_the_same_breath_is_not_the_return() -> None:
    """'Return's seventy-nine over sixty-six, supply sixty-five': 14, not 1."""
    unit = Equipment("u", type="split air conditioner")
    readings = [
        a_reading(degF="79", component="return air"),
        a_reading(degF="66", component="return air"),
        a_reading(degF="65", component="supply air", at=20.0),
    ]
    assert str(found(judged(*readings, equipment=[unit]), "air-difference").value) == "14"


@pytest.mark.parametrize(
    ("inches", "plate", "expected"),
    [
        ("0.5", None, "within"),
        ("0.7", None, "marginal"),
        ("0.9", None, "outside"),
        ("0.9", "1.0", "within"),
        ("1.01", "1.0", "outside"),
    ],
)
def test_static_pressure(inches: str, plate: str | None, expected: str) -> None:
    """0.5 inH2O without a plate (common practice), else the plate's figure."""
    given = {"measured": f"{inches} inH2O"} | ({"plate": f"{plate} inH2O"} if plate else {})
    assert outcome("static-total", **given) == expected


@pytest.mark.parametrize(
    ("cfm", "expected"), [("1200", "within"), ("1050", "within"), ("1049", "marginal"), ("890", "outside")]
)
def test_airflow(cfm: str, expected: str) -> None:
    """400 CFM a ton, 350 to 450 (common practice), three tons."""
    assert outcome("airflow", measured=f"{cfm} CFM", tons="3 tons") == expected


@pytest.mark.parametrize(
    ("supply", "expected"), [("105", "within"), ("100", "within"), ("99", "outside"), ("131", "outside")]
)
def test_heat_rise(supply: str, expected: str) -> None:
    """The plate's 30 to 60 degF."""
    from journal.judge import run_by_hand

    verdict = run_by_hand("heat-rise", {"return": "70 F", "supply": f"{supply} F", "plate": "30-60 F"})
    assert (verdict.outcome, verdict.authority) == (expected, "nameplate")


def test_gas_heat_readings() -> None:
    """Manifold within 10 %, flame above 1 microampere (practice); 400 ppm in the flue, 9 in the room (memory)."""
    assert outcome("gas-manifold", measured="3.5 inH2O", plate="3.5 inH2O") == "within"
    assert outcome("gas-manifold", measured="3.9 inH2O", plate="3.5 inH2O") == "outside"
    assert outcome("flame-current", measured="2.4 uA") == "within"
    assert outcome("flame-current", measured="0.4 uA") == "outside"
    assert outcome("carbon-monoxide", component="heater", measured="90 ppm") == "within"
    room = by_hand("carbon-monoxide", component="supply air", measured="90 ppm")
    assert room.outcome == "outside"
    assert "everybody out" in room.plain
