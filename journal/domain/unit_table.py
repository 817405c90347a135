"""The closed list of units, read once from ``units.txt``; what a unit is called, and what it can measure.

Arithmetic with units is ``journal.units``; this module is plain data and imports in no time.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources

from journal.domain.kind import Kind


@dataclass(frozen=True, slots=True)
class Unit:
    """One line of ``units.txt``."""

    code: str
    symbol: str
    ucum: str
    kinds: tuple[Kind, ...]
    definition: str


@cache
def unit_table() -> dict[str, Unit]:
    """Return every unit by its code, in the file's order."""
    text = resources.files("journal.domain").joinpath("units.txt").read_text(encoding="utf-8")
    table: dict[str, Unit] = {}
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        code, symbol, ucum, kinds, definition = (part.strip() for part in line.split("|"))
        if code in table:
            raise ValueError(f"units.txt names {code} twice")
        table[code] = Unit(code, symbol, ucum, tuple(Kind(k.strip()) for k in kinds.split(",")), definition)
    return table


def symbol_of(code: str | None) -> str:
    """Return what stands behind a number on paper: ``microfarad`` -> ``µF``; nothing for no unit."""
    return unit_table()[code].symbol if code else ""


def ucum_of(code: str | None) -> str | None:
    """Return the UCUM code of a unit, for exports."""
    return unit_table()[code].ucum if code else None


def can_measure(code: str, kind: Kind) -> bool:
    """Return whether a unit fits a kind of quantity."""
    return kind in unit_table()[code].kinds
