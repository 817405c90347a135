"""Doubts of physics: a range for each kind, part and role, and disagreement with neighbours.

A doubt changes no number; it says that somebody should listen again, and why.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import resources
from typing import Any

from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Reading, Role
from journal.domain.unit_table import can_measure
from journal.domain.visit import Equipment
from journal.judge import neighbours
from journal.judge.limits import default_book
from journal.judge.numbers import LARGEST, in_unit, psig, shown
from journal.judge.select import machines
from journal.judge.surroundings import Surroundings


@dataclass(frozen=True, slots=True)
class Plausible:
    """One range of ``plausible.toml``."""

    kind: Kind
    unit: str
    low: Decimal
    high: Decimal
    components: tuple[str, ...]
    roles: tuple[Role, ...]
    points: bool


@cache
def _data() -> dict[str, Any]:
    text = resources.files("journal.judge").joinpath("plausible.toml").read_text(encoding="utf-8")
    return tomllib.loads(text, parse_float=Decimal)


@cache
def ranges() -> tuple[Plausible, ...]:
    return tuple(
        Plausible(
            Kind(e["kind"]),
            e["unit"],
            Decimal(e["low"]),
            Decimal(e["high"]),
            tuple(e.get("components", ())),
            tuple(Role(r) for r in e.get("roles", ())),
            e.get("points", False),
        )
        for e in _data()["range"]
    )


def plausibility(readings: Sequence[Reading], equipment: Sequence[Equipment] = ()) -> dict[str, tuple[Doubt, ...]]:
    """Return the doubts of physics by reading id; withdrawn readings are left alone."""
    found: dict[str, list[Doubt]] = {}
    for reading in readings:
        if not reading.withdrawn:
            doubt = out_of_range(reading) or out_of_place(reading)
            if doubt:
                found.setdefault(reading.id, []).append(doubt)
    for bench in machines(readings, equipment, (), default_book(), Surroundings()):
        for reading, why in neighbours.disagreements(bench, _data()["neighbours"]):
            doubts = found.setdefault(reading.id, [])
            if not any(d.code == "neighbours" for d in doubts):
                doubts.append(Doubt("neighbours", why))
    return {key: tuple(doubts) for key, doubts in found.items()}


def out_of_range(reading: Reading) -> Doubt | None:
    """Return a doubt when a number lies outside what its kind, part and role can be."""
    bounds = next((r for r in ranges() if _fits(r, reading)), None)
    if bounds is None or reading.unit is None:
        return None
    for value in _numbers(reading):
        if abs(value) > LARGEST:
            return Doubt("implausible", "No instrument shows such a figure; listen again.")
        number = _in(bounds, value, reading)
        if not bounds.low <= number <= bounds.high:
            what = f"{reading.component or 'this'} {reading.kind}" if reading.component else str(reading.kind)
            return Doubt(
                "implausible",
                f"A {what} of {shown(value, reading.unit)} is hardly possible "
                f"({shown(bounds.low, bounds.unit)} to {shown(bounds.high, bounds.unit)}); listen again.",
            )
    return None


def out_of_place(reading: Reading) -> Doubt | None:
    """Return a doubt when a number stands between terminals where no meter shows its kind."""
    told = _data()["terminals"]
    if reading.number is None or not set(reading.points) & set(told["points"]):
        return None
    where, alone = " to ".join(reading.points), len(reading.points) == 1
    between_windings = not alone and set(reading.points) <= set(told["windings"])
    if between_windings and reading.kind.value in told["not_at_windings"]:
        return Doubt("implausible", f"No capacitor has terminals {where}; listen again.")
    if reading.kind.value not in told["kinds"] and not (alone and reading.kind.value in told["at_one"]):
        between = f"at {where}" if alone else f"from {where}"
        return Doubt("implausible", f"No meter reads a {reading.kind} {between}; listen again.")
    if "ground" in reading.points and reading.unit in told["not_to_ground"]:
        return Doubt("implausible", "Whole amperes to ground would trip the breaker; listen again.")
    return None


def _numbers(reading: Reading) -> Iterator[Decimal]:
    yield from (n for n in (reading.value, reading.low, reading.high) if n is not None)


def _in(bounds: Plausible, value: Decimal, reading: Reading) -> Decimal:
    unit = reading.unit or bounds.unit
    if bounds.kind is Kind.PRESSURE and bounds.unit == "psi":
        return psig(value, unit, reading.reference)
    if unit == "psia":
        return in_unit(value, "psi", bounds.unit)
    return in_unit(value, unit, bounds.unit)


_TERMINALS = frozenset(("common", "run", "start", "T1", "T2", "T3"))


def _fits(bounds: Plausible, reading: Reading) -> bool:
    if bounds.kind is not reading.kind or (bounds.components and reading.component not in bounds.components):
        return False
    if bounds.roles and reading.role not in bounds.roles:
        return False
    if reading.unit is not None and not (
        can_measure(bounds.unit, bounds.kind) and _same_dimension(bounds.unit, reading.unit)
    ):
        return False
    return not bounds.points or (len(reading.points) == 2 and set(reading.points) <= _TERMINALS)


@cache
def _same_dimension(one: str, other: str) -> bool:
    from journal.errors import BadInput

    if "psia" in (one, other):
        one, other = ("psi" if unit == "psia" else unit for unit in (one, other))
    try:
        in_unit(Decimal(1), other, one)
    except BadInput:
        return False
    return True
