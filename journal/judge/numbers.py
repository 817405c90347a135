"""Readings as decimals in the unit a check computes in, and decimals as people write them."""

from __future__ import annotations

from decimal import Decimal
from functools import cache, lru_cache

from journal.domain.reading import Reading, Reference
from journal.domain.unit_table import symbol_of
from journal.units import STANDARD_ATMOSPHERE_PA, Amount, absolute_pascals, convert

PASCALS_PER_PSI = Decimal("6894.757293168361")
LARGEST = Decimal("1e12")  # no meter of the trade shows more, in any unit


@cache
def _slope_and_offset(unit: str, wanted: str) -> tuple[Decimal, Decimal]:
    """Every change of unit is a straight line: one pair of conversions tells it."""
    offset = convert(Amount(Decimal(0), unit), wanted).value
    thousand = convert(Amount(Decimal(1000), unit), wanted).value
    return (thousand - offset) / 1000, offset


@lru_cache(maxsize=8192)
def in_unit(value: Decimal, unit: str, wanted: str) -> Decimal:
    """Return a value in another unit of its dimension, clean to ten significant digits.

    >>> in_unit(Decimal("0"), "degC", "degF")
    Decimal('32')
    """
    if unit == wanted:
        return value
    slope, offset = _slope_and_offset(unit, wanted)
    return clean(value * slope + offset)


def clean(value: Decimal, digits: int = 10) -> Decimal:
    """Drop the digits that a change of unit puts behind the tenth significant one."""
    return Decimal(f"{value:.{digits}g}").normalize() + 0 if value else Decimal(0)


@cache
def _pascals(unit: str) -> Decimal:
    return Decimal(str(absolute_pascals(Amount(Decimal(1000), unit), "absolute"))) / 1000


@lru_cache(maxsize=8192)
def absolute(value: Decimal, unit: str, reference: Reference | None, atmosphere: float) -> Decimal:
    """Return a pressure in absolute pascals.

    Without a reference, psi, bar and kPa count from the atmosphere, inches of mercury downwards from it (as a
    compound gauge shows them), psia and microns from nothing.
    """
    pascals = value * _pascals(unit)
    if unit in ("psia", "micron_Hg", "mm_Hg") or reference is Reference.ABSOLUTE:
        return pascals
    around = Decimal(str(atmosphere))
    if reference is Reference.VACUUM or (reference is None and unit == "inch_Hg"):
        return around - pascals
    return around + pascals


def psig(value: Decimal, unit: str, reference: Reference | None, atmosphere: float = STANDARD_ATMOSPHERE_PA) -> Decimal:
    """Return a pressure in psi above the atmosphere.

    >>> psig(Decimal("0"), "inch_Hg", None)
    Decimal('0')
    """
    if unit == "psi" and reference in (None, Reference.GAUGE):
        return value
    return clean((absolute(value, unit, reference, atmosphere) - Decimal(str(atmosphere))) / PASCALS_PER_PSI)


def pressure_in(
    wanted: str, value: Decimal, unit: str, reference: Reference | None, atmosphere: float = STANDARD_ATMOSPHERE_PA
) -> Decimal:
    """Return a pressure in another unit: from nothing for psia and microns, else above the atmosphere.

    >>> pressure_in("micron_Hg", Decimal("0.5"), "mm_Hg", None)
    Decimal('500')
    """
    if wanted == "psi":
        return psig(value, unit, reference, atmosphere)
    if wanted == unit and reference in (None, Reference.GAUGE):
        return value
    pascals = absolute(value, unit, reference, atmosphere)
    if wanted not in ("psia", "micron_Hg", "mm_Hg"):
        pascals -= Decimal(str(atmosphere))
    return clean(pascals / _pascals(wanted))


def half_digit(reading: Reading) -> Decimal:
    """Return half of the last digit that was said, in the reading's unit: the least an instrument may be off.

    >>> from journal.domain.kind import Kind
    >>> half_digit(Reading(Kind.RESISTANCE, value=Decimal("1.4"), unit="ohm"))
    Decimal('0.05')
    """
    number = reading.value if reading.value is not None else Decimal(0)
    exponent = number.as_tuple().exponent
    return Decimal(5).scaleb(int(exponent) - 1)


@lru_cache(maxsize=8192)
def show(value: Decimal, digits: int = 4) -> str:
    """Return a number as people write it: four significant digits, no exponent, no trailing noise.

    >>> show(Decimal("187.20")), show(Decimal("1.960784")), show(Decimal("12345.6")), show(Decimal("-0.04"))
    ('187.2', '1.961', '12346', '-0.04')
    """
    if not value:
        return "0"
    places = max(0, digits - 1 - value.adjusted())
    text = f"{value:.{places}f}" if value.adjusted() < 15 else f"{value:.3e}"
    if "." in text and "e" not in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def shown(value: Decimal, unit: str | None, digits: int = 4) -> str:
    """Return a number with its unit: ``41.2 µF``."""
    symbol = symbol_of(unit).replace("Δ", "")
    digits = 3 if unit == "percent" and digits == 4 else digits
    return f"{show(value, digits)} {symbol}" if symbol else show(value, digits)


def rounded(value: Decimal, digits: int = 6) -> Decimal:
    """Return a computed value as a verdict stores it: six significant digits, plain notation."""
    if not value:
        return Decimal(0)
    places = digits - 1 - value.adjusted()
    text = f"{value:.{max(0, min(places, 12))}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return Decimal(text)
