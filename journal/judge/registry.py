"""All checks by name, and a check by hand: values typed on the command line instead of readings of a visit."""

from __future__ import annotations

from journal.judge import boxes, capacitors, contacts, currents, insulation, superheat, supply, windings
from journal.judge.check import Check

_FAMILIES = (supply, currents, capacitors, windings, insulation, contacts, superheat, boxes)


def _collect() -> dict[str, Check]:
    found: dict[str, Check] = {}
    for family in _FAMILIES:
        for check in family.CHECKS:
            if check.name in found:
                raise ValueError(f"two checks are called {check.name}")
            found[check.name] = check
    return found


CHECKS: dict[str, Check] = _collect()
