"""Checks by hand: what is understood, and one sentence for what is not."""

from __future__ import annotations

from decimal import Decimal

import pytest

from journal.domain.kind import Kind
from journal.domain.unit_table import unit_table
from journal.errors import BadInput, NotFound
from journal.judge import CHECKS, run_by_hand
from journal.judge.byhand import _amounts, _writings
from tests.judge.builders import by_hand


def test_the_example_of_the_help() -> None:
    verdict = by_hand("capacitor", measured="41.2uF", marked="45uF")
    assert verdict.outcome == "marginal"
    assert verdict.value == Decimal("41.2")
    assert verdict.formula == "41.2 µF against 45 µF marked: -8.44 %"


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("41.2uF", Kind.CAPACITANCE, {"value": Decimal("41.2"), "unit": "microfarad"}),
        ("45 mfd", Kind.CAPACITANCE, {"value": Decimal(45), "unit": "microfarad"}),
        ("45µF", Kind.CAPACITANCE, {"value": Decimal(45), "unit": "microfarad"}),
        ("208-230 V", Kind.VOLTAGE, {"low": Decimal(208), "high": Decimal(230), "unit": "volt"}),
        ("208/230V", Kind.VOLTAGE, {"low": Decimal(208), "high": Decimal(230), "unit": "volt"}),
        ("88 to 108 uF", Kind.CAPACITANCE, {"low": Decimal(88), "high": Decimal(108), "unit": "microfarad"}),
        ("-10 F", Kind.TEMPERATURE, {"value": Decimal(-10), "unit": "degF"}),
        ("−10 °C", Kind.TEMPERATURE, {"value": Decimal(-10), "unit": "degC"}),
        ("10 F", Kind.SUBCOOLING, {"value": Decimal(10), "unit": "delta_degF"}),
        ("23.84 psig", Kind.PRESSURE, {"value": Decimal("23.84"), "unit": "psi"}),
        ("38 psia", Kind.PRESSURE, {"value": Decimal(38), "unit": "psia"}),
        ("500 microns", Kind.PRESSURE, {"value": Decimal(500), "unit": "micron_Hg"}),
        (">500 MΩ", Kind.RESISTANCE, {"low": Decimal(500), "unit": "megaohm"}),
        ("<0.5 ohm", Kind.RESISTANCE, {"high": Decimal("0.5"), "unit": "ohm"}),
        ("0.6 Mohm", Kind.RESISTANCE, {"value": Decimal("0.6"), "unit": "megaohm"}),
        ("15k", Kind.RESISTANCE, {"value": Decimal(15), "unit": "kiloohm"}),
        ("8 lb 5 oz", Kind.MASS, {"value": Decimal("8.3125"), "unit": "pound"}),
        ("±6%", Kind.PERCENT, {"value": Decimal(6), "unit": "percent"}),
        ("2.4 uA", Kind.CURRENT, {"value": Decimal("2.4"), "unit": "microampere"}),
        ("1,450 cfm", Kind.AIRFLOW, {"value": Decimal(1450), "unit": "cubic_foot_per_minute"}),
    ],
)
def test_values_people_type(text: str, kind: Kind, expected: dict[str, object]) -> None:
    assert _amounts("x", text, kind, "12") == expected


def test_every_unit_can_be_typed_by_its_symbol_its_code_and_its_ucum_code() -> None:
    for code, unit in unit_table().items():
        for written in (code, unit.symbol, unit.ucum):
            assert code in _writings()[written]


def test_a_capital_m_is_never_milli() -> None:
    """0.6 Mohm is six hundred thousand ohms; taken for milli it would be a dead ground."""
    assert _amounts("x", "3 mohm", Kind.RESISTANCE, "")["unit"] == "milliohm"
    with pytest.raises(BadInput):
        _amounts("x", "3 MV", Kind.VOLTAGE, "")


@pytest.mark.parametrize(
    ("name", "given", "sentence"),
    [
        ("capaciter", {"measured": "41 uF"}, "the nearest is 'capacitor'"),
        ("capacitor", {"mesured": "41 uF", "marked": "45 uF"}, "--measured"),
        ("capacitor", {"measured": "41 uF"}, "--marked (the marking on the run capacitor)"),
        ("capacitor", {"measured": "41 V", "marked": "45 uF"}, "--measured is a capacitance"),
        ("capacitor", {"measured": "41", "marked": "45 uF"}, "needs its unit"),
        ("capacitor", {"measured": "41 uG", "marked": "45 uF"}, "µF"),
        ("capacitor", {"measured": "forty", "marked": "45 uF"}, "no number with a unit"),
        ("capacitor", {"measured": "", "marked": "45 uF"}, "no number with a unit"),
        ("capacitor", {"measured": "41 uF", "marked": "50-45 uF"}, "runs downwards"),
        ("capacitor", {"measured": "41 uF", "marked": "45 uF", "component": "run capasitor"}, "'run capacitor'"),
        ("superheat", {"pressure": "40 psig", "line": "40 F"}, "--refrigerant"),
        ("superheat", {"pressure": "40 psig", "line": "40 F", "refrigerant": "butter"}, "the nearest known one"),
        ("superheat", {"pressure": "40 psig", "line": "open", "refrigerant": "R-22"}, "has to be a number"),
        ("superheat", {"pressure": "40 psig", "line": "40 F", "refrigerant": "R-22", "altitude": "high"}, "5000 ft"),
        ("superheat", {"pressure": "40 psig", "line": "40 F", "refrigerant": "R-22", "barometer": "10 inHg"}, "kPa"),
        (
            "leak-rate-annualized",
            {"added": "3 lb", "charge": "50 lb", "refrigerant": "R-22", "date": "June"},
            "2026-11-25",
        ),
    ],
)
def test_one_sentence_for_what_is_wrong(name: str, given: dict[str, str], sentence: str) -> None:
    with pytest.raises(BadInput) as caught:
        run_by_hand(name, given)
    assert sentence in caught.value.sentence()
    assert caught.value.sentence().endswith(".")
    assert "\n" not in caught.value.sentence()


def test_silence_is_not_an_answer() -> None:
    with pytest.raises(NotFound, match="nothing to say"):
        by_hand("lost-leg", l1_l2="240 V", l2_l3="239 V", l1_l3="241 V")


def test_names_may_be_written_with_blanks_or_underscores() -> None:
    given = {"L1_L2": "240 V", "l2 l3": "239 V", "l1-l3": "241 V"}
    assert run_by_hand("Voltage Unbalance", given).outcome == "within"


@pytest.mark.parametrize("name", CHECKS)
def test_every_check_asks_for_what_it_needs(name: str) -> None:
    """Without any value each check says in one sentence what it takes, what it lacks, or that it has nothing to say."""
    try:
        outcome = str(run_by_hand(name, {}).outcome)
    except (BadInput, NotFound) as error:
        outcome = error.sentence()
    assert outcome == "undetermined" or outcome.endswith(".")
