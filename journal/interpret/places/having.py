"""Which kinds of reading a part can have."""

from __future__ import annotations

from journal.domain.kind import Kind
from journal.domain.unit_table import can_measure
from journal.interpret.vocabulary import table

ELECTRICAL = (Kind.VOLTAGE, Kind.CURRENT, Kind.RESISTANCE, Kind.FREQUENCY, Kind.POWER)
AT_TERMINALS = (*ELECTRICAL, Kind.CAPACITANCE)
OF_THE_SYSTEM = (Kind.SUPERHEAT, Kind.SUBCOOLING, Kind.SATURATION_TEMPERATURE, Kind.MASS)


def shows(component: str, kind: Kind) -> bool:
    """Return whether numbers of this kind are said at a part without their unit."""
    entries = table("components")[component].get("unsaid", ())
    return any(can_measure(entry["unit"], kind) for entry in entries)


def can_have(component: str, kind: Kind) -> bool:
    """Return whether a component that was only carried over can have a reading of this kind."""
    body = table("components")[component]
    if shows(component, kind) or kind.value in body.get("also_has", ()):
        return True
    if kind is Kind.CAPACITANCE or kind in OF_THE_SYSTEM:
        return False
    electrical = body.get("electrical") or any(shows(component, other) for other in ELECTRICAL)
    return bool(electrical) == (kind in ELECTRICAL) and "capacitor" not in component
