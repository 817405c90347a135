"""Arithmetic on amounts: the only home of Pint.

Pint never sees free text: it parses attometres out of '12 amps'.  It gets codes of ``units.txt`` only, through a
registry built from that file, and decimals, so that 24.30 V stays 24.30 V.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import TYPE_CHECKING, Any

from journal.domain.unit_table import symbol_of, unit_table
from journal.errors import BadInput

if TYPE_CHECKING:
    import pint

STANDARD_ATMOSPHERE_PA = 101_325.0  # ISO 2533:1975


@dataclass(frozen=True, slots=True)
class Amount:
    """A decimal and the unit code it was read in."""

    value: Decimal
    unit: str

    def __post_init__(self) -> None:
        if not isinstance(self.value, Decimal) or not self.value.is_finite():
            raise ValueError(f"an amount is a finite decimal, not {self.value!r}")
        if self.unit not in unit_table():
            raise ValueError(f"{self.unit!r} is not a unit of units.txt")

    def __str__(self) -> str:
        return f"{self.value} {symbol_of(self.unit)}"


@cache
def _registry() -> pint.UnitRegistry[Any]:
    import pint

    lines = [unit.definition for unit in unit_table().values() if unit.definition != "="]
    return pint.UnitRegistry(lines, non_int_type=Decimal, cache_folder=None)


def convert(amount: Amount, unit: str) -> Amount:
    """Return the same amount in another unit of its dimension.

    Temperatures convert as temperatures, differences as differences.  Raises ``BadInput`` with the unit's
    name when the dimensions differ.  Gauge and absolute pressures are not converted here: see ``absolute``.
    """
    if amount.unit == unit:
        return amount
    if "psia" in (amount.unit, unit):
        raise BadInput(f"{amount.unit} and {unit} count from different zeros; give the reference instead.")
    import pint

    try:
        quantity = _registry().Quantity(amount.value, amount.unit).to(unit)
    except (pint.DimensionalityError, pint.UndefinedUnitError):
        raise BadInput(
            f"{symbol_of(amount.unit)} cannot be turned into {unit}: they measure different things."
        ) from None
    return Amount(_plain(Decimal(quantity.magnitude)), unit)


def absolute_pascals(amount: Amount, reference: str = "gauge", atmosphere: float = STANDARD_ATMOSPHERE_PA) -> float:
    """Return a pressure as absolute pascals.

    ``reference`` is ``gauge``, ``absolute`` or ``vacuum`` (counted downwards from the atmosphere, as '18 inches of
    vacuum'); ``psia`` and ``micron_Hg`` are absolute whatever it says.  ``atmosphere`` is the local one in pascals.
    """
    if amount.unit == "psia":
        return float(convert(Amount(amount.value, "psi"), "pascal").value)
    pascals = float(convert(amount, "pascal").value)
    if amount.unit == "micron_Hg" or reference == "absolute":
        return pascals
    return atmosphere - pascals if reference == "vacuum" else atmosphere + pascals


def _plain(value: Decimal) -> Decimal:
    """Drop the digits that binary constants put behind the twelfth significant one."""
    return Decimal(f"{value:.12g}") if value else Decimal(0)
