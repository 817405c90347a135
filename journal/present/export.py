"""What other programs get: JSON (schema in ``schema/visit.schema.json``), CSV and WebVTT."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from importlib import resources
from typing import Any

from journal.domain.speech import Utterance
from journal.domain.verdict import Verdict
from journal.domain.visit import Interpretation, Visit
from journal.errors import BadInput
from journal.present.as_json import as_json, from_json, json_text, json_value
from journal.present.captions import utterances_vtt, visit_vtt
from journal.present.completeness import missing_in
from journal.present.spreadsheet import readings_csv

__all__ = [
    "handed_on",
    "json_text",
    "json_value",
    "readings_csv",
    "readings_json",
    "summary_json",
    "utterances_json",
    "utterances_vtt",
    "verdict_json",
    "visit_from_json",
    "visit_from_text",
    "visit_json",
    "visit_schema",
    "visit_text",
    "visit_vtt",
]

FORMAT = "visit-journal visit"
VERSION = 1
_OF_THE_COPY = ("format", "version", "head", "missing")


def visit_json(visit: Visit) -> dict[str, Any]:
    """Return a visit as the document ``schema/visit.schema.json`` describes; decimals are ``Decimal``.

    ``json_text`` writes it without losing digits.
    """
    return {"format": FORMAT, "version": VERSION, **as_json(visit)}


def handed_on(visit: Visit, *, head: str, missing: bool = True) -> dict[str, Any]:
    """Return a visit's document with what belongs to the copy: the store's digest, and what the record lacks.

    Both are left out of account when the document is read back.
    """
    document = visit_json(visit)
    document["head"] = head
    if missing:
        gaps = missing_in(visit)
        document["missing"] = {"items": as_json(gaps.items), "rules": list(gaps.rules)}
    return document


def visit_text(visit: Visit) -> str:
    """Return a visit as JSON text, with a line end."""
    return json_text(visit_json(visit)) + "\n"


def visit_from_json(document: dict[str, Any]) -> Visit:
    """Return the visit a document describes: the exact inverse of ``visit_json``.  Raises ``BadInput``."""
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise BadInput("This is no visit: it does not say it is one in its member 'format'.")
    if document.get("version") != VERSION:
        raise BadInput(f"This visit has version {document.get('version')!r}; this journal reads {VERSION}.")
    return from_json(Visit, {key: part for key, part in document.items() if key not in _OF_THE_COPY})


def visit_from_text(text: str) -> Visit:
    """Return the visit that JSON text describes, every digit kept.  Raises ``BadInput``."""
    document: dict[str, Any] = json_value(text)
    return visit_from_json(document)


def visit_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of a visit."""
    file = resources.files("journal.present").joinpath("schema/visit.schema.json")
    schema: dict[str, Any] = json_value(file.read_text(encoding="utf-8"))
    return schema


def readings_json(interpretation: Interpretation, verdicts: Sequence[Verdict] = ()) -> dict[str, Any]:
    """Return what was understood and judged, in the shapes a visit has them."""
    document: dict[str, Any] = as_json(interpretation)
    return {**document, "verdicts": as_json(tuple(verdicts))}


def verdict_json(verdict: Verdict) -> dict[str, Any]:
    """Return one verdict in the shape a visit has it."""
    document: dict[str, Any] = as_json(verdict)
    return document


def utterances_json(utterances: Iterable[Utterance]) -> list[dict[str, Any]]:
    """Return timestamped words in the shape a visit has them."""
    return [as_json(utterance) for utterance in utterances]


def summary_json(summary: object) -> dict[str, Any]:
    """Return one line of a list of visits: the members are the fields of the summary."""
    document: dict[str, Any] = as_json(summary)
    return document
