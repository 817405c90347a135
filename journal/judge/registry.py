"""All checks by name, family by family."""

from __future__ import annotations

from journal.judge import (
    air,
    boxes,
    capacitors,
    contacts,
    controls,
    currents,
    cycle,
    evacuation,
    heaters,
    insulation,
    leaks,
    parts,
    sensors,
    superheat,
    supply,
    windings,
)
from journal.judge.check import Check

FAMILIES = (
    supply,
    currents,
    capacitors,
    windings,
    insulation,
    contacts,
    superheat,
    cycle,
    air,
    boxes,
    heaters,
    controls,
    sensors,
    evacuation,
    leaks,
    parts,
)


def _collect() -> dict[str, Check]:
    found: dict[str, Check] = {}
    for family in FAMILIES:
        for check in family.CHECKS:
            if check.name in found:
                raise ValueError(f"two checks are called {check.name}")
            found[check.name] = check
    return found


CHECKS: dict[str, Check] = _collect()
