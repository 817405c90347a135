"""Readings as CSV (RFC 4180): one row each, opens right in a spreadsheet, and no cell of it is ever a formula."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

from journal.domain.reading import Alternative, Reading
from journal.domain.unit_table import symbol_of, ucum_of
from journal.domain.visit import Visit

COLUMNS = (
    "visit", "visit_started", "recording", "start_s", "end_s", "equipment", "component", "points", "kind", "value",
    "low", "high", "state", "unit", "ucum", "role", "phase", "conditions", "trend", "reference", "held_for_s",
    "instrument", "about", "withdrawn", "needs_listening", "doubts", "may_have_been", "said", "confidence", "reading",
    "store_digest",
)  # fmt: skip

#: A spreadsheet reads text that begins like this as a formula (OWASP, 'CSV Injection'); full-width signs count too.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
BYTE_ORDER_MARK = "\ufeff"  # without it, spreadsheets on Windows read µF and Ω in another character set


def readings_csv(visit: Visit, head: str = "") -> str:
    """Return every reading of a visit, the withdrawn ones too, as CSV text with a header row and CRLF line ends.

    Numbers stand as they were said; the last column holds ``head``, the digest of the store.  Text that a
    spreadsheet would take for a formula gets an apostrophe before it.
    """
    stream = io.StringIO()
    stream.write(BYTE_ORDER_MARK)
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for reading in visit.readings:
        row = {**_row(visit, reading), "store_digest": head}
        writer.writerow([cell(row[column]) for column in COLUMNS])
    return stream.getvalue()


def _row(visit: Visit, reading: Reading) -> dict[str, object]:
    heard = reading.evidence
    return {
        "visit": visit.code,
        "visit_started": visit.started,
        "recording": heard and heard.recording,
        "start_s": heard and round(heard.start, 3),
        "end_s": heard and round(heard.end, 3),
        "equipment": reading.equipment,
        "component": reading.component,
        "points": " to ".join(reading.points),
        "kind": reading.kind.value,
        "value": reading.value,
        "low": reading.low,
        "high": reading.high,
        "state": reading.state and reading.state.value,
        "unit": symbol_of(reading.unit),
        "ucum": ucum_of(reading.unit),
        "role": reading.role.value,
        "phase": reading.phase.value,
        "conditions": ", ".join(reading.conditions),
        "trend": reading.trend and reading.trend.value,
        "reference": reading.reference and reading.reference.value,
        "held_for_s": reading.held_for,
        "instrument": reading.instrument,
        "about": "yes" if reading.hedged else "",
        "withdrawn": "yes" if reading.withdrawn else "",
        "needs_listening": "yes" if reading.needs_listening else "",
        "doubts": "; ".join(doubt.why for doubt in reading.doubts),
        "may_have_been": "; ".join(_other(other) for other in reading.alternatives),
        "said": heard and heard.said,
        "confidence": heard and round(heard.confidence, 3),
        "reading": reading.id,
    }


def _other(other: Alternative) -> str:
    parts = (other.value, symbol_of(other.unit), other.kind, other.state)
    return " ".join(str(part) for part in parts if part is not None and part != "")


def cell(value: object) -> str:
    """Return a value as a cell that no spreadsheet takes for a formula."""
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, float):
        return format(value, "g") if abs(value) < 1e5 else str(value)
    text = str(value)
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_STARTS) else text
