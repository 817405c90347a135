"""Supply voltage, unbalance and frequency against NEMA MG 1 and the examples others publish."""

from __future__ import annotations

import pytest

from tests.builders import a_reading
from tests.judge.builders import by_hand, checks_of, found, judged, outcome


@pytest.mark.parametrize(
    ("plate", "low", "high"),
    [
        ("115 V", "103.5", "126.5"),
        ("200 V", "180", "220"),
        ("208 V", "187.2", "228.8"),
        ("230 V", "207", "253"),
        ("460 V", "414", "506"),
        ("575 V", "517.5", "632.5"),
        ("208-230 V", "187.2", "253"),
        ("200-230 V", "180", "253"),
    ],
)
def test_running_tolerance_on_its_edges(plate: str, low: str, high: str) -> None:
    """NEMA Condensed MG 1-2011 section 9.9.1 [MG 1-12.44.1]: nameplate voltage within 10 %, both ends included."""
    within = ("within", "marginal")  # a 208-230 V plate is 'low, look' up to 197 V on practice
    for edge, step in ((low, -1), (high, 1)):
        on = by_hand("supply-voltage", measured=f"{edge} V", nameplate=plate)
        assert on.outcome in within
        just_out = f"{float(edge) + step * 0.1:.1f} V"
        assert outcome("supply-voltage", measured=just_out, nameplate=plate) == "outside"
        just_in = f"{float(edge) - step * 0.1:.1f} V"
        assert outcome("supply-voltage", measured=just_in, nameplate=plate) in within


def test_examples_of_the_nameplate_rule() -> None:
    """203 V fails a 230 V plate (-11.74 %) and passes a 208-230 V one; 414.0 V on 460 V is just inside (MG 1 9.9.1)."""
    bad = by_hand("supply-voltage", measured="203 V", nameplate="230 V")
    assert (bad.outcome, bad.authority) == ("outside", "standard")
    assert "-11.7 %" in bad.formula
    assert "MG 1-2011" in bad.source
    assert outcome("supply-voltage", measured="203 V", nameplate="208-230 V") == "within"
    assert outcome("supply-voltage", measured="414.0 V", nameplate="460 V") == "within"
    assert outcome("supply-voltage", measured="186 V", nameplate="208-230 V") == "outside"
    assert outcome("supply-voltage", measured="254 V", nameplate="208-230 V") == "outside"


def test_low_on_a_dual_plate_is_marginal_on_practice() -> None:
    """187 to 197 V on a 208-230 V scroll is low, look (training page, second-hand; common practice)."""
    verdict = by_hand("supply-voltage", measured="190 V", nameplate="208-230 V")
    assert (verdict.outcome, verdict.authority) == ("marginal", "practice")
    assert outcome("supply-voltage", measured="197 V", nameplate="208-230 V") == "within"


@pytest.mark.parametrize(
    ("volts", "percent"),
    [
        (("460", "467", "450"), 1.96),  # NEMA MG 1-14.36, its own example
        (("462", "463", "455"), 1.09),  # US DOE Motor Tip Sheet 7
        (("203", "210", "212"), 2.56),  # SymCom 2010 specification sheet p. 5
        (("220", "216", "213"), 1.69),  # Daikin DTC manual p. 10 (which rounds its average to 1.8 %)
        (("462", "468", "450"), 2.17),  # pumpsandsystems.com
    ],
)
def test_unbalance_examples(volts: tuple[str, str, str], percent: float) -> None:
    a, b, c = (f"{v} V" for v in volts)
    verdict = by_hand("voltage-unbalance", l1_l2=a, l2_l3=b, l1_l3=c)
    assert float(verdict.value or 0) == pytest.approx(percent, abs=0.006)
    assert verdict.outcome == "marginal"


@pytest.mark.parametrize(
    ("third", "expected"),
    [("100", "within"), ("101.5", "within"), ("101.6", "marginal"), ("107.6", "marginal"), ("107.8", "outside")],
)
def test_unbalance_bands(third: str, expected: str) -> None:
    """1 % without derating and not above 5 % (NEMA MG 1 as told by DOE tip sheet 7)."""
    verdict = by_hand("voltage-unbalance", l1_l2="100 V", l2_l3="100 V", l1_l3=f"{third} V")
    assert verdict.outcome == expected
    if expected == "outside":
        assert "outside usual practice" in verdict.plain


def test_a_maker_makes_two_per_cent_firm() -> None:
    """Daikin DTC manual p. 10: must not exceed 2 %."""
    volts = {"l1_l2": "203 V", "l2_l3": "210 V", "l1_l3": "212 V"}
    assert by_hand("voltage-unbalance", maker="Daikin", **volts).authority == "maker"
    assert outcome("voltage-unbalance", maker="Daikin", **volts) == "outside"
    assert outcome("voltage-unbalance", maker="Daikin", l1_l2="220 V", l2_l3="216 V", l1_l3="213 V") == "within"


