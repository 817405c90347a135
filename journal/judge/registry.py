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
    defrost,
    evacuation,
    heaters,
    insulation,
    leaks,
    legs,
    lines,
    motors,
    parts,
    phases,
    plates,
    relays,
    sensors,
    standing,
    subcooling,
    superheat,
    supply,
    windings,
)
from journal.judge.check import Check

FAMILIES = (
    supply,
    phases,
    plates,
    currents,
    legs,
    capacitors,
    windings,
    motors,
    insulation,
    contacts,
    superheat,
    subcooling,
    cycle,
    lines,
    air,
    boxes,
    heaters,
    defrost,
    controls,
    relays,
    sensors,
    evacuation,
    standing,
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
