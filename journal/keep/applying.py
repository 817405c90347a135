"""Corrections laid over a visit: what stands now; the original stays below."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import groupby
from typing import Any

from journal.domain.reading import Reading
from journal.domain.visit import Equipment, Field, Visit
from journal.errors import BadInput, NotFound
from journal.keep.wording import from_text

CONFIRMED = "confirmed"
NOT_A_READING = "not a reading"
#: who changes nothing of what a person settled
JOURNAL = "journal"
CORRECTABLE = ("readings", "findings", "work", "notes", "fields")
AMOUNT = ("value", "low", "high", "state", "unit", "kind")


def current(visit: Visit) -> Visit:
    """Return the visit with its corrections applied, in their order; the corrections stay listed in it.

    Readings somebody called 'not a reading' are withdrawn; doubts somebody settled are gone; verdicts are as last made.
    """
    corrected = visit
    for (target, _, by), group in groupby(visit.corrections, key=lambda c: (c.target, c.at, c.by)):
        after = {correction.field: correction.after for correction in group}
        corrected = _applied(corrected, target, by, after)
        if after.get(CONFIRMED) == "no":
            corrected = _doubted_again(corrected, visit, target)
    return corrected


def machine_of_field(visit: Visit, field: str) -> tuple[Equipment, str]:
    """Return the machine and its field that ``equipment/NAME/FIELD`` names.  Raises ``NotFound``, ``BadInput``."""
    name, _, detail = field.removeprefix("equipment/").rpartition("/")
    machine = next((machine for machine in visit.equipment if machine.name == name), None)
    if machine is None:
        names = ", ".join(machine.name for machine in visit.equipment) or "none"
        raise NotFound(f"The visit has no machine {name!r}; it has: {names}.")
    if detail != CONFIRMED and (detail not in Equipment.__dataclass_fields__ or detail == "name"):
        raise BadInput(f"A machine has no {detail!r} to correct.")
    return machine, detail


def _applied(visit: Visit, target: str, by: str, after: Mapping[str, str]) -> Visit:
    if target == visit.id:
        return _visit_applied(visit, after)
    for field in CORRECTABLE:
        parts = getattr(visit, field)
        for place, part in enumerate(parts):
            if part.id == target:
                changed: Any = (*parts[:place], _part_applied(part, by, after), *parts[place + 1 :])
                return replace(visit, **{field: changed})
    return visit  # an overruling, or something that was blanked since


def _doubted_again(corrected: Visit, visit: Visit, target: str) -> Visit:
    """A confirmation that is taken back brings the doubts back that the reading came with."""
    first = {reading.id: reading for reading in visit.readings}
    readings = tuple(
        replace(one, doubts=first[one.id].doubts, alternatives=first[one.id].alternatives) if one.id == target else one
        for one in corrected.readings
    )
    return replace(corrected, readings=readings)


def _visit_applied(visit: Visit, after: Mapping[str, str]) -> Visit:
    for field, text in after.items():
        if field.startswith("equipment/"):
            changed = _machine_applied(*(machine := machine_of_field(visit, field)), text)
            visit = replace(visit, equipment=tuple(changed if m is machine[0] else m for m in visit.equipment))
        else:
            visit = replace(visit, **{field: from_text(Visit, field, text)})
    return visit


def _machine_applied(machine: Equipment, detail: str, text: str) -> Equipment:
    """A plate's field that somebody put right is no longer doubted; 'confirmed' settles all of them."""
    if detail == CONFIRMED:
        return replace(machine, doubts=() if text == "yes" else machine.doubts)
    changed: dict[str, Any] = {detail: from_text(Equipment, detail, text)}
    doubts = tuple(doubt for doubt in machine.doubts if not (doubt.code == "spelled" and f" {detail} " in doubt.why))
    return replace(machine, doubts=doubts, **changed)


def _part_applied(part: Any, by: str, after: Mapping[str, str]) -> Any:
    special = (CONFIRMED, NOT_A_READING)
    changes = {field: from_text(type(part), field, text) for field, text in after.items() if field not in special}
    if isinstance(part, Reading):
        if after.get(NOT_A_READING) is not None:
            changes["withdrawn"] = after[NOT_A_READING] == "yes"
        settled = after.get(CONFIRMED) == "yes" or any(field in after for field in AMOUNT)
        number = any(changes.get(field, getattr(part, field)) is not None for field in ("value", "low", "high"))
        if settled and by != JOURNAL and (changes.get("unit", part.unit) is not None or not number):
            changes |= {"doubts": (), "alternatives": ()}
    if isinstance(part, Field) and by != JOURNAL and (after.get(CONFIRMED) == "yes" or "value" in after):
        changes["doubts"] = ()
    try:
        return replace(part, **changes)
    except ValueError as error:
        raise BadInput(f"That does not fit together: {error}.") from None
