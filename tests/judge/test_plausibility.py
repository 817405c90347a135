"""Doubts of physics: ranges by kind, part and role, and neighbours that cannot both be right."""

from __future__ import annotations

import pytest

from journal.domain.reading import Reading
from journal.domain.visit import Equipment
from journal.judge import plausibility
from tests.builders import a_reading

COOLER = Equipment("walk-in cooler", type="walk-in cooler", refrigerant="R-448A")


def codes(*readings: Reading, equipment: tuple[Equipment, ...] = ()) -> dict[int, set[str]]:
    """Return the codes of doubts by the place of the reading."""
    found = plausibility(readings, equipment)
    return {i: {d.code for d in found[r.id]} for i, r in enumerate(readings) if r.id in found}


@pytest.mark.parametrize(
    "reading",
    [
        a_reading(volt="2111", points="L1 L2"),
        a_reading(ampere="190", component="condenser fan motor"),
        a_reading(degF="190", component="box"),
        a_reading(psi="1200", component="suction"),
        a_reading(degC="95", component="suction line"),
        a_reading(microfarad="392", component="run capacitor"),
        a_reading(hertz="600"),
        a_reading(kind="superheat", delta_degF="310"),
        a_reading(ohm="1800", points="common run", component="compressor"),
        a_reading(kind="pressure", low="20", high="9000", unit="psi", component="discharge"),
        a_reading(volt="3700", role="nameplate", component="run capacitor"),
        a_reading(psi="12", points="common ground", component="compressor"),
        a_reading(degF="41", points="run start"),
        a_reading(ampere="6.5", points="ground", component="compressor"),
        a_reading(psi="40", points="L1"),
        a_reading(microfarad="45", points="common run", component="dual capacitor"),
    ],
    ids=lambda r: f"{r.value or r.high} {r.unit} {r.component}",
)
def test_what_can_hardly_be(reading: Reading) -> None:
    (doubts,) = plausibility([reading]).values()
    assert doubts[0].code == "implausible"
    assert "listen again" in doubts[0].why


@pytest.mark.parametrize(
    "reading",
    [
        a_reading(volt="241", points="L1 L2"),
        a_reading(volt="26.4", component="transformer"),
        a_reading(ohm="12", points="common ground", component="compressor"),
        a_reading(milliampere="3", points="L1 ground"),
        a_reading(degF="118", points="L2", component="contactor"),
        a_reading(percent="1.4", points="L1 L2"),
        a_reading(ampere="12", points="L1", component="compressor"),
        a_reading(microfarad="38", points="C HERM", component="dual capacitor"),
        a_reading(gigaohm="2", points="common ground", component="compressor"),
        a_reading(psi="66", component="suction"),
        a_reading(inch_Hg="18", component="suction", reference="vacuum"),
        a_reading(micron_Hg="380", component="vacuum"),
        a_reading(degF="-10", component="box"),
        a_reading(kilopascal="1800", component="discharge"),
        a_reading(inch_H2O="0.7", component="ductwork"),
        a_reading(psia="40", component="suction"),
        a_reading(state="open", points="common run"),
        a_reading(volt="2111", points="L1 L2", withdrawn=True),
    ],
    ids=lambda r: f"{r.value} {r.unit} {r.component} {r.state}",
)
def test_what_is_ordinary(reading: Reading) -> None:
    assert plausibility([reading]) == {}


def test_windings_must_add_up() -> None:
    parts = (("1.8", "common run"), ("4.9", "common start"), ("5.6", "run start"))
    readings = [a_reading(ohm=v, points=p) for v, p in parts]
    assert codes(*readings) == {0: {"neighbours"}, 1: {"neighbours"}, 2: {"neighbours"}}
    assert codes(*readings[:2], a_reading(ohm="6.7", points="run start")) == {}


def test_the_reading_whose_alternative_repairs_the_sum_is_blamed_alone() -> None:
    readings = [
        a_reading(ohm="1.8", points="common run"),
        a_reading(ohm="4.9", points="common start"),
        a_reading(ohm="16.7", points="run start", maybe=("6.7",)),
    ]
    assert codes(*readings) == {2: {"neighbours"}}


def test_legs_of_a_supply_must_be_close() -> None:
    legs = [
        a_reading(volt=v, points=p, component="supply")
        for v, p in (("211", "L1 L2"), ("240", "L2 L3"), ("209", "L1 L3"))
    ]
    assert codes(*legs) == {1: {"neighbours"}}


def test_a_lost_decimal_point() -> None:
    """'Seven eight, seventy-nine, eight two': 79 among 7.8 and 8.2."""
    legs = [
        a_reading(ampere=a, points=p, component="compressor") for a, p in (("7.8", "L1"), ("79", "L2"), ("8.2", "L3"))
    ]
    assert codes(*legs) == {1: {"neighbours"}}
    rated = a_reading(ampere="1.4", role="nameplate", component="condenser fan motor")
    assert codes(rated, a_reading(ampere="12", component="condenser fan motor")) == {1: {"neighbours"}}


def test_a_capacitor_far_from_its_marking() -> None:
    readings = [
        a_reading(microfarad="4", role="nameplate", component="run capacitor"),
        a_reading(microfarad="39", component="run capacitor"),
    ]
    assert codes(*readings) == {0: {"neighbours"}, 1: {"neighbours"}}


def test_a_supply_far_from_its_plate() -> None:
    readings = [
        a_reading(volt="230", role="nameplate", component="compressor"),
        a_reading(volt="120", points="L1 L2", component="compressor"),
    ]
    assert codes(*readings) == {1: {"neighbours"}}


def test_pressure_must_fit_refrigerant_and_temperature() -> None:
    """36 psig of R-448A evaporates at 12.8 degF: a line at -20 and a box at -10 speak against it."""
    suction = a_reading(psi="36", component="suction")
    assert codes(suction, a_reading(degF="35", component="suction line"), equipment=(COOLER,)) == {}
    cold = a_reading(degF="-20", component="suction line")
    assert codes(suction, cold, equipment=(COOLER,)) == {0: {"neighbours"}, 1: {"neighbours"}}
    assert codes(suction, a_reading(degF="-10", component="box"), equipment=(COOLER,)) == {0: {"neighbours"}}
    head = a_reading(psi="110", component="discharge")
    assert codes(head, a_reading(degF="95", component="ambient"), equipment=(COOLER,)) == {0: {"neighbours"}}


def test_suction_above_discharge() -> None:
    readings = [a_reading(psi="271", component="suction"), a_reading(psi="66", component="discharge")]
    assert codes(*readings) == {0: {"neighbours"}, 1: {"neighbours"}}


def test_neighbours_of_another_machine_or_phase_say_nothing() -> None:
    other = Equipment("b", type="walk-in freezer", refrigerant="R-404A")
    suction = a_reading(psi="36", component="suction", equipment="walk-in cooler")
    cold = a_reading(degF="-20", component="suction line", equipment="b")
    assert codes(suction, cold, equipment=(COOLER, other)) == {}
    assert codes(suction, cold.with_(equipment="walk-in cooler", phase="as left"), equipment=(COOLER,)) == {}


def test_an_unknown_refrigerant_raises_no_doubt_and_no_error() -> None:
    odd = Equipment("x", refrigerant="R-999Z")
    readings = [a_reading(psi="36", component="suction"), a_reading(degF="-20", component="suction line")]
    assert codes(*readings, equipment=(odd,)) == {}
