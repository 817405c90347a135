"""Taking out words, sound and parts that must not stay: a bystander, an access code, a private call.

A marker stays (who, when, why), and so does the chain: the ledger holds the salted digest of what was there, which
nobody can guess back, and the blanking holds the digest of what is there now.  Older backups and copies still hold the
words.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from journal.domain.reading import Evidence
from journal.domain.visit import Visit
from journal.errors import BadInput, NotFound
from journal.keep import rows
from journal.keep.ledger import Event
from journal.keep.plain import from_plain
from journal.keep.seals import FRAME, new_salt, seal_of
from journal.keep.visits import next_n

#: what stands for each word that was taken out
MARKER = "[blanked]"
_WITH_EVIDENCE = ("readings", "findings", "work", "notes", "fields")
_WITHOUT = ("attachments", "corrections", "verdicts", "diagnoses")
_KEPT = ("visit", "n", "id", "assessment", *FRAME)


@dataclass(frozen=True, slots=True)
class Taken:
    """What a blanking takes out of a visit: words by utterance (row number -> places), and rows of other tables."""

    words: Mapping[int, frozenset[int]]
    rows: Mapping[str, frozenset[int]]

    @property
    def nothing(self) -> bool:
        return not any(self.words.values()) and not any(self.rows.values())


@dataclass(frozen=True, slots=True)
class Place:
    """Which words: seconds ``start`` to ``end`` of a recording, or words ``first`` to ``last`` of one utterance."""

    recording: str
    start: float | None = None
    end: float | None = None
    utterance: int | None = None
    first: int = 0
    last: int = 0

    def holds(self, utterance: int, place: int, start: float, end: float) -> bool:
        """Whether a word lies in it; a word that is only touched is in it too."""
        if self.utterance is not None:
            return utterance == self.utterance and self.first <= place <= self.last
        assert self.start is not None
        assert self.end is not None
        return start < self.end and end > self.start

    def touches(self, evidence: Evidence) -> bool:
        """Whether something that was said lies in it, wholly or in part."""
        if evidence.recording != self.recording:
            return False
        if self.utterance is not None:
            same = evidence.utterance == self.utterance
            return same and evidence.first <= self.last and evidence.last >= self.first
        assert self.start is not None
        assert self.end is not None
        return evidence.start < self.end and evidence.end > self.start


def seconds_of(visit: Visit, place: Place) -> tuple[float, float] | None:
    """Return the seconds of sound a place covers; ``None`` for typed words."""
    if place.start is not None and place.end is not None:
        if not 0 <= place.start < place.end:
            raise BadInput(f"From {place.start} to {place.end} s is no stretch of a recording.")
        return place.start, place.end
    words = [
        word
        for utterance in visit.utterances
        if utterance.recording == place.recording and utterance.index == place.utterance
        for word in utterance.words[place.first : place.last + 1]
    ]
    if not words:
        raise NotFound(f"{place.recording} has no such words; 'journal show' numbers them.")
    start, end = min(word.start for word in words), max(word.end for word in words)
    return (start, end) if end > start else None


def take(connection: sqlite3.Connection, visit: int, place: Place | None, parts: Iterable[str]) -> Taken:
    """Return what has to go: the words, every part that rests on them, and what was concluded from those."""
    words: dict[int, frozenset[int]] = {}
    gone: dict[str, set[int]] = {table: set() for table in (*_WITH_EVIDENCE, *_WITHOUT)}
    if place is not None:
        words = _words_in(connection, visit, place)
    named, ids = set(parts), set(parts)
    for table in _WITH_EVIDENCE:
        for row in _all(connection, table, visit):
            evidence = from_plain(Evidence, json.loads(row["evidence"])) if row["evidence"] else None
            if row["id"] in named or (place is not None and evidence is not None and place.touches(evidence)):
                gone[table].add(row["n"])
                ids.add(row["id"])
    for table, resting in (("verdicts", ("readings",)), ("diagnoses", ("readings", "verdicts"))):
        for row in _all(connection, table, visit):
            more = json.loads(row["more"])
            if row["id"] in named or any(set(more.get(key, ())) & ids for key in resting):
                gone[table].add(row["n"])
                ids.add(row["id"])
    gone["attachments"] = {row["n"] for row in _all(connection, "attachments", visit) if row["id"] in named}
    for row in _all(connection, "corrections", visit):
        if row["target"] in ids or row["id"] in named:
            gone["corrections"].add(row["n"])
    return Taken(words, {table: frozenset(numbers) for table, numbers in gone.items() if numbers})


def blank_rows(event: Event, number: int, taken: Taken, sound: Mapping[int, Mapping[str, Any]]) -> None:
    """Empty the rows and record their new seals.  ``sound``: recording's row number -> its new file and sha256."""
    connection = event.connection
    changed: list[tuple[str, int, dict[str, Any], dict[str, Any]]] = []
    for n, places in taken.words.items():
        row = _one(connection, "utterances", event.number, n)
        words = [
            {**dict(word), "text": MARKER if word["n"] in places else word["text"]}
            for word in connection.execute(
                "SELECT * FROM words WHERE visit = ? AND utterance = ? ORDER BY n", [event.number, n]
            )
        ]
        changed.append(("utterances", n, {**row, "more": "{}"}, rows.words_part(words)))
    for table, numbers in taken.rows.items():
        empty = _emptying(connection, table)
        changed += [(table, n, {**_one(connection, table, event.number, n), **empty}, {}) for n in sorted(numbers)]
    for n, file in sound.items():
        changed.append(("recordings", n, {**_one(connection, "recordings", event.number, n), **file}, {}))
    after = []
    first = next_n(event, "blanked_rows")
    for place, (table, n, row, covered) in enumerate(changed, first):
        row |= {"salt": new_salt(), "blanked": number}
        seal = seal_of(table, {**row, **covered}, row["salt"]).hex()
        key = {"visit": event.number, "n": place}
        after.append({**key, "blanking": number, "tab": table, "row": n, "seal_after": seal})
    event.add("blanked_rows", after)  # before the rows change: the guards let through what is named here
    for table, n, row, _ in changed:
        _update(connection, table, event.number, n, row)
    for n, places in taken.words.items():
        connection.executemany(
            "UPDATE words SET text = ? WHERE visit = ? AND utterance = ? AND n = ?",
            [(MARKER, event.number, n, word) for word in sorted(places)],
        )


