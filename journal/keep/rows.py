"""Domain type <-> row: the one place where they meet.

A row has columns for what is searched, sorted or compared; every other field of the type stands in ``more`` as JSON,
without those at their default.  A field that is added to a domain type is therefore kept without a change here.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from journal.domain.reading import Reading
from journal.domain.speech import Hypothesis, Utterance, Word
from journal.domain.verdict import Diagnosis, Verdict
from journal.domain.visit import (
    Attachment,
    Blanking,
    Correction,
    Equipment,
    Field,
    Finding,
    Note,
    Recording,
    Visit,
    WorkDone,
)
from journal.keep.plain import from_plain, to_plain, write_json

T = TypeVar("T")
Row = dict[str, Any]


class Cells(Protocol):
    """A row as it comes back: ``sqlite3.Row`` or a dict."""

    def __getitem__(self, name: str, /) -> Any: ...


@dataclass(frozen=True)
class Shape(Generic[T]):
    """How a domain type lies in its table: which fields are columns, and which of these are JSON or real numbers."""

    table: str
    kind: type[T]
    columns: tuple[str, ...]
    json: tuple[str, ...] = ()
    real: tuple[str, ...] = ()

    def row(self, thing: T, **key: Any) -> Row:
        """Return the row of ``thing`` with its key (visit, n...)."""
        plain = to_plain(thing)
        row: Row = dict(key)
        for name in self.columns:
            plain.pop(name, None)
            row[name] = self._cell(name, getattr(thing, name))
        row["more"] = write_json(plain)
        return row

    def thing(self, row: Cells) -> T:
        """Return what lies in a row."""
        plain = json.loads(row["more"])
        for name in self.columns:
            held = row[name]
            if held is not None or name not in self._defaulted():
                plain[name] = json.loads(held) if name in self.json and held is not None else held
        return from_plain(self.kind, plain)

    def _cell(self, name: str, value: Any) -> Any:
        if value is None:
            return None
        if name in self.json:
            return write_json(to_plain(value))
        if name in self.real:
            return float(value) + 0.0  # turns -0.0 into 0.0, as SQLite would
        return int(value) if isinstance(value, bool) else to_plain(value)

    def _defaulted(self) -> set[str]:
        kind: Any = self.kind
        return {f.name for f in dataclasses.fields(kind) if f.default is not dataclasses.MISSING}


VISIT = Shape(
    "visits",
    Visit,
    ("id", "code", "started", "started_from", "made", "title", "technician", "site", "status"),
)
RECORDING = Shape(
    "recordings", Recording, ("name", "file", "original_name", "sha256", "seconds", "started"), real=("seconds",)
)
EQUIPMENT = Shape(
    "equipment",
    Equipment,
    ("name", "type", "maker", "model", "serial", "refrigerant", "charge", "charge_unit", "location", "use"),
)
READING = Shape(
    "readings",
    Reading,
    (
        *("id", "kind", "role", "value", "low", "high", "state", "unit", "component", "points", "equipment", "phase"),
        *("withdrawn", "evidence"),
    ),
    json=("points", "evidence"),
)
FINDING = Shape(
    "findings", Finding, ("id", "what", "component", "equipment", "negated", "evidence"), json=("evidence",)
)
WORK = Shape(
    "work",
    WorkDone,
    ("id", "action", "component", "amount", "unit", "part", "equipment", "done", "evidence"),
    json=("evidence",),
)
NOTE = Shape("notes", Note, ("id", "topic", "text", "evidence"), json=("evidence",))
FIELD = Shape("fields", Field, ("id", "name", "value", "source", "equipment", "evidence"), json=("evidence",))
VERDICT = Shape(
    "verdicts",
    Verdict,
    (
        *("id", "check", "version", "title", "outcome", "authority", "plain", "value", "unit", "equipment"),
        *("component", "phase", "rests_on_doubt"),
    ),
)
DIAGNOSIS = Shape("diagnoses", Diagnosis, ("id", "title", "because", "confirm", "proposed_by", "equipment"))

CORRECTION = Shape("corrections", Correction, ("id", "target", "field", "before", "after", "by", "at", "why"))
ATTACHMENT = Shape(
    "attachments",
    Attachment,
    ("id", "name", "file", "original_name", "sha256", "bytes", "media_type", "caption", "by", "at"),
)
BLANKING = Shape(
    "blankings", Blanking, ("id", "recording", "start", "end", "what", "by", "at", "why"), real=("start", "end")
)

#: field of a visit -> how its parts lie in their table; utterances and verdicts need more than this and stand below
PARTS: dict[str, Shape[Any]] = {
    "recordings": RECORDING,
    "equipment": EQUIPMENT,
    "readings": READING,
    "findings": FINDING,
    "work": WORK,
    "notes": NOTE,
    "fields": FIELD,
    "corrections": CORRECTION,
    "attachments": ATTACHMENT,
    "blankings": BLANKING,
}
#: what stands in tables of its own and so not in the 'more' of the visit's row
_ELSEWHERE = (*PARTS, "utterances", "verdicts", "diagnoses", "cautions")


def visit_row(visit: Visit, number: int) -> Row:
    """Return the row of the visit itself, without its parts."""
    without: dict[str, Any] = dict.fromkeys(_ELSEWHERE, ())
    frame = dataclasses.replace(visit, **without)
    return VISIT.row(frame, visit=number)


def visit_frame(row: Cells) -> Visit:
    """Return the visit of a row, without its parts."""
    return VISIT.thing(row)


def utterance_row(utterance: Utterance, visit: int, n: int) -> Row:
    """Return the row of an utterance, without its words."""
    more = {"alternatives": to_plain(utterance.alternatives)} if utterance.alternatives else {}
    return {
        "visit": visit,
        "n": n,
        "recording": utterance.recording,
        "position": utterance.index,
        "heard_by": utterance.heard_by,
        "more": write_json(more),
    }


def word_rows(utterance: Utterance, visit: int, n: int) -> list[Row]:
    """Return the rows of an utterance's words."""
    return [
        {
            "visit": visit,
            "utterance": n,
            "n": place,
            "text": word.text,
            "start": float(word.start) + 0.0,
            "end": float(word.end) + 0.0,
            "confidence": float(word.confidence) + 0.0,
        }
        for place, word in enumerate(utterance.words)
    ]


def words_part(words: Iterable[Cells]) -> Row:
    """Return what an utterance's seal covers of its words."""
    return {"words": [[word["text"], word["start"], word["end"], word["confidence"]] for word in words]}


def utterance_of_rows(row: Cells, words: Sequence[Cells]) -> Utterance:
    """Return an utterance from its row and the rows of its words, in order."""
    more = json.loads(row["more"])
    return Utterance(
        recording=row["recording"],
        index=row["position"],
        words=tuple(Word(word["text"], word["start"], word["end"], word["confidence"]) for word in words),
        alternatives=tuple(from_plain(Hypothesis, plain) for plain in more.get("alternatives", ())),
        heard_by=row["heard_by"],
    )


def things(shape: Shape[T], rows: Iterable[Cells]) -> tuple[T, ...]:
    """Return what lies in many rows."""
    return tuple(shape.thing(row) for row in rows)
