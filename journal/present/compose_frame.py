"""The frame of a page: who and where, the machines with their plates, papers, and what was taken out."""

from __future__ import annotations

from dataclasses import replace

from journal.domain.reading import Reading
from journal.domain.visit import Attachment, Blanking, Equipment, Field, Visit
from journal.present import wording
from journal.present.page import Machine, Moment, ReadingLine, Said
from journal.present.record_fields import OTHER, labelled

SITE = "site"
EVERY_GROUP = ("customer", "billing", "parts", "refrigerant", "as left", OTHER)


def machines_of(visit: Visit, plate: list[tuple[Reading, ReadingLine]], customer: bool) -> tuple[Machine, ...]:
    machines = []
    names = {machine.name for machine in visit.equipment}
    for number, machine in enumerate(visit.equipment):
        # A plate nobody named a machine for belongs to the first one.
        mine = [line for r, line in plate if r.equipment == machine.name or (number == 0 and r.equipment not in names)]
        own = [fact for fact in visit.fields if fact.equipment == machine.name]
        facts = labelled(own, *EVERY_GROUP, customer=customer)
        fields = (*_fields(machine), *facts)
        mine = [replace(line, equipment="") if line.equipment == machine.name else line for line in mine]
        machines.append(Machine(machine.name, fields, tuple(mine), tuple(doubt.why for doubt in machine.doubts)))
    if not machines and plate:
        machines.append(Machine("", (), tuple(line for _, line in plate), ()))
    return tuple(machines)


def people_of(visit: Visit, customer: bool) -> tuple[tuple[str, str], ...]:
    """Return the frame of the visit, with the named facts that stand in no section of their own."""
    frame = [("Site", visit.site or ""), ("Technician", visit.technician or "")]
    facts = tuple(fact for fact in of_the_visit(visit) if not _is_the_site(fact, visit))
    told = labelled(facts, "customer", OTHER, customer=customer)
    frame += (("Site, as heard" if name == SITE.capitalize() else name, text) for name, text in told)
    frame.append(("Heard by", "" if customer else heard_by_text(visit.listened_with)))
    return tuple((name, text) for name, text in frame if text)


def _is_the_site(fact: Field, visit: Visit) -> bool:
    """A site that was said and is the visit's, or that somebody settled since, needs no line of its own."""
    settled = any(c.target == visit.id and c.field == "site" for c in visit.corrections)
    return fact.name == SITE and (settled or (visit.site is not None and not fact.doubts))


def of_the_visit(visit: Visit) -> tuple[Field, ...]:
    """Return the named facts that are not of one machine: those stand with it."""
    machines = {machine.name for machine in visit.equipment}
    return tuple(fact for fact in visit.fields if fact.equipment not in machines)


def heard_by_text(listeners: tuple[str, ...]) -> str:
    """Say who listened; one listener alone is a warning, because nothing compared its numbers."""
    if len(listeners) == 1:
        return f"one listener ({listeners[0]}): no second one compared its numbers, so listen again to what matters"
    return f"{len(listeners)} listeners ({', '.join(listeners)})" if listeners else ""


def attachment_text(attachment: Attachment) -> str:
    return f"{attachment.caption}: {attachment.original_name}" if attachment.caption else attachment.original_name


def blanked_text(blanking: Blanking) -> Said:
    what = f"{blanking.what} taken out by {blanking.by}, {wording.moment_text(blanking.at)}, because {blanking.why}"
    if blanking.start is None or blanking.end is None:
        return Said(what)
    return Said(what, Moment(blanking.recording, blanking.start, blanking.end, wording.clock(blanking.start), ""))


def _fields(machine: Equipment) -> tuple[tuple[str, str], ...]:
    charge = wording.measure_text(machine.charge, machine.charge_unit)
    fields = (
        ("Type", machine.type if machine.type != machine.name else None),
        ("Maker", machine.maker),
        ("Model", machine.model),
        ("Serial", machine.serial),
        ("Refrigerant", machine.refrigerant),
        ("Full charge", charge),
        ("Place", machine.location),
        ("Use", machine.use),
    )
    return tuple((name, text) for name, text in fields if text)
