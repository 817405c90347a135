"""The caches that make visits found: one line for each visit, its machines, and its words for full-text search.

Made from the visit as it stands now (corrections applied) in the transaction that changes it, and made again from the
covered tables at any time; they are not covered by the ledger.
"""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass

from journal.domain.verdict import Outcome
from journal.domain.visit import Visit
from journal.keep.ledger import insert
from journal.keep.plain import write_json


@dataclass(frozen=True, slots=True)
class VisitSummary:
    """A visit on one line.  Outcomes count the verdicts of the last judging; ``doubtful`` the readings to listen to."""

    id: str
    code: str
    started: str | None
    made: str
    title: str
    technician: str | None
    site: str | None
    status: str
    complaint: str
    machines: tuple[str, ...]
    seconds: float
    readings: int
    doubtful: int
    corrected: int
    outcomes: dict[Outcome, int]
    found: str = ""  # where a search found it: the words around, those looked for in [brackets]

    @property
    def worst(self) -> Outcome | None:
        """The outcome to look at first."""
        order = (Outcome.OUTSIDE, Outcome.MARGINAL, Outcome.UNDETERMINED, Outcome.WITHIN)
        return next((outcome for outcome in order if self.outcomes[outcome]), None)


def refresh(connection: sqlite3.Connection, number: int, visit: Visit) -> None:
    """Make the caches of a visit again; ``visit`` has its corrections applied."""
    for table in ("overview", "machines"):
        connection.execute(f"DELETE FROM {table} WHERE visit = ?", [number])
    connection.execute("DELETE FROM findable WHERE rowid = ?", [number])
    insert(connection, "overview", [_line(number, visit)])
    insert(
        connection,
        "machines",
        [
            {
                "visit": number,
                "n": n,
                "name": machine.name,
                "serial": machine.serial,
                "site": visit.site,
                "maker": machine.maker,
                "model": machine.model,
            }
            for n, machine in enumerate(visit.equipment)
        ],
    )
    insert(connection, "findable", [{"rowid": number, **_words(visit)}])


def summary(row: sqlite3.Row, found: str = "") -> VisitSummary:
    """Return the summary in a row of ``overview``."""
    return VisitSummary(
        id=row["id"],
        code=row["code"],
        started=row["started"],
        made=row["made"],
        title=row["title"],
        technician=row["technician"],
        site=row["site"],
        status=row["status"],
        complaint=row["complaint"],
        machines=tuple(json.loads(row["machines"])),
        seconds=row["seconds"],
        readings=row["readings"],
        doubtful=row["doubtful"],
        corrected=row["corrected"],
        outcomes={outcome: row[outcome.value] for outcome in Outcome},
        found=found,
    )


def _line(number: int, visit: Visit) -> dict[str, object]:
    held = [reading for reading in visit.readings if not reading.withdrawn]
    return {
        "visit": number,
        "id": visit.id,
        "code": visit.code,
        "moment": visit.started or visit.made,
        "started": visit.started,
        "made": visit.made,
        "title": visit.title,
        "technician": visit.technician,
        "site": visit.site,
        "status": visit.status,
        "complaint": visit.complaint,
        "machines": write_json([machine.name for machine in visit.equipment]),
        "seconds": float(sum(recording.seconds for recording in visit.recordings)),
        "readings": len(held),
        "doubtful": sum(reading.needs_listening for reading in held),
        "corrected": len({correction.target for correction in visit.corrections}),
        **{outcome.value: sum(verdict.outcome is outcome for verdict in visit.verdicts) for outcome in Outcome},
    }


def _words(visit: Visit) -> dict[str, str]:
    """What full-text search looks through, by column."""
    machines = [
        part
        for machine in visit.equipment
        for part in (machine.name, machine.type, machine.maker, machine.model, machine.serial, machine.location)
        if part
    ]
    return {
        "narration": "\n".join(utterance.text for utterance in visit.utterances),
        "findings": "\n".join(_phrase("no" if f.negated else None, f.component, f.what) for f in visit.findings),
        "work": "\n".join(_phrase(work.action, work.component, work.part) for work in visit.work),
        "notes": "\n".join((*(note.text for note in visit.notes), *(field.value for field in visit.fields))),
        "machine": "\n".join((visit.title, visit.site or "", visit.technician or "", *machines)),
    }


def _phrase(*parts: str | None) -> str:
    return " ".join(part for part in parts if part)
