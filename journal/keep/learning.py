"""What earlier corrections teach: the same mishearing by the same technician is offered, never applied.

A mishearing is a change of one field from one text to another, of the same kind of quantity.  It is told how often it
was made and how often the same value was confirmed instead, so that nobody takes a habit for a rule.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from journal.domain.reading import Reading
from journal.domain.visit import Visit
from journal.keep.corrections import CONFIRMED, JOURNAL, NOT_A_READING, current
from journal.keep.wording import as_text

_FIELDS = ("value", "low", "high", "unit", "kind", "component", "points", "role")


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A change somebody made before in a like place: ``times`` it was made, ``kept`` the same was confirmed instead."""

    reading: str
    field: str
    now: str
    suggested: str
    times: int
    kept: int
    last: str  # UTC

    @property
    def why(self) -> str:
        """One sentence for the person who decides."""
        often = "once before" if self.times == 1 else f"{self.times} times before"
        against = f"; it was confirmed as it is {self.kept} times" if self.kept else ""
        if self.field == NOT_A_READING:
            return f"The same words were called 'not a reading' {often}{against}."
        return f"{self.field} {self.now} was put right to {self.suggested or 'nothing'} {often}{against}."


def suggestions(connection: sqlite3.Connection, visit: Visit) -> tuple[Suggestion, ...]:
    """Return what earlier corrections of the same technician suggest for a visit's readings, the surest first.

    Readings that somebody corrected or confirmed already are left alone.
    """
    now = current(visit)
    touched = {correction.target for correction in visit.corrections}
    found: list[Suggestion] = []
    for reading in now.readings:
        if now.technician and reading.id not in touched and not reading.withdrawn:
            found += _for_reading(connection, now, reading)
    return tuple(sorted(found, key=lambda s: (s.kept - s.times, s.reading, s.field, s.suggested)))


def _for_reading(connection: sqlite3.Connection, visit: Visit, reading: Reading) -> list[Suggestion]:
    made = []
    for field in _FIELDS:
        before = as_text(getattr(reading, field))
        if before:
            made += _like(connection, visit, reading, field, before)
    if reading.evidence and reading.evidence.said:
        made += _like(connection, visit, reading, NOT_A_READING, "no", said=reading.evidence.said)
    return made


def _like(
    connection: sqlite3.Connection, visit: Visit, reading: Reading, field: str, before: str, said: str | None = None
) -> list[Suggestion]:
    asked = (
        "SELECT c.after, count(*) AS times, max(c.at) AS last FROM corrections c"
        " JOIN overview o ON o.visit = c.visit"
        " JOIN readings r ON r.visit = c.visit AND r.id = c.target"
        " WHERE c.field = :field AND c.before = :before AND c.after <> c.before AND c.by <> :journal"
        " AND c.blanked IS NULL AND r.blanked IS NULL AND o.technician = :technician AND o.id <> :visit"
        " AND (r.kind = :kind OR :field = 'kind')"
        " AND (:field <> 'value' OR r.unit IS :unit)"
        " AND (:said IS NULL OR json_extract(r.evidence, '$.said') = :said)"
        " GROUP BY c.after"
    )
    values = {
        "field": field,
        "before": before,
        "journal": JOURNAL,
        "technician": visit.technician,
        "visit": visit.id,
        "kind": str(reading.kind),
        "unit": reading.unit,
        "said": said,
    }
    rows = connection.execute(asked, values).fetchall()
    kept = _kept(connection, visit, reading) if rows and field == "value" else 0
    return [Suggestion(reading.id, field, before, row["after"], row["times"], kept, row["last"]) for row in rows]


def _kept(connection: sqlite3.Connection, visit: Visit, reading: Reading) -> int:
    """How often the same technician's same value was listened to and confirmed."""
    row = connection.execute(
        "SELECT count(*) FROM corrections c JOIN overview o ON o.visit = c.visit"
        " JOIN readings r ON r.visit = c.visit AND r.id = c.target"
        " WHERE c.field = ? AND c.before = 'no' AND c.after = 'yes' AND o.technician = ? AND r.kind = ? AND r.value = ?"
        " AND r.unit IS ? AND r.blanked IS NULL",
        [CONFIRMED, visit.technician, str(reading.kind), as_text(reading.value), reading.unit],
    ).fetchone()
    return int(row[0])
