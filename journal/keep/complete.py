"""What a visit's record still lacks, and what it holds for the refrigerant record that rules demand.

Pure functions of a visit as it stands (``corrections.current``); the list itself is ``record_fields.toml``.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from journal.domain.reading import Phase
from journal.domain.unit_table import symbol_of
from journal.domain.visit import Visit, WorkDone


@dataclass(frozen=True, slots=True)
class Lack:
    """Something a complete record would hold: what it is, where it belongs, and when it is needed."""

    name: str
    held_by: str
    when: str


def lacking(visit: Visit) -> tuple[Lack, ...]:
    """Return what the record lacks, in the order of the list."""
    return tuple(
        Lack(part["name"], part["held_by"], part["when"])
        for part in _data()["part"]
        if _needed(visit, part["when"]) and not _held(visit, part["held_by"])
    )


def field_names() -> dict[str, tuple[str, ...]]:
    """Return the usual names of a record's named fields, by group."""
    return {group: tuple(names) for group, names in _data()["fields"].items()}


def refrigerant_work(visit: Visit) -> tuple[WorkDone, ...]:
    """Return the work in which refrigerant was added or recovered."""
    return tuple(work for work in visit.work if work.done and work.action in _data()["refrigerant"])


def moving_actions() -> tuple[str, ...]:
    """Return the actions that move refrigerant."""
    return tuple(_data()["refrigerant"])


def scale_check() -> str:
    """Return the name of the check that reads the cylinder's scale."""
    return str(_data()["scale_check"])


def refrigerant_record(visit: Visit) -> dict[str, str]:
    """Return what the visit holds of a refrigerant record: appliance, date, technician, service, refrigerant, amount,
    full charge, leak rate, certificate.  What is not known is empty; nothing at all when no refrigerant was moved."""
    moved = refrigerant_work(visit)
    if not moved:
        return {}
    named = {field.name: field.value for field in visit.fields}
    machines = {work.equipment for work in moved if work.equipment}
    machine = next((m for m in visit.equipment if m.name in machines or len(visit.equipment) == 1), None)
    amounts = [
        f"{work.action} {work.amount} {symbol_of(work.unit)}".strip() for work in moved if work.amount is not None
    ]
    place = ", ".join(part for part in ((machine.name, machine.location) if machine else ()) if part)
    return {
        "appliance": ", ".join(part for part in (place, visit.site) if part) if machine else "",
        "date": (visit.started or "")[:10],
        "technician": visit.technician or "",
        "service": named.get("service")
        or "; ".join(" ".join(p for p in (w.action, w.component) if p) for w in visit.work),
        "refrigerant": (machine.refrigerant if machine else None) or "",
        "amount": "; ".join(amounts) if len(amounts) == len(moved) else "",
        "full charge": f"{machine.charge} {symbol_of(machine.charge_unit)}".strip()
        if machine and machine.charge
        else "",
        "leak rate": named.get("leak rate", ""),
        "certificate": named.get("certificate", ""),
    }


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(resources.files("journal.keep").joinpath("record_fields.toml").read_text(encoding="utf-8"))


def _needed(visit: Visit, when: str) -> bool:
    done = [work for work in visit.work if work.done]
    if when == "work":
        return bool(done)
    if when == "repair":
        return any(work.action in _data()["repairs"] for work in done)
    if when == "refrigerant":
        return bool(refrigerant_work(visit))
    if when == "billing":
        return _held(visit, "field.work order")
    return True


def _held(visit: Visit, where: str) -> bool:
    part, _, name = where.partition(".")
    if part == "visit":
        return bool(getattr(visit, name))
    if part == "equipment":
        return any(getattr(machine, name) for machine in visit.equipment)
    if part == "note":
        return any(note.topic == name and note.text.strip() for note in visit.notes)
    if part == "field":
        return any(field.name == name and field.value.strip() for field in visit.fields)
    if part == "as left":
        return any(reading.phase is Phase.AS_LEFT and not reading.withdrawn for reading in visit.readings)
    if part == "readings":
        return any(not reading.withdrawn for reading in visit.readings)
    return bool(getattr(visit, part))
