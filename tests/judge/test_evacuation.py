"""Evacuation, decay, standing pressure, recovery levels."""

from __future__ import annotations

from decimal import Decimal

import pytest

from journal.domain.visit import Equipment
from tests.builders import a_reading
from tests.judge.builders import by_hand, found, judged, outcome


@pytest.mark.parametrize(("microns", "expected"), [("500", "within"), ("501", "outside"), ("320", "within")])
def test_five_hundred_microns(microns: str, expected: str) -> None:
    """Lennox 507919-01 p. 10, Allied Air 506510-01 p. 18: 500 microns."""
    assert outcome("evacuation", measured=f"{microns} microns", maker="Lennox") == expected
    assert by_hand("evacuation", measured=f"{microns} microns", maker="Lennox").authority == "maker"


def test_poe_systems_are_asked_for_more() -> None:
    """250 to 300 microns (common practice)."""
    assert outcome("evacuation", measured="400 microns", type="walk-in freezer") == "marginal"
    assert outcome("evacuation", measured="300 microns", type="walk-in freezer") == "within"


def test_conversions_of_five_hundred_microns() -> None:
    """500 microns = 66.66 Pa = 0.01969 inHg absolute."""
    assert "0.0197 inHg" in by_hand("evacuation", measured="500 microns").formula
    assert outcome("evacuation", measured="66.66 Pa abs") == "within"
    from journal.judge.numbers import absolute

    assert float(absolute(Decimal(500), "micron_Hg", None, 101325.0)) == pytest.approx(66.66, abs=0.01)


@pytest.mark.parametrize(
    ("after", "expected"),
    [
        ("460", "within"),
        ("500", "within"),
        ("900", "marginal"),
        ("1400", "marginal"),
        ("2000", "marginal"),
        ("2600", "outside"),
    ],
)
def test_decay(after: str, expected: str) -> None:
    """320 microns at isolation; 460 after ten minutes is tight, 1400 steady moisture, 2600 a leak.

    Lennox 507919-01 (500 for 20 minutes); distributor's bulletin jswmi.happyfox.com kb 445 (1000 and 2000).
    """
    assert outcome("vacuum-decay", isolated="320 microns", after=f"{after} microns", minutes="10 min") == expected


def test_decay_needs_its_minutes() -> None:
    assert outcome("vacuum-decay", isolated="320 microns", after="460 microns") == "undetermined"
    assert outcome("vacuum-decay", isolated="320 microns", after="460 microns", minutes="4 min") == "undetermined"
    assert outcome("vacuum-decay", isolated="320 microns", after="2600 microns", minutes="4 min") == "outside"


def test_decay_in_a_visit() -> None:
    readings = [
        a_reading(micron_Hg="380", component="vacuum"),
        a_reading(micron_Hg="430", component="vacuum", held_for=Decimal(600)),
    ]
    judgement = judged(*readings)
    assert found(judgement, "evacuation").outcome == "within"
    assert found(judgement, "vacuum-decay").outcome == "within"
    assert "380 microns -> 430 microns in 10 min" in found(judgement, "vacuum-decay").formula


@pytest.mark.parametrize(
    ("start", "first", "last", "expected"),
    [("150", "80", "70", 146.95), ("150", "95", "75", 144.06), ("300", "85", "60", 285.55)],
)
def test_correction_for_temperature(start: str, first: str, last: str, expected: float) -> None:
    """ACHR News 153295: 150 psig, 80 to 70 degF -> 146.9 psig; the same law in Cool Concerns CS17 (2016-03)."""
    given = {"start_temperature": f"{first} F", "end_temperature": f"{last} F", "minutes": "60 min"}
    on = by_hand("standing-pressure", start=f"{start} psig", end=f"{expected:.2f} psig", **given)
    assert on.outcome == "within"
    assert abs(float(on.value or 0)) < 0.06
    assert outcome("standing-pressure", start=f"{start} psig", end=f"{expected - 1.1:.2f} psig", **given) == "outside"
    assert outcome("standing-pressure", start=f"{start} psig", end=f"{expected + 1.1:.2f} psig", **given) == "outside"


