"""Visits go in as a whole and come out as they went in."""

from __future__ import annotations

import json
import sqlite3
import uuid
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from journal.domain.ids import new_id
from journal.domain.speech import Utterance
from journal.domain.verdict import Diagnosis, Verdict
from journal.domain.visit import Visit
from journal.errors import BadInput, NotFound
from journal.keep import rows
from journal.keep.codes import is_code, looks_like_code, new_code, tidy_code
from journal.keep.corrections import Assessment
from journal.keep.files import copy_in, fit_name, suffix_of
from journal.keep.ledger import Event, insert, now
from journal.keep.plain import write_json

P = TypeVar("P")
#: parts that people and recordings enter; each has an id of its own in the visit
ENTERED = ("readings", "findings", "work", "notes", "fields")
#: the status in the row of a visit that was begun by speaking, while it is spoken, and from its first judging on
SPOKEN, OPEN, COMPLETE = "spoken", "open", "complete"
_WITH_IDS = (*ENTERED, "verdicts", "diagnoses")


def completed(visit: Visit, sounds: Mapping[str, Path]) -> Visit:
    """Return the visit with the ids, moment and file names it lacks.  Raises ``BadInput`` for what cannot be stored."""
    try:
        visit_id = str(uuid.UUID(visit.id)) if visit.id else new_id()
    except ValueError:
        raise BadInput(f"A visit's id is a UUID, not {visit.id!r}.") from None
    names = [recording.name for recording in visit.recordings]
    if len(set(names)) < len(names) or set(names) != set(sounds):
        raise BadInput(f"Every recording of a visit needs one file of sound: {names} against {sorted(sounds)}.")
    recordings = tuple(
        replace(recording, file=sound_file(visit_id, recording.name, sounds[recording.name]))
        for recording in visit.recordings
    )
    if len({recording.file for recording in recordings}) < len(recordings):
        raise BadInput(f"The names of a visit's recordings are too much alike to be files: {names}.")
    parts: dict[str, Any] = {name: with_ids(getattr(visit, name)) for name in _WITH_IDS}
    return replace(visit, id=visit_id, made=visit.made or now(), recordings=recordings, **parts)


def sound_file(visit_id: str, name: str, source: Path) -> str:
    """Return where a recording of a visit is kept, as a path below the store's folder."""
    return f"recordings/{visit_id}/{fit_name(name)}{suffix_of(source.name)}"


def with_ids(parts: tuple[Any, ...]) -> tuple[Any, ...]:
    """Return parts of a visit, each with an id, none twice.  Raises ``BadInput``."""
    filled = tuple(part if part.id else replace(part, id=new_id()) for part in parts)
    if len({part.id for part in filled}) < len(filled):
        raise BadInput("Two parts of the visit carry the same id; each reading, finding and verdict has its own.")
    return filled


def copy_sounds(folder: Path, visit: Visit, sounds: Mapping[str, Path]) -> Visit:
    """Copy the sound of every recording in and return the visit with the files' hashes.

    Raises ``BadInput`` when a file is not the one that was heard.
    """
    recordings = []
    for recording in visit.recordings:
        digest = copy_in(sounds[recording.name], folder, recording.file)
        if recording.sha256 and recording.sha256 != digest:
            raise BadInput(f"{sounds[recording.name]} changed after it was heard; run the command again.")
        recordings.append(replace(recording, sha256=digest))
    return replace(visit, recordings=tuple(recordings))


def refuse_known(connection: sqlite3.Connection, visit_id: str) -> None:
    """Raise ``BadInput`` when a visit with this id is in the store."""
    if found := connection.execute("SELECT code FROM visits WHERE id = ?", [visit_id]).fetchone():
        raise BadInput(f"The visit {visit_id} is in the store already; its code is {found[0]}.")


