"""The circuit beside superheat."""

from __future__ import annotations

from decimal import Decimal

import pytest

from journal.domain.visit import Equipment
from tests.builders import a_reading
from tests.judge.builders import by_hand, checks_of, found, judged, outcome


def test_evaporator_difference_examples() -> None:
    """Box 35 with SST 25, box -10 with SST -20: TD 10 (common practice for walk-ins)."""
    warm = by_hand(
        "evaporator-difference", box="35 F", pressure="50.1 psig", refrigerant="R-448A", type="walk-in cooler"
    )
    assert float(warm.value or 0) == pytest.approx(10.0, abs=0.1)
    assert warm.outcome == "within"
    assert (
        outcome("evaporator-difference", box="55 F", pressure="50.1 psig", refrigerant="R-448A", type="walk-in cooler")
        == "outside"
    )


def test_evaporator_difference_by_kind_of_box() -> None:
    """Reach-ins 15 to 20, floral boxes 6 to 8 (common practice); a comfort unit has none."""
    given = {"box": "42 F", "pressure": "50.1 psig", "refrigerant": "R-448A"}  # TD 17
    assert outcome("evaporator-difference", type="reach-in", **given) == "within"
    assert outcome("evaporator-difference", type="floral box", **given) == "outside"
    split = Equipment("u", type="split air conditioner", refrigerant="R-410A")
    readings = [a_reading(psi="120", component="suction"), a_reading(degF="75", component="return air")]
    assert "evaporator-difference" not in checks_of(judged(*readings, equipment=[split]))


def test_condensing_over_ambient_example() -> None:
    """R-404A 250 psig is 103.8 degF bubble, 8.8 over 95 (CoolProp 8.0.0); low temperature 8 to 15 (practice)."""
    verdict = by_hand(
        "condensing-over-ambient", pressure="250 psig", ambient="95 F", refrigerant="R-404A", type="walk-in freezer"
    )
    assert float(verdict.value or 0) == pytest.approx(8.8, abs=0.1)
    assert verdict.outcome == "within"


def test_condensing_in_the_cold_depends_on_head_control() -> None:
    verdict = by_hand(
        "condensing-over-ambient", pressure="180 psig", ambient="40 F", refrigerant="R-404A", type="walk-in freezer"
    )
    assert verdict.outcome == "undetermined"
    assert "head control" in verdict.missing[0]


@pytest.mark.parametrize(
    ("psi", "expected"), [("15", "within"), ("7", "outside"), ("11.9", "within"), ("9.5", "marginal")]
)
def test_compression_ratio(psi: str, expected: str) -> None:
    """250 over 15 psig: 264.7 / 29.7 = 8.91; low temperature 6 to 12, above 10 to 12 hot (common practice)."""
    verdict = by_hand("compression-ratio", discharge="250 psig", suction=f"{psi} psig", type="walk-in freezer")
    assert verdict.outcome == expected
    if psi == "15":
        assert float(verdict.value or 0) == pytest.approx(891, abs=1)


@pytest.mark.parametrize(
    ("line", "expected"), [("225", "within"), ("225.1", "marginal"), ("250", "marginal"), ("250.1", "outside")]
)
def test_discharge_line(line: str, expected: str) -> None:
    """225 degF marginal, 250 outside (common practice)."""
    assert outcome("discharge-temperature", measured=f"{line} F") == expected


def test_265_degrees_are_for_the_bulletins_models_only() -> None:
    """Copeland AE4-1287 R7 p. 8: 265 degF for Discus without liquid injection."""
    verdict = by_hand("discharge-temperature", measured="260 F", maker="Copeland", type="Discus compressor")
    assert (verdict.outcome, verdict.authority) == ("within", "maker")
    assert outcome("discharge-temperature", measured="260 F", maker="Copeland", type="scroll") == "outside"
    assert outcome("return-gas", measured="65 F", maker="Copeland", type="Discus") == "within"
    assert outcome("return-gas", measured="66 F", maker="Copeland", type="Discus") == "marginal"


@pytest.mark.parametrize(
    ("after", "expected"), [("98", "within"), ("97.9", "marginal"), ("97", "marginal"), ("96.9", "outside")]
)
def test_drier(after: str, expected: str) -> None:
    """2 to 3 degF across the drier (common practice)."""
    assert outcome("drier-drop", before="100 F", after=f"{after} F") == expected


