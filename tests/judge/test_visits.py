"""Selection over whole invented visits: the right readings find each other, and only they."""

from __future__ import annotations

import pytest

from journal.domain.visit import Equipment
from tests.builders import a_reading
from tests.judge.builders import checks_of, found, judged

FREEZER = Equipment("walk-in freezer", type="walk-in freezer", refrigerant="R-448A")
COOLER = Equipment("walk-in cooler", type="walk-in cooler", refrigerant="R-404A")


def test_two_machines_are_kept_apart() -> None:
    """Pressure of one and line temperature of the other make no superheat."""
    readings = [
        a_reading(psi="36", component="suction", equipment="walk-in freezer"),
        a_reading(degF="35", component="suction line", equipment="walk-in cooler"),
    ]
    judgement = judged(*readings, equipment=[FREEZER, COOLER])
    assert all(v.outcome == "undetermined" for v in judgement.verdicts)
    assert {v.missing[0] for v in judgement.verdicts if v.check == "superheat"} == {
        "the suction line's temperature at the same place",
        "the suction pressure",
    }


def test_each_machine_has_its_own_refrigerant_and_plate() -> None:
    readings = []
    for name, volts in (("walk-in freezer", "230"), ("walk-in cooler", "460")):
        readings += [
            a_reading(volt=volts, role="nameplate", component="compressor", equipment=name),
            a_reading(volt=volts, points="L1 L2", component="compressor", equipment=name),
            a_reading(psi="36", component="suction", equipment=name),
            a_reading(degF="35", component="suction line", equipment=name),
        ]
    judgement = judged(*readings, equipment=[FREEZER, COOLER])
    assert found(judgement, "supply-voltage", equipment="walk-in freezer").outcome == "within"
    assert found(judgement, "supply-voltage", equipment="walk-in cooler").outcome == "within"
    values = {found(judgement, "superheat", equipment=m.name).value for m in (FREEZER, COOLER)}
    assert len(values) == 2


def test_readings_without_a_machine_belong_to_the_first() -> None:
    readings = [a_reading(psi="36", component="suction"), a_reading(degF="35", component="suction line")]
    assert found(judged(*readings, equipment=[FREEZER, COOLER]), "superheat").equipment == "walk-in freezer"


def test_as_found_and_as_left_are_two_verdicts() -> None:
    readings = [
        a_reading(microfarad="45", role="nameplate", component="run capacitor"),
        a_reading(microfarad="31", component="run capacitor"),
        a_reading(microfarad="44.6", component="run capacitor", phase="as left"),
    ]
    judgement = judged(*readings)
    assert found(judgement, "capacitor", phase="as found").outcome == "outside"
    assert found(judgement, "capacitor", phase="as left").outcome == "within"
    left = found(judgement, "capacitor", phase="as left")
    assert readings[0].id in left.readings, "a nameplate given once serves all"


def test_pressure_as_found_and_temperature_as_left_do_not_meet() -> None:
    readings = [
        a_reading(psi="36", component="suction"),
        a_reading(degF="35", component="suction line", phase="as left"),
    ]
    judgement = judged(*readings, equipment=[FREEZER])
    assert all(v.outcome == "undetermined" for v in judgement.verdicts if v.check == "superheat")


def test_the_latest_of_repeated_measurements_counts_and_the_earlier_is_kept() -> None:
    readings = [
        a_reading(degF="35", role="setting", component="thermostat"),
        a_reading(degF="44", component="box"),
        a_reading(degF="41", component="box"),
        a_reading(degF="36.5", component="box"),
    ]
    verdict = found(judged(*readings, equipment=[COOLER]), "box-against-setting")
    assert str(verdict.value) == "1.5"
    assert readings[3].id in verdict.readings
    assert "earlier: 44, 41 °F" in verdict.formula


def test_withdrawn_readings_never_count() -> None:
    readings = [
        a_reading(ampere="14.1", role="nameplate", component="compressor", conditions=("rated load",)),
        a_reading(ampere="12.3", component="compressor"),
        a_reading(ampere="43.2", component="compressor", withdrawn=True),
    ]
    verdict = found(judged(*readings), "running-current")
    assert str(verdict.value) == "12.3"
    assert readings[2].id not in verdict.readings