def test_metric_example() -> None:
    """Cool Concerns CS17: 24.8 bar gauge from 280 to 291 K becomes 25.8."""
    given = {"start_temperature": "6.85 C", "end_temperature": "17.85 C", "minutes": "60 min"}
    assert abs(float(by_hand("standing-pressure", start="24.8 bar", end="25.81 bar", **given).value or 0)) < 0.3


def test_a_leak_shows() -> None:
    """150 psig at 80 degF, then 143.0 at 70: 3.9 psi lost."""
    given = {"start_temperature": "80 F", "end_temperature": "70 F", "minutes": "60 min"}
    verdict = by_hand("standing-pressure", start="150 psig", end="143.0 psig", **given)
    assert float(verdict.value or 0) == pytest.approx(3.95, abs=0.02)
    assert verdict.outcome == "outside"


def test_short_holds_prove_big_leaks_only() -> None:
    assert outcome("standing-pressure", start="300 psig", end="300 psig") == "undetermined"
    assert outcome("standing-pressure", start="300 psig", end="300 psig", minutes="5 min") == "undetermined"
    verdict = by_hand("standing-pressure", start="300 psig", end="300 psig", minutes="20 min")
    assert verdict.outcome == "within"
    for word in ("20 min", "300 psig", "volume"):
        assert word in verdict.plain


def test_more_than_the_plate_allows() -> None:
    verdict = by_hand("standing-pressure", start="300 psig", low_side_plate="250 psig", minutes="30 min")
    assert (verdict.outcome, verdict.authority) == ("outside", "nameplate")


@pytest.mark.parametrize(
    ("refrigerant", "charge", "vacuum", "expected"),
    [
        ("R-404A", "350 lb", "8", "outside"),
        ("R-404A", "350 lb", "10", "within"),
        ("R-404A", "350 lb", "9.9", "outside"),
        ("R-134a", "250 lb", "15", "within"),
        ("R-134a", "250 lb", "14.9", "outside"),
        ("R-134a", "20 lb", "10", "within"),
        ("R-22", "20 lb", "0", "within"),
        ("R-410A", "20 lb", "0", "within"),
        ("R-32", "300 lb", "0", "within"),
    ],
)
def test_recovery_levels(refrigerant: str, charge: str, vacuum: str, expected: str) -> None:
    """40 CFR 82.156(a) table 1: high pressure under 200 lb 0, above 10; medium 10 and 15 inHg."""
    verdict = by_hand("recovery-level", measured=f"{vacuum} inHg", charge=charge, refrigerant=refrigerant)
    assert (verdict.outcome, verdict.authority) == (expected, "regulation")
    assert "regulation in force at the place" in verdict.plain


def test_older_recovery_machines() -> None:
    """The same table: machines made before 1993-11-15 need 4 inHg above 200 lb."""
    assert (
        outcome("recovery-level", measured="4 inHg", charge="350 lb", refrigerant="R-404A", machine="old") == "within"
    )


def test_other_rules_are_named_and_not_judged() -> None:
    """Self-contained propane and small sealed appliances follow other rules."""
    assert outcome("recovery-level", measured="0 psig", charge="5 oz", refrigerant="R-290") == "undetermined"
    small = by_hand("recovery-level", measured="0 psig", charge="2 lb", refrigerant="R-134a")
    assert "80 %" in small.plain


def test_the_charge_of_the_machine_serves() -> None:
    unit = Equipment("rack", refrigerant="R-404A", charge=Decimal(350), charge_unit="pound")
    reading = a_reading(inch_Hg="8", component="suction", conditions=("recovered",), reference="vacuum")
    assert found(judged(reading, equipment=[unit]), "recovery-level").outcome == "outside"