def insert_visit(connection: sqlite3.Connection, visit: Visit, event: Event) -> Visit:
    """Write the rows of a new visit and return it with its code.  Needs the write transaction."""
    visit = insert_frame(connection, visit, event)
    add_parts(event, visit)
    add_assessment(event, visit.verdicts, visit.diagnoses, visit.cautions)
    return visit


def insert_frame(connection: sqlite3.Connection, visit: Visit, event: Event) -> Visit:
    """Write the row of a new visit without its parts; return the visit with its code."""
    refuse_known(connection, visit.id)
    if not is_code(visit.code) or _code_taken(connection, visit.code):
        visit = replace(visit, code=new_code(lambda code: _code_taken(connection, code)))
    (number,) = connection.execute("SELECT coalesce(max(visit), 0) + 1 FROM visits").fetchone()
    event.visit = number
    event.add("visits", [rows.visit_row(visit, number)])
    return visit


def add_parts(event: Event, visit: Visit) -> None:
    """Append the parts that ``visit`` holds (all but verdicts, diagnoses, cautions) to the event's visit."""
    for name, shape in rows.PARTS.items():
        first = next_n(event, shape.table)
        event.add(
            shape.table, [shape.row(part, visit=event.visit, n=n) for n, part in enumerate(getattr(visit, name), first)]
        )
    add_utterances(event, visit.utterances)


def add_utterances(event: Event, utterances: tuple[Utterance, ...]) -> None:
    """Append utterances with their words."""
    first = next_n(event, "utterances")
    words = [rows.word_rows(utterance, event.number, n) for n, utterance in enumerate(utterances, first)]
    event.add(
        "utterances",
        [rows.utterance_row(utterance, event.number, n) for n, utterance in enumerate(utterances, first)],
        [rows.words_part(some) for some in words],
    )
    insert(event.connection, "words", [word for some in words for word in some])


def add_assessment(
    event: Event,
    verdicts: tuple[Verdict, ...],
    diagnoses: tuple[Diagnosis, ...],
    cautions: tuple[str, ...],
    at: str | None = None,
) -> None:
    """Append one judging of the visit, made now unless ``at`` says when; the last one holds."""
    number = next_n(event, "assessments")
    more = write_json({"cautions": list(cautions)})
    event.add("assessments", [{"visit": event.visit, "n": number, "at": at or event.at, "more": more}])
    for shape, parts in ((rows.VERDICT, verdicts), (rows.DIAGNOSIS, diagnoses)):
        first = next_n(event, shape.table)
        event.add(
            shape.table,
            [
                shape.row(part, visit=event.visit, n=n, assessment=number)  # type: ignore[arg-type]
                for n, part in enumerate(parts, first)
            ],
        )


def next_n(event: Event, table: str) -> int:
    """Return the next running number of the event's visit in a table."""
    asked = f"SELECT coalesce(max(n), -1) + 1 FROM {table} WHERE visit = ?"
    return int(event.connection.execute(asked, [event.visit]).fetchone()[0])


def number_of(connection: sqlite3.Connection, code_or_prefix: str) -> int:
    """Return the store's number of a visit.  Raises ``NotFound``, or ``BadInput`` for what names several or none."""
    typed = code_or_prefix.strip()
    if looks_like_code(typed):
        found = connection.execute("SELECT visit FROM visits WHERE code = ?", [tidy_code(typed)]).fetchone()
        if found:
            return int(found[0])
        if len(tidy_code(typed)) >= 6 and not is_code(typed):
            raise NotFound(f"{typed} is no visit's code: one symbol of it is wrong; 'journal visits' lists them.")
        raise NotFound(f"There is no visit {typed}; 'journal visits' lists them.")
    prefix = typed.lower()
    if len(prefix) < 4 or set(prefix) - set("0123456789abcdef-"):
        raise BadInput(f"{typed!r} names no visit; give its short code, or at least four characters of its id.")
    found = connection.execute(
        "SELECT visit, code FROM visits WHERE id >= ? AND id < ? || 'g' ORDER BY id LIMIT 3", [prefix, prefix]
    ).fetchall()
    if not found:
        raise NotFound(f"No visit's id begins with {typed}; 'journal visits' lists them.")
    if len(found) > 1:
        raise BadInput(f"{typed} is the beginning of several ids ({found[0][1]}, {found[1][1]}...); give more of it.")
    return int(found[0][0])


