"""Find visits: full text over narration, findings, work and notes, and filters beside it."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import dataclass

from journal.domain.verdict import Outcome
from journal.errors import BadInput
from journal.keep import typed
from journal.keep.overview import VisitSummary, summary

#: cutting out the words around a place takes longer than finding it
_MOST_SNIPPETS = 50


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
    """Return the visits that fit, the latest first.  Raises ``BadInput`` for no words, or no day."""
    where, values = conditions(wanted)
    match = None
    if wanted.text is not None:
        match = match_of(wanted.text)
        where += " AND o.visit IN (SELECT rowid FROM findable WHERE findable MATCH ?)"
        values.append(match)
    rows = connection.execute(
        f"SELECT o.* FROM overview o WHERE {where} ORDER BY o.moment DESC, o.visit DESC LIMIT ?",
        [*values, wanted.limit or -1],
    ).fetchall()
    found = _snippets(connection, match, [row["visit"] for row in rows[:_MOST_SNIPPETS]]) if match else {}
    return [summary(row, found.get(row["visit"], "")) for row in rows]


def _snippets(connection: sqlite3.Connection, match: str, visits: list[int]) -> dict[int, str]:
    """The words around the place where each visit was found, in one walk: beginning a search anew costs most."""
    if not visits:
        return {}
    rows = connection.execute(
        "SELECT rowid, snippet(findable, -1, '[', ']', '…', 12) FROM findable WHERE findable MATCH ?"
        " AND rowid BETWEEN ? AND ? AND +rowid IN (SELECT value FROM json_each(?))",
        [match, min(visits), max(visits), json.dumps(visits)],
    )
    return {row[0]: row[1] for row in rows}


def match_of(text: str) -> str:
    """Return what was typed as a full-text expression in which no character means anything special."""
    words = ["".join(c if c.isprintable() and c != '"' else " " for c in word).strip() for word in text.split()]
    quoted = [f'"{word}"' for word in words if any(character.isalnum() for character in word)]
    if not quoted:
        raise BadInput("Say what to look for: at least one word or number.")
    return " ".join(quoted) + "*"


def conditions(wanted: Wanted) -> tuple[str, list[object]]:
    """Return the condition on ``overview o`` that the filters make, and its values; the text is left to ``find``.

    Raises ``BadInput`` for a day that is none.
    """
    for what, named in (("since", wanted.since), ("until", wanted.until)):
        if named is not None:
            typed.day(f"{what!r}", named)
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
    where = " AND ".join(condition for condition, _ in used) or "1"
    return where, [value for _, values in used for value in values]


def _part(text: str | None) -> str:
    escaped = (text or "").replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
    return f"%{escaped}%"