def test_what_does_not_apply_is_silent() -> None:
    assert judged(a_reading(degF="72", component="ambient")).verdicts == ()
    assert judged(a_reading(minute="12", component="defrost timer", role="setting")).verdicts == ()
    assert judged().verdicts == ()


def test_an_expectation_is_no_data_book_and_no_measurement() -> None:
    """'Should be better than two megs there' beside three windings."""
    readings = [
        a_reading(ohm="1.1", points="common run", component="compressor"),
        a_reading(ohm="3.9", points="common start", component="compressor"),
        a_reading(ohm="5.0", points="run start", component="compressor"),
        a_reading(kind="resistance", low="2", unit="megaohm", role="expected", component="compressor"),
    ]
    judgement = judged(*readings)
    assert "winding-data" not in checks_of(judgement)
    assert found(judgement, "winding-sum").outcome == "within"


def test_conditions_part_what_belongs_together() -> None:
    """A starting current is no running current; a voltage off and one running are two."""
    plates = [
        a_reading(ampere="14.1", role="nameplate", component="compressor", conditions=("rated load",)),
        a_reading(ampere="73", role="nameplate", component="compressor", conditions=("locked rotor",)),
    ]
    start = a_reading(ampere="68", component="compressor", conditions=("starting",))
    run = a_reading(ampere="12", component="compressor", conditions=("running",))
    judgement = judged(*plates, run, start)
    assert str(found(judgement, "running-current").value) == "12"
    assert found(judgement, "locked-rotor").outcome == "undetermined"
    volts = [
        a_reading(volt="242", points="L1 L2", component="compressor", conditions=("off",)),
        a_reading(volt="221", points="L1 L2", component="compressor", conditions=("running",)),
    ]
    assert found(judged(*volts), "voltage-drop").outcome == "outside"


def test_a_whole_call_on_a_dead_freezer() -> None:
    """Grounded compressor: the windings add up, the ground counts, the box is warm."""
    readings = [
        a_reading(kind="voltage", low="208", high="230", unit="volt", role="nameplate", component="compressor"),
        a_reading(ampere="11.2", role="nameplate", component="compressor", conditions=("rated load",)),
        a_reading(ampere="61", role="nameplate", component="compressor", conditions=("locked rotor",)),
        a_reading(microfarad="40", role="nameplate", component="run capacitor"),
        a_reading(volt="370", role="nameplate", component="run capacitor"),
        a_reading(low="108", high="130", unit="microfarad", role="nameplate", component="start capacitor"),
        a_reading(degF="-5", role="setting", component="thermostat"),
        a_reading(degF="26", component="box", trend="moving"),
        a_reading(volt="241", points="L1 L2", component="supply"),
        a_reading(microfarad="39.2", component="run capacitor"),
        a_reading(microfarad="118", component="start capacitor"),
        a_reading(ohm="1.1", points="common run"),
        a_reading(ohm="3.9", points="common start"),
        a_reading(ohm="5.0", points="run start"),
        a_reading(ohm="12", points="common ground"),
        a_reading(ohm="11.5", points="run ground"),
        a_reading(ohm="15.9", points="start ground"),
    ]
    judgement = judged(*readings, equipment=[FREEZER])
    outcomes = {(v.check, v.component): str(v.outcome) for v in judgement.verdicts}
    assert outcomes == {
        ("supply-voltage", "supply"): "within",
        ("capacitor", "run capacitor"): "within",
        ("capacitor", "start capacitor"): "within",
        ("winding-order", "compressor"): "within",
        ("winding-sum", "compressor"): "within",
        ("winding-to-ground", "compressor"): "outside",
        ("box-temperature", None): "outside",
        ("box-against-setting", None): "outside",
    }
    assert [d.title for d in judgement.diagnoses] == ["Compressor motor grounded"]


@pytest.mark.parametrize("unit", ["degF", "degC"])
def test_verdicts_show_the_unit_they_compute_in(unit: str) -> None:
    verdict = found(judged(a_reading(**{unit: "4"}, component="product")), "product-temperature")
    assert verdict.unit == "degF"
    assert verdict.limits[0].unit == "degF"