def test_legs_said_in_a_row_are_the_three_legs() -> None:
    """'Legs two eleven, two thirteen, two twelve' without points."""
    rows = [a_reading(volt=v, component="supply", at=20.0) for v in ("211", "213", "212")]
    plate = a_reading(kind="voltage", low="208", high="230", unit="volt", role="nameplate")
    judgement = judged(plate, *rows)
    assert found(judgement, "voltage-unbalance").outcome == "within"
    assert found(judgement, "supply-voltage").readings[:3] == tuple(r.id for r in reversed(rows))


def test_two_nameplate_numbers_are_a_dual_plate() -> None:
    """A slash on the plate may come as two numbers, 208 and 230."""
    plates = [a_reading(volt=v, role="nameplate", component="compressor") for v in ("208", "230")]
    line = a_reading(volt="203", points="L1 L2", component="compressor")
    assert found(judged(*plates, line), "supply-voltage").outcome == "within"


def test_a_voltage_with_the_load_off_proves_nothing() -> None:
    plate = a_reading(volt="230", role="nameplate")
    line = a_reading(volt="236", points="L1 L2", conditions=("off",))
    verdict = found(judged(plate, line), "supply-voltage")
    assert verdict.outcome == "undetermined"
    assert "running" in verdict.missing[0]


def test_without_a_nameplate_it_asks_for_it() -> None:
    verdict = found(judged(a_reading(volt="238", points="L1 L2")), "supply-voltage")
    assert verdict.outcome == "undetermined"
    assert verdict.missing == ("the voltage on the nameplate",)


def test_wild_leg_is_no_fault() -> None:
    """120, 120 and 208 V to ground on a 240 V delta: normal (geometry of a centre-grounded delta)."""
    verdict = by_hand("leg-to-ground", l1="120 V", l2="208 V", l3="121 V")
    assert verdict.outcome == "within"
    assert "L2" in verdict.plain


def test_lost_leg_is_plain_damage() -> None:
    verdict = by_hand("lost-leg", l1_l2="240 V", l2_l3="12 V", l1_l3="238 V")
    assert (verdict.outcome, verdict.authority) == ("outside", "physics")


def test_a_part_voltage_on_an_open_wire_may_be_a_ghost() -> None:
    """Common practice: load it and read again."""
    assert outcome("control-voltage", measured="11 V", rated="24 V") == "undetermined"
    assert outcome("control-voltage", measured="11 V", rated="24 V", conditions="under load") == "outside"
    assert outcome("control-voltage", measured="26.4 V", rated="24 V") == "within"


def test_a_nominal_voltage_is_never_judged() -> None:
    nominal = a_reading(volt="24", state="present", component="contactor coil")
    rated = a_reading(volt="24", role="nameplate", component="contactor coil")
    assert "control-voltage" not in checks_of(judged(nominal, rated)) or (
        found(judged(nominal, rated), "control-voltage").outcome == "undetermined"
    )


@pytest.mark.parametrize(
    ("hertz", "expected"), [("57", "within"), ("63", "within"), ("56.9", "outside"), ("63.1", "outside")]
)
def test_frequency(hertz: str, expected: str) -> None:
    """NEMA Condensed MG 1-2011 section 9.9.1: rated frequency within 5 %."""
    assert outcome("frequency", measured=f"{hertz} Hz", rated="60 Hz") == expected


def test_voltage_and_frequency_together() -> None:
    """The same section: the two deviations together within 10 %."""
    given = {"nameplate": "230 V", "frequency": "62.4 Hz", "rated_frequency": "60 Hz"}
    assert outcome("voltage-and-frequency", measured="243.8 V", **given) == "within"  # 6 % + 4 %
    assert outcome("voltage-and-frequency", measured="244.1 V", **given) == "outside"


@pytest.mark.parametrize(
    ("volts", "nominal", "expected"),
    [("117", "120", "within"), ("111", "120", "marginal"), ("109", "120", "outside"), ("440", "480", "marginal")],
)
def test_service_voltage(volts: str, nominal: str, expected: str) -> None:
    """ANSI C84.1 table 1, ranges A and B, from memory."""
    verdict = by_hand("service-voltage", measured=f"{volts} V", nominal=f"{nominal} V")
    assert (verdict.outcome, verdict.authority) == (expected, "memory")


def test_service_voltage_of_one_state() -> None:
    """COMAR 20.50.07.02 (Maryland): 240 V service 216 to 252 V; silent elsewhere."""
    verdict = by_hand("service-voltage", measured="218 V", nominal="240 V", place="Maryland")
    assert (verdict.outcome, verdict.authority) == ("within", "regulation")
    assert outcome("service-voltage", measured="218 V", nominal="240 V", place="Ohio") == "outside"