def read_visit(connection: sqlite3.Connection, number: int) -> Visit:
    """Return a visit as it was written, with its last assessment."""
    frame = connection.execute("SELECT * FROM visits WHERE visit = ?", [number]).fetchone()
    parts: dict[str, Any] = {
        name: rows.things(shape, _rows(connection, shape.table, number, name != "recordings"))
        for name, shape in rows.PARTS.items()
    }
    assessment = connection.execute(
        "SELECT * FROM assessments WHERE visit = ? ORDER BY n DESC LIMIT 1", [number]
    ).fetchone()
    verdicts, diagnoses, cautions = read_assessment(connection, assessment) if assessment else ((), (), ())
    visit = rows.visit_frame(frame)
    return replace(
        visit,
        status=(COMPLETE if assessment else OPEN) if visit.status == SPOKEN else visit.status,
        **parts,
        utterances=read_utterances(connection, number),
        verdicts=verdicts,
        diagnoses=diagnoses,
        cautions=cautions,
    )


def is_open(connection: sqlite3.Connection, number: int) -> bool:
    """Return whether a visit is being spoken: it was begun by speaking and has no judging yet."""
    asked = "SELECT status = ? AND NOT EXISTS (SELECT 1 FROM assessments a WHERE a.visit = v.visit) FROM visits v"
    return bool(connection.execute(f"{asked} WHERE v.visit = ?", [SPOKEN, number]).fetchone()[0])


def read_assessment(
    connection: sqlite3.Connection, assessment: rows.Cells
) -> tuple[tuple[Verdict, ...], tuple[Diagnosis, ...], tuple[str, ...]]:
    """Return the verdicts, diagnoses and cautions of one judging."""
    key = [assessment["visit"], assessment["n"]]
    asked = "SELECT * FROM {} WHERE visit = ? AND assessment = ? AND blanked IS NULL ORDER BY n"
    return (
        rows.things(rows.VERDICT, connection.execute(asked.format("verdicts"), key)),
        rows.things(rows.DIAGNOSIS, connection.execute(asked.format("diagnoses"), key)),
        tuple(json.loads(assessment["more"]).get("cautions", ())),
    )


def read_assessments(connection: sqlite3.Connection, number: int) -> tuple[Assessment, ...]:
    """Return every judging of a visit, the first one first."""
    made = connection.execute("SELECT * FROM assessments WHERE visit = ? ORDER BY n", [number]).fetchall()
    return tuple(Assessment(row["at"], *read_assessment(connection, row)) for row in made)


def read_utterances(connection: sqlite3.Connection, number: int) -> tuple[Utterance, ...]:
    """Return what was heard and typed in a visit, in the order it was stored."""
    words: dict[int, list[sqlite3.Row]] = defaultdict(list)
    for word in connection.execute("SELECT * FROM words WHERE visit = ? ORDER BY utterance, n", [number]):
        words[word["utterance"]].append(word)
    return tuple(rows.utterance_of_rows(row, words[row["n"]]) for row in _rows(connection, "utterances", number))


def _rows(connection: sqlite3.Connection, table: str, number: int, whole: bool = False) -> sqlite3.Cursor:
    """The rows of a visit in a table; ``whole``: without those whose content was blanked."""
    only = " AND blanked IS NULL" if whole else ""
    return connection.execute(f"SELECT * FROM {table} WHERE visit = ?{only} ORDER BY n", [number])


def _code_taken(connection: sqlite3.Connection, code: str) -> bool:
    return bool(connection.execute("SELECT 1 FROM visits WHERE code = ?", [code]).fetchone())
