"""Superheat and subcooling: dew and bubble told apart, targets by equipment, what cannot be."""

from __future__ import annotations

import pytest

from journal.domain.visit import Equipment
from tests.builders import a_reading
from tests.judge.builders import by_hand, checks_of, found, judged, outcome

COOLER = Equipment("walk-in cooler", type="walk-in cooler", refrigerant="R-448A")
SPLIT = Equipment("unit two", type="split air conditioner", refrigerant="R-410A")


@pytest.mark.parametrize(
    ("refrigerant", "gauge", "line", "superheat"),
    [("R-448A", "23.84", "20.0", 20.0), ("R-449A", "45.0", "40", 19.2), ("R-134a", "20.0", "35", 12.8)],
)
def test_superheat_is_counted_from_the_dew_point(refrigerant: str, gauge: str, line: str, superheat: float) -> None:
    """CoolProp 8.0.0 by hand; R-448A from its bubble point would give 31.4."""
    verdict = by_hand(
        "superheat", pressure=f"{gauge} psig", line=f"{line} F", refrigerant=refrigerant, type="walk-in cooler"
    )
    assert float(verdict.value or 0) == pytest.approx(superheat, abs=0.1)


@pytest.mark.parametrize(
    ("refrigerant", "gauge", "line", "subcooling"), [("R-448A", "227.0", "87", 8.0), ("R-410A", "340", "94", 10.6)]
)
def test_subcooling_is_counted_from_the_bubble_point(
    refrigerant: str, gauge: str, line: str, subcooling: float
) -> None:
    """CoolProp 8.0.0 by hand; R-448A from its dew point would give 17.3."""
    verdict = by_hand(
        "subcooling", pressure=f"{gauge} psig", line=f"{line} F", refrigerant=refrigerant, type="walk-in cooler"
    )
    assert float(verdict.value or 0) == pytest.approx(subcooling, abs=0.1)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("22.7", "outside"),
        ("32.9", "within"),
        ("32.6", "marginal"),
        ("42.7", "within"),
        ("43.0", "marginal"),
        ("59", "outside"),
    ],
)
def test_superheat_at_a_refrigeration_compressor(line: str, expected: str) -> None:
    """20 degF recommended (Emerson guideline 95-14), 20 to 30 accepted, below 10 liquid is near, 45 at most (practice).

    R-448A at 36 psig has its dew point at 12.8 degF.
    """
    given = {
        "pressure": "36 psig",
        "refrigerant": "R-448A",
        "type": "walk-in cooler",
        "conditions": "at the compressor",
    }
    verdict = by_hand("superheat", line=f"{line} F", **given)
    assert verdict.outcome == expected
    assert verdict.authority == "practice"


def test_at_the_bulb_another_target_holds() -> None:
    """6 to 10 degF at the bulb of a medium-temperature evaporator, set 8 to 12 (common practice)."""
    given = {"pressure": "36 psig", "refrigerant": "R-448A", "type": "walk-in cooler"}
    assert outcome("superheat", line="22 F", conditions="at the bulb", **given) == "within"
    assert outcome("superheat", line="22 F", conditions="at the compressor", **given) == "outside"
    assert "say where the clamp sat" in by_hand("superheat", line="35 F", **given).plain


def test_liquid_at_the_compressor_is_plain_damage() -> None:
    given = {
        "pressure": "36 psig",
        "refrigerant": "R-448A",
        "type": "walk-in cooler",
        "conditions": "at the compressor",
    }
    verdict = by_hand("superheat", line="12.8 F", **given)
    assert (verdict.outcome, verdict.authority) == ("outside", "physics")


def test_a_line_colder_than_saturation_is_a_wrong_reading() -> None:
    verdict = by_hand("superheat", pressure="98 psig", line="22 F", refrigerant="R-410A", type="split")
    assert verdict.outcome == "undetermined"
    assert "refrigerant" in verdict.missing[0]


def test_one_makers_target_is_not_everybodys() -> None:
    """Goodman IO-402K p. 9: superheat 7 to 9 and subcooling 7 to 9 degF with an expansion valve."""
    given = {"pressure": "122 psig", "line": "52 F", "refrigerant": "R-410A", "type": "split air conditioner"}
    goodman = by_hand("superheat", maker="Goodman", **given)
    assert (goodman.outcome, goodman.authority) == ("outside", "maker")
    assert by_hand("superheat", **given).outcome == "within"


def test_a_target_on_the_plate_goes_first() -> None:
    """A plate's 10 degF of subcooling, within 3 (common practice)."""
    given = {"pressure": "310 psig", "refrigerant": "R-410A", "type": "split air conditioner", "target": "10 F"}
    assert by_hand("subcooling", line="95 F", **given).authority == "nameplate"
    assert outcome("subcooling", line="95 F", **given) == "outside"  # 3.1
    assert outcome("subcooling", line="91.1 F", **given) == "within"  # 7.0
    assert outcome("subcooling", line="91.2 F", **given) == "outside"
    assert outcome("subcooling", line="85.1 F", **given) == "within"  # 13.0
    assert outcome("subcooling", line="85.0 F", **given) == "outside"


def test_with_a_receiver_low_subcooling_says_nothing_about_charge() -> None:
    receiver = Equipment("rack", type="walk-in cooler with a receiver", refrigerant="R-448A")
    readings = [a_reading(psi="227", component="liquid line"), a_reading(degF="93", component="liquid line")]
    verdict = found(judged(*readings, equipment=[receiver]), "subcooling")
    assert verdict.outcome == "undetermined"
    assert "sight glass" in verdict.missing[0]
    without = Equipment("unit", type="walk-in cooler, no receiver", refrigerant="R-448A")
    assert found(judged(*readings, equipment=[without]), "subcooling").outcome != "undetermined"


