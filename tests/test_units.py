"""Unit arithmetic against references outside the project.

Conversion factors: Pint's own default registry (a general reference library) and NIST Special Publication 811
(2008), appendix B (the figures below are from memory of that table).
"""

from __future__ import annotations

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.domain.kind import Kind
from journal.domain.unit_table import can_measure, symbol_of, ucum_of, unit_table
from journal.errors import BadInput
from journal.units import Amount, absolute_pascals, convert

#: our code -> the name in Pint's default registry
PINT_NAMES = {
    "volt": "volt", "millivolt": "millivolt", "kilovolt": "kilovolt", "ampere": "ampere", "milliampere": "milliampere",
    "microampere": "microampere", "ohm": "ohm", "milliohm": "milliohm", "kiloohm": "kiloohm", "megaohm": "megaohm",
    "gigaohm": "gigaohm",
    "microfarad": "microfarad", "watt": "watt", "kilowatt": "kilowatt", "horsepower": "horsepower",
    "btu_per_hour": "Btu_it / hour", "ton_refrigeration": "refrigeration_ton", "hertz": "hertz", "second": "second",
    "minute": "minute", "hour": "hour", "day": "day", "pascal": "pascal", "kilopascal": "kilopascal",
    "megapascal": "megapascal", "bar": "bar", "psi": "psi", "inch_Hg": "inHg", "inch_H2O": "inH2O",
    "mm_Hg": "mmHg", "micron_Hg": "1e-3 mmHg", "degF": "degF", "degC": "degC", "degK": "kelvin",
    "delta_degF": "delta_degF", "delta_degC": "delta_degC", "pound": "pound", "ounce": "ounce", "gram": "gram",
    "kilogram": "kilogram",
}  # fmt: skip
#: families no general registry has (a share of a hundred, turns, air) or that need a barometer
WITHOUT_REFERENCE = {"percent", "ppm", "rpm", "foot_per_minute", "cubic_foot_per_minute", "psia"}


def test_every_unit_has_a_reference_or_is_named_as_having_none() -> None:
    assert set(unit_table()) == set(PINT_NAMES) | WITHOUT_REFERENCE


@pytest.mark.parametrize("kind", list(Kind))
def test_conversions_agree_with_pints_default_registry(kind: Kind) -> None:
    registry = pint.UnitRegistry()
    codes = [code for code, unit in unit_table().items() if kind in unit.kinds and code in PINT_NAMES]
    for source in codes:
        for target in codes:
            ours = float(convert(Amount(Decimal("12.5"), source), target).value)
            scale, _, name = (
                PINT_NAMES[source].rpartition(" ")
                if PINT_NAMES[source].startswith("1e")
                else ("1", "", PINT_NAMES[source])
            )
            quantity = registry.Quantity(12.5 * float(scale), name)
            scale, _, name = (
                PINT_NAMES[target].rpartition(" ")
                if PINT_NAMES[target].startswith("1e")
                else ("1", "", PINT_NAMES[target])
            )
            reference = quantity.to(name).magnitude / float(scale)
            # inches of water differ by the temperature of the water: 249.089 Pa conventional, 249.082 Pa at 39 degF
            assert ours == pytest.approx(reference, rel=5e-5 if "inch_H2O" in (source, target) else 2e-6), (
                source,
                target,
            )


@pytest.mark.parametrize(
    ("value", "unit", "target", "expected"),
    [
        # NIST SP 811 appendix B.8, from memory
        ("1", "psi", "kilopascal", 6.894757),
        ("1", "inch_Hg", "kilopascal", 3.386389),
        ("1", "inch_H2O", "pascal", 249.0889),
        ("1", "mm_Hg", "pascal", 133.3224),
        ("1", "pound", "kilogram", 0.45359237),
        ("1", "ounce", "gram", 28.349523125),
        ("1", "btu_per_hour", "watt", 0.2930711),
        ("1", "ton_refrigeration", "kilowatt", 3.516853),
        ("1", "horsepower", "watt", 745.6999),
        # definitions
        ("41", "degF", "degC", 5),
        ("-40", "degC", "degF", -40),
        ("18", "delta_degF", "delta_degC", 10),
        ("500", "micron_Hg", "pascal", 66.6612),
    ],
)
def test_conversions_agree_with_published_factors(value: str, unit: str, target: str, expected: float) -> None:
    assert float(convert(Amount(Decimal(value), unit), target).value) == pytest.approx(expected, rel=2e-7)


def test_a_temperature_is_no_temperature_difference() -> None:
    with pytest.raises(BadInput, match="measure different things"):
        convert(Amount(Decimal(41), "degF"), "delta_degF")


def test_gauge_and_absolute_are_not_mixed_silently() -> None:
    with pytest.raises(BadInput, match="different zeros"):
        convert(Amount(Decimal(20), "psi"), "psia")


def test_absolute_pressure_counts_from_the_local_atmosphere() -> None:
    # 1 atm = 101 325 Pa = 29.9213 inHg (ISO 2533; conventional inch of mercury)
    assert absolute_pascals(Amount(Decimal(0), "psi")) == 101_325
    assert absolute_pascals(Amount(Decimal("14.695949"), "psia")) == pytest.approx(101_325, rel=1e-6)
    assert absolute_pascals(Amount(Decimal("29.9213"), "inch_Hg"), "vacuum") == pytest.approx(0, abs=1)
    assert absolute_pascals(Amount(Decimal(760_000), "micron_Hg")) == pytest.approx(101_325, rel=1e-6)
    assert absolute_pascals(Amount(Decimal(0), "psi"), atmosphere=84_000) == 84_000


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-100_000, max_value=100_000, places=3))
def test_conversion_there_and_back_is_the_identity(value: Decimal) -> None:
    there = convert(Amount(value, "psi"), "kilopascal")
    assert float(convert(there, "psi").value) == pytest.approx(float(value), rel=1e-9, abs=1e-9)


def test_an_amount_keeps_its_digits() -> None:
    assert str(Amount(Decimal("24.30"), "volt")) == "24.30 V"


@pytest.mark.parametrize("value", [24.3, Decimal("NaN"), Decimal("Infinity"), 24])
def test_an_amount_refuses_what_is_no_finite_decimal(value: object) -> None:
    with pytest.raises(ValueError, match="finite decimal"):
        Amount(value, "volt")  # type: ignore[arg-type]


def test_an_amount_refuses_an_unknown_unit() -> None:
    with pytest.raises(ValueError, match=r"units\.txt"):
        Amount(Decimal(1), "amps")


def test_symbols_and_codes() -> None:
    # UCUM: ucum-essence.xml
    assert (symbol_of("microfarad"), ucum_of("microfarad")) == ("µF", "uF")
    assert (symbol_of("inch_Hg"), ucum_of("inch_Hg")) == ("inHg", "[in_i'Hg]")
    assert (symbol_of(None), ucum_of(None)) == ("", None)
    assert can_measure("delta_degF", Kind.SUPERHEAT)
    assert not can_measure("degF", Kind.SUPERHEAT)
