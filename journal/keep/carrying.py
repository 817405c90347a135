"""A visit on its way to another store: everything about it as plain values, and what to do where it is known."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, replace
from typing import Any

from journal.domain.visit import Visit
from journal.errors import BadInput
from journal.keep import ledger, rows, visits
from journal.keep.corrections import Assessment, current
from journal.keep.ledger import Line
from journal.keep.plain import to_plain, write_json

#: parts that only ever grow, so that one store's may be the beginning of the other's
_GROWING = (*rows.PARTS, "utterances")
#: what every store decides for itself
_OWN = {"recordings": ("file",), "attachments": ("file",)}


@dataclass(frozen=True, slots=True)
class Carried:
    """A visit with every judging of it and the ledger's lines about it."""

    store: str
    head: str
    visit: Visit
    assessments: tuple[Assessment, ...]
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What came of bringing a visit in.

    ``outcome``: ``added``; ``known`` (nothing new in it); ``extended`` (it had more than this store); ``conflict``
    (both changed: nothing was written, ``differences`` says where).
    """

    outcome: str
    code: str
    visit_id: str
    differences: tuple[str, ...] = ()


def carry_out(connection: sqlite3.Connection, code: str) -> Carried:
    """Return a visit as it goes into a bundle."""
    number = visits.number_of(connection, code)
    visit = visits.read_visit(connection, number)
    return Carried(
        ledger.store_id(connection),
        ledger.head(connection).hex(),
        replace(visit, verdicts=(), diagnoses=(), cautions=()),
        visits.read_assessments(connection, number),
        ledger.lines_of(connection, number),
    )


def checked(carried: Carried) -> Carried:
    """Return what was brought, or raise ``BadInput`` for what no journal would have written."""
    visit = carried.visit
    if not carried.assessments or visit.verdicts or visit.diagnoses or visit.cautions:
        raise BadInput("it holds no judging of the visit")
    for name in visits.ENTERED:
        if any(not part.id for part in getattr(visit, name)):
            raise BadInput(f"{name} without ids")
    current(visit)  # its corrections fit together
    return carried


def compare(ours: Carried, theirs: Carried) -> tuple[str, tuple[str, ...]]:
    """Return ``known``, ``extended`` or ``conflict``, with the differences of a conflict."""
    differences = []
    newer = older = False
    bare = dict.fromkeys(_GROWING, ())
    frames = [to_plain(replace(side.visit, code="", **bare)) for side in (ours, theirs)]  # type: ignore[arg-type]
    if frames[0] != frames[1]:
        fields = sorted(k for k in frames[0] | frames[1] if frames[0].get(k) != frames[1].get(k))
        differences.append(f"the visit itself: {', '.join(fields)}")
    for name in (*_GROWING, "assessments"):
        own, other = (_plain_parts(side, name) for side in (ours, theirs))
        shared = min(len(own), len(other))
        if own[:shared] != other[:shared]:
            differences.append(f"{name}: changed here and there")
        newer |= len(other) > shared
        older |= len(own) > shared
    if newer and older:
        differences.append("both stores have added to it since")
    if differences:
        return "conflict", tuple(differences)
    return ("extended" if newer else "known"), ()


def write_new(connection: sqlite3.Connection, carried: Carried, by: str) -> Visit:
    """Write a visit that is not here yet.  Needs the write transaction; its files lie in their place."""
    event = ledger.next_event(connection)
    written = visits.insert_frame(connection, carried.visit, event)
    visits.add_parts(event, written)
    _add_judgings(event, carried.assessments)
    return _finish(event, carried, "brought in", by)


def write_more(connection: sqlite3.Connection, number: int, ours: Carried, theirs: Carried, by: str) -> Visit:
    """Append what a visit that is here already lacks."""
    event = ledger.next_event(connection, number)
    more: dict[str, Any] = {name: getattr(theirs.visit, name)[len(getattr(ours.visit, name)) :] for name in _GROWING}
    visits.add_parts(event, Visit(theirs.visit.id, ours.visit.code, **more))
    _add_judgings(event, theirs.assessments[len(ours.assessments) :])
    return _finish(event, theirs, "brought up to date", by)


def _add_judgings(event: ledger.Event, judgings: tuple[Assessment, ...]) -> None:
    for made in judgings:
        visits.add_assessment(event, made.verdicts, made.diagnoses, made.cautions, at=made.at)


def _finish(event: ledger.Event, carried: Carried, action: str, by: str) -> Visit:
    origin = {"visit": event.number, "n": visits.next_n(event, "origins"), "store": carried.store, "head": carried.head}
    event.add("origins", [{**origin, "lines": write_json(to_plain(carried.lines))}])
    event.close(action, by, f"from store {carried.store}")
    return visits.read_visit(event.connection, event.number)


def _plain_parts(side: Carried, name: str) -> list[Any]:
    parts = [to_plain(part) for part in (side.assessments if name == "assessments" else getattr(side.visit, name))]
    for part in parts:
        for own in _OWN.get(name, ()):
            part.pop(own, None)
    return parts