def purge_search(connection: sqlite3.Connection) -> None:
    """Rewrite the full-text index: SQLite before 3.42 leaves removed words in it until then."""
    connection.execute("INSERT INTO findable(findable) VALUES ('optimize')")


def _words_in(connection: sqlite3.Connection, visit: int, place: Place) -> dict[int, frozenset[int]]:
    found: dict[int, set[int]] = {}
    rows_of = connection.execute(
        'SELECT u.n, u.position, w.n AS word, w.start, w."end" FROM utterances u'
        " JOIN words w ON w.visit = u.visit AND w.utterance = u.n WHERE u.visit = ? AND u.recording = ?",
        [visit, place.recording],
    )
    for row in rows_of:
        if place.holds(row["position"], row["word"], row["start"], row["end"]):
            found.setdefault(row["n"], set()).add(row["word"])
    return {n: frozenset(places) for n, places in found.items()}


def _all(connection: sqlite3.Connection, table: str, visit: int) -> list[sqlite3.Row]:
    return connection.execute(f"SELECT * FROM {table} WHERE visit = ? AND blanked IS NULL", [visit]).fetchall()


def _one(connection: sqlite3.Connection, table: str, visit: int, n: int) -> dict[str, Any]:
    return dict(connection.execute(f"SELECT * FROM {table} WHERE visit = ? AND n = ?", [visit, n]).fetchone())


def _emptying(connection: sqlite3.Connection, table: str) -> dict[str, Any]:
    """What each column of a blanked row holds: nothing, or the emptiest value a filled one may have."""
    nothing: dict[str, Any] = {}
    for column in connection.execute(f"PRAGMA table_info({table})"):
        if column["name"] not in _KEPT:
            filled = {"TEXT": "{}" if column["name"] == "more" else "", "INTEGER": 0, "REAL": 0.0}[column["type"]]
            nothing[column["name"]] = filled if column["notnull"] else None
    return nothing


def _update(connection: sqlite3.Connection, table: str, visit: int, n: int, row: Mapping[str, Any]) -> None:
    names = [name for name in row if name not in ("visit", "n", "event", "seal")]
    places = ", ".join(f'"{name}" = :{name}' for name in names)
    connection.execute(f"UPDATE {table} SET {places} WHERE visit = :visit AND n = :n", {**row, "visit": visit, "n": n})