@pytest.mark.parametrize("conditions", [("pull-down",), ("after defrost",)])
def test_silent_while_unsettled(conditions: tuple[str, ...]) -> None:
    readings = [
        a_reading(psi="36", component="suction"),
        a_reading(degF="35", component="suction line", conditions=conditions),
    ]
    assert found(judged(*readings, equipment=[COOLER]), "superheat").outcome == "undetermined"


def test_hunting_is_never_averaged() -> None:
    readings = [
        a_reading(psi="36", component="suction", trend="hunting"),
        a_reading(degF="35", component="suction line"),
    ]
    verdict = found(judged(*readings, equipment=[COOLER]), "superheat")
    assert verdict.outcome == "undetermined"
    assert "steady" in verdict.missing[0]
    swinging = a_reading(kind="pressure", low="20", high="45", unit="psi", component="suction")
    verdict = found(judged(swinging, readings[1], equipment=[COOLER]), "superheat")
    assert verdict.outcome == "undetermined"


def test_without_refrigerant_or_machine_it_asks() -> None:
    readings = [a_reading(psi="36", component="suction"), a_reading(degF="35", component="suction line")]
    assert found(judged(*readings), "superheat").missing == ("the refrigerant",)
    bare = Equipment("it", refrigerant="R-448A")
    verdict = found(judged(*readings, equipment=[bare]), "superheat")
    assert verdict.outcome == "undetermined"
    assert float(verdict.value or 0) == pytest.approx(22.2, abs=0.1)


def test_the_gauges_own_superheat_is_compared() -> None:
    """Tables and property library agree to about 1 degF (common practice)."""
    readings = [
        a_reading(psi="98", component="suction"),
        a_reading(degF="62", component="suction line"),
        a_reading(kind="superheat", delta_degF="31"),
    ]
    assert found(judged(*readings, equipment=[SPLIT]), "superheat-stated").outcome == "within"
    wrong = a_reading(kind="superheat", delta_degF="39")
    assert found(judged(*readings[:2], wrong, equipment=[SPLIT]), "superheat-stated").outcome == "marginal"


def test_saturated_suction_and_line() -> None:
    """'Saturated suction's twenty-three, line's thirty-four': 11 degF."""
    readings = [
        a_reading(kind="saturation temperature", degF="23", component="suction"),
        a_reading(degF="34", component="suction line"),
    ]
    verdict = found(judged(*readings, equipment=[COOLER]), "superheat-from-saturation")
    assert str(verdict.value) == "11"


def test_pressure_of_a_stopped_unit_gives_no_superheat() -> None:
    readings = [
        a_reading(psi="130", component="suction", conditions=("off",)),
        a_reading(degF="75", component="suction line"),
    ]
    assert "superheat" not in {
        v.check for v in judged(*readings, equipment=[COOLER]).verdicts if v.outcome != "undetermined"
    }


@pytest.mark.parametrize(("line", "expected"), [("55.9", "within"), ("48.2", "marginal"), ("40.2", "outside")])
def test_fixed_orifice(line: str, expected: str) -> None:
    """(3 x 67 - 80 - 95) / 2 = 13 degF (common practice); R-410A at 120 psig has its dew point at 40.9 degF."""
    given = {
        "pressure": "120 psig",
        "refrigerant": "R-410A",
        "wet_bulb": "67 F",
        "outdoor": "95 F",
        "type": "split, fixed orifice",
    }
    assert outcome("orifice-superheat", line=f"{line} F", **given) == expected


def test_a_fixed_orifice_has_no_valve_target() -> None:
    orifice = Equipment("unit", type="split air conditioner with a piston", refrigerant="R-410A")
    readings = [a_reading(psi="120", component="suction"), a_reading(degF="70", component="suction line")]
    assert found(judged(*readings, equipment=[orifice]), "superheat").outcome == "undetermined"
    assert "orifice-superheat" not in checks_of(judged(*readings, equipment=[SPLIT]))


def test_carbon_dioxide_near_its_critical_point() -> None:
    verdict = by_hand("subcooling", pressure="1050 psig", line="80 F", refrigerant="R-744", type="rack")
    assert verdict.outcome == "undetermined"
    assert "critical" in verdict.plain


def test_altitude_moves_superheat() -> None:
    """At 5,000 ft the air weighs 12.2 psia: 15 psig of R-404A is 27.2 psia (ISO 2533 standard atmosphere)."""
    given = {"pressure": "15 psig", "line": "0 F", "refrigerant": "R-404A", "type": "walk-in freezer"}
    sea = by_hand("superheat", **given)
    high = by_hand("superheat", altitude="5000 ft", **given)
    assert float(high.value or 0) - float(sea.value or 0) == pytest.approx(3.7, abs=0.1)
    barometer = by_hand("superheat", barometer="24.9 inHg", **given)
    assert float(barometer.value or 0) == pytest.approx(float(high.value or 0), abs=0.1)


def test_a_blend_without_a_model_says_so() -> None:
    verdict = by_hand("superheat", pressure="40 psig", line="40 F", refrigerant="R-408A", type="walk-in cooler")
    assert verdict.outcome == "undetermined"
    assert "no mixture model for R-408A" in verdict.plain