@pytest.mark.parametrize(
    ("gauge", "expected"), [("143.6", "within"), ("125", "marginal"), ("105", "outside"), ("185", "outside")]
)
def test_stopped_unit_against_ambient(gauge: str, expected: str) -> None:
    """R-22 at 80 degF stands at 143.6 psig with liquid in it (CoolProp 8.0.0); tolerances are practice."""
    assert outcome("static-pressure", pressure=f"{gauge} psig", ambient="80 F", refrigerant="R-22") == expected


def test_a_blend_at_rest_lies_between_bubble_and_dew() -> None:
    """R-448A at 80 degF: 180.8 bubble, 153.8 dew."""
    for gauge in ("180", "165", "154"):
        assert outcome("static-pressure", pressure=f"{gauge} psig", ambient="80 F", refrigerant="R-448A") == "within"


@pytest.mark.parametrize(
    ("outlet", "expected"), [("60", "within"), ("50", "within"), ("49", "marginal"), ("47", "outside")]
)
def test_net_oil_pressure(outlet: str, expected: str) -> None:
    """10 psi at least over the crankcase (common practice)."""
    assert outcome("net-oil-pressure", outlet=f"{outlet} psig", crankcase="40 psig") == expected


def test_oil_pressure_needs_no_gauge_reference() -> None:
    """Crankcase in a vacuum: 10 inHg is -4.9 psig."""
    verdict = by_hand("net-oil-pressure", outlet="10 psig", crankcase="10 inHg")
    assert float(verdict.value or 0) == pytest.approx(14.9, abs=0.05)


def test_suction_line() -> None:
    """2 degF of saturation for pressure, 20 degF of warming (common practice)."""
    assert outcome("suction-line-gain", at_evaporator="30 F", at_compressor="50 F") == "within"
    assert outcome("suction-line-gain", at_evaporator="30 F", at_compressor="66 F") == "outside"
    assert (
        outcome("suction-line-drop", at_evaporator="40 psig", at_compressor="39 psig", refrigerant="R-404A") == "within"
    )
    assert (
        outcome("suction-line-drop", at_evaporator="40 psig", at_compressor="33 psig", refrigerant="R-404A")
        == "outside"
    )


def test_pump_down_is_not_for_scrolls() -> None:
    piston = Equipment("u", type="walk-in cooler, piston compressor")
    readings = [
        a_reading(psi="2", component="suction", conditions=("pumped down",)),
        a_reading(psi="14", component="suction", conditions=("after five minutes",)),
    ]
    assert found(judged(*readings, equipment=[piston]), "pump-down-hold").outcome == "outside"
    scroll = Equipment("u", type="walk-in cooler, scroll compressor")
    assert "pump-down-hold" not in checks_of(judged(*readings, equipment=[scroll]))


@pytest.mark.parametrize(("psi", "expected"), [("400", "within"), ("400.1", "outside")])
def test_design_pressure(psi: str, expected: str) -> None:
    """The plate's own figure."""
    verdict = by_hand("high-side-pressure", measured=f"{psi} psig", plate="400 psig")
    assert (verdict.outcome, verdict.authority) == (expected, "nameplate")
    assert outcome("low-side-pressure", measured=f"{psi} psig", plate="400 psig") == expected


def test_liquid_never_leaves_colder_than_the_air() -> None:
    assert outcome("liquid-approach", liquid="95 F", ambient="90 F") == "within"
    assert outcome("liquid-approach", liquid="80 F", ambient="90 F") == "outside"


def test_saturation_by_hand_shows_both() -> None:
    """R-448A at 100 psig."""
    verdict = by_hand("saturation", pressure="100 psig", refrigerant="R-448A")
    assert "bubble" in verdict.plain
    assert "take the right one" in verdict.plain


def test_condenser_water() -> None:
    """About 10 degF (common practice)."""
    given = {"in": "85 F"}
    from journal.judge import run_by_hand

    assert run_by_hand("condenser-water", {**given, "out": "95 F"}).outcome == "within"
    assert run_by_hand("condenser-water", {**given, "out": "112 F"}).outcome == "outside"


def test_saturation_told_by_the_gauge() -> None:
    unit = Equipment("u", type="walk-in cooler", refrigerant="R-448A")
    readings = [
        a_reading(psi="36", component="suction"),
        a_reading(kind="saturation temperature", degF="3", component="suction"),
    ]
    verdict = found(judged(*readings, equipment=[unit]), "saturation-stated")
    assert verdict.outcome == "marginal"
    assert "dew point" in verdict.plain
    assert verdict.value is not None
    assert verdict.value < Decimal(-9)
