"""Find visits: full text over narration, findings, work and notes, and filters beside it."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from journal.domain.verdict import Outcome
from journal.errors import BadInput
from journal.keep.overview import VisitSummary, summary


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a visit has to be like; what is ``None`` does not matter.

    ``text``: every word must occur, the last may be unfinished.  ``since`` and ``until``: dates or moments, ISO 8601,
    both inclusive.  ``site``, ``technician`` and ``equipment`` (name, serial, maker or model): a part of it, any case.
    ``outcome``: at least one verdict came out like that.  ``open``: not signed off.
    """

    text: str | None = None
    since: str | None = None
    until: str | None = None
    site: str | None = None
    technician: str | None = None
    equipment: str | None = None
    outcome: Outcome | None = None
    doubtful: bool | None = None
    open: bool | None = None
    limit: int | None = None


def find(connection: sqlite3.Connection, wanted: Wanted) -> list[VisitSummary]:
    """Return the visits that fit, the latest first.  Raises ``BadInput`` for a text without words."""
    conditions, values = _conditions(wanted)
    query, found = "SELECT o.*, '' AS found FROM overview o", "1"
    if wanted.text is not None:
        query = (
            "SELECT o.*, snippet(findable, -1, '[', ']', '…', 12) AS found"
            " FROM findable JOIN overview o ON o.visit = findable.rowid"
        )
        conditions.append("findable MATCH ?")
        values.append(match_of(wanted.text))
    where = " AND ".join(conditions) or found
    rows = connection.execute(
        f"{query} WHERE {where} ORDER BY o.moment DESC, o.visit DESC LIMIT ?", [*values, wanted.limit or -1]
    )
    return [summary(row, row["found"]) for row in rows]


def match_of(text: str) -> str:
    """Return what was typed as a full-text expression in which no character means anything special."""
    words = [word.replace('"', " ").strip() for word in text.split()]
    quoted = [f'"{word}"' for word in words if any(character.isalnum() for character in word)]
    if not quoted:
        raise BadInput("Say what to look for: at least one word or number.")
    return " ".join(quoted) + "*"


def _conditions(wanted: Wanted) -> tuple[list[str], list[object]]:
    asked: list[tuple[object, str, list[object]]] = [
        (wanted.since, "o.moment >= ?", [wanted.since]),
        (wanted.until, "o.moment < ?", [f"{wanted.until}~"]),  # '~' sorts behind every digit, colon and Z
        (wanted.site, "o.site LIKE ? ESCAPE '\\'", [_part(wanted.site)]),
        (wanted.technician, "o.technician LIKE ? ESCAPE '\\'", [_part(wanted.technician)]),
        (
            wanted.equipment,
            "EXISTS (SELECT 1 FROM machines m WHERE m.visit = o.visit AND"
            " (m.name || ' ' || coalesce(m.serial, '') || ' ' || coalesce(m.maker, '') || ' ' || coalesce(m.model, ''))"
            " LIKE ? ESCAPE '\\')",
            [_part(wanted.equipment)],
        ),
        (wanted.outcome, f'o."{wanted.outcome}" > 0', []),
        (wanted.doubtful, f"(o.doubtful > 0) = {int(bool(wanted.doubtful))}", []),
        (wanted.open, f"(o.status <> 'closed') = {int(bool(wanted.open))}", []),
    ]
    used = [(condition, values) for value, condition, values in asked if value is not None]
    return [condition for condition, _ in used], [value for _, values in used for value in values]


def _part(text: str | None) -> str:
    escaped = (text or "").replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    return f"%{escaped}%"
