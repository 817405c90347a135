"""One machine across its visits: found by serial, or by name and site; its readings of one kind and place over time."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role
from journal.domain.visit import Visit
from journal.errors import BadInput, NotFound
from journal.keep import rows
from journal.keep.corrections import current
from journal.keep.overview import VisitSummary, summary


@dataclass(frozen=True, slots=True)
class Machine:
    """Which machine: its serial alone is enough; a name needs its site when several sites use it.  Any case."""

    serial: str | None = None
    name: str | None = None
    site: str | None = None

    def __str__(self) -> str:
        if self.serial:
            return f"serial {self.serial}"
        return " at ".join(part for part in (self.name, self.site) if part)


@dataclass(frozen=True, slots=True)
class Place:
    """What makes two readings comparable: kind, component, points in any order, role."""

    kind: Kind
    component: str | None
    points: tuple[str, ...]
    role: Role

    def __str__(self) -> str:
        return ", ".join(part for part in (self.component, "-".join(self.points), str(self.kind)) if part)


@dataclass(frozen=True, slots=True)
class Point:
    """One reading of a machine, as it stands after corrections, with the visit it was taken on."""

    visit: str  # code
    moment: str  # UTC; when the visit started, else when it was stored
    reading: Reading


def place_of(reading: Reading) -> Place:
    """Return where a reading belongs; common to run and run to common are one place."""
    return Place(reading.kind, reading.component, tuple(sorted(reading.points)), reading.role)


def machine_of(visit: Visit, name: str | None = None) -> Machine:
    """Return the machine of a visit (the only one, or the one called ``name``) for a look at its history."""
    known = [m for m in visit.equipment if name is None or m.name.lower() == name.lower()]
    if len(known) != 1:
        names = ", ".join(machine.name for machine in visit.equipment) or "none"
        raise BadInput(f"Say which machine of the visit {visit.code} is meant; it has: {names}.")
    (machine,) = known
    return Machine(serial=machine.serial) if machine.serial else Machine(name=machine.name, site=visit.site)


def visits_of(connection: sqlite3.Connection, machine: Machine) -> list[VisitSummary]:
    """Return the visits to a machine, the latest first."""
    where, values = _where(connection, machine)
    found = connection.execute(
        "SELECT * FROM overview WHERE visit IN (SELECT m.visit FROM machines m"
        f" WHERE {where}) ORDER BY moment DESC, visit DESC",
        values,
    )
    return [summary(row) for row in found]


def series(
    connection: sqlite3.Connection,
    machine: Machine,
    *,
    kind: Kind | None = None,
    component: str | None = None,
    points: tuple[str, ...] | None = None,
    role: Role | None = Role.MEASURED,
) -> dict[Place, tuple[Point, ...]]:
    """Return a machine's readings over time by their place, the oldest first; withdrawn ones are left out.

    Raises ``NotFound`` for a machine nobody visited.
    """
    where, values = _where(connection, machine)
    found = connection.execute(
        "SELECT r.*, o.code, o.moment, o.corrected FROM machines m JOIN overview o ON o.visit = m.visit"
        f" JOIN readings r ON r.visit = m.visit WHERE {where} AND r.blanked IS NULL"
        # A corrected reading may belong here only since: those visits are looked at whole.
        " AND (r.kind = ? OR ? IS NULL OR o.corrected > 0)"
        " AND (r.equipment = m.name COLLATE NOCASE OR (r.equipment IS NULL AND"
        " (SELECT count(*) FROM machines other WHERE other.visit = m.visit) = 1))"
        " ORDER BY o.moment, r.visit, r.n",
        [*values, kind, kind],
    ).fetchall()
    by_place: dict[Place, list[Point]] = defaultdict(list)
    for point in _points(connection, found):
        place = place_of(point.reading)
        fits = (
            not point.reading.withdrawn
            and (kind is None or place.kind is kind)
            and (component is None or place.component == component)
            and (points is None or place.points == tuple(sorted(points)))
            and (role is None or place.role is role)
        )
        if fits:
            by_place[place].append(point)
    return {place: tuple(held) for place, held in by_place.items()}


def renewals(connection: sqlite3.Connection, machine: Machine, actions: Iterable[str]) -> dict[str, str]:
    """Return when each component was last renewed by one of ``actions``: component -> the moment of that visit."""
    where, values = _where(connection, machine)
    listed = list(actions)
    found = connection.execute(
        "SELECT w.component, max(o.moment) FROM machines m JOIN overview o ON o.visit = m.visit"
        f" JOIN work w ON w.visit = m.visit WHERE {where} AND w.done = 1 AND w.component IS NOT NULL"
        f" AND w.blanked IS NULL AND w.action IN ({', '.join('?' * len(listed))})"
        " AND (w.equipment IS NULL OR w.equipment = m.name COLLATE NOCASE) GROUP BY w.component",
        [*values, *listed],
    )
    return {row[0]: row[1] for row in found}


def _points(connection: sqlite3.Connection, found: list[sqlite3.Row]) -> Iterable[Point]:
    corrected: dict[int, dict[str, Reading]] = {}
    for row in found:
        reading = rows.READING.thing(row)
        if row["corrected"]:
            number = row["visit"]
            if number not in corrected:
                corrected[number] = _as_they_stand(connection, number)
            reading = corrected[number].get(reading.id, reading)
        yield Point(row["code"], row["moment"], reading)


def _as_they_stand(connection: sqlite3.Connection, number: int) -> dict[str, Reading]:
    """The readings of a visit with their corrections applied, by id."""
    asked = "SELECT * FROM {} WHERE visit = ? AND blanked IS NULL ORDER BY n"
    held = rows.things(rows.READING, connection.execute(asked.format("readings"), [number]))
    made = rows.things(rows.CORRECTION, connection.execute(asked.format("corrections"), [number]))
    ids = {reading.id for reading in held}
    visit = Visit("", "", readings=held, corrections=tuple(c for c in made if c.target in ids))
    return {reading.id: reading for reading in current(visit).readings}


def _where(connection: sqlite3.Connection, machine: Machine) -> tuple[str, list[object]]:
    """The condition on ``machines m`` that picks one machine."""
    if not (machine.serial or machine.name):
        raise BadInput("Say which machine: its serial, or its name and site.")
    conditions, values = [], []
    for column in ("serial", "name", "site"):
        if (wanted := getattr(machine, column)) is not None:
            conditions.append(f"m.{column} = ?")
            values.append(wanted)
    where = " AND ".join(conditions)
    sites = connection.execute(f"SELECT DISTINCT m.site FROM machines m WHERE {where} LIMIT 4", values).fetchall()
    if not sites:
        raise NotFound(f"No visit to {machine} is stored; 'journal visits --equipment' finds names and serials.")
    if machine.serial is None and len(sites) > 1:
        named = ", ".join(str(row[0] or "(no site)") for row in sites)
        raise BadInput(f"Several sites have a {machine.name!r}: {named}; say which site.")
    return where, list(values)
