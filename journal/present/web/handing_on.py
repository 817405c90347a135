"""Handing a visit on: files for people, JSON for programs (read-only, by token), and the description of both."""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import Any

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

import journal
from journal.domain.verdict import Outcome
from journal.errors import BadInput
from journal.keep.corrections import current
from journal.present.export import json_text, readings_csv, summary_json, visit_schema, visit_text, visit_vtt
from journal.present.record import visit_html
from journal.present.web.access import found_visit, person_of, seen_visit, state_of
from journal.present.web.people import Role
from journal.present.web.problems import Refused

MOST = 500


def export(request: Request) -> Response:
    """One visit as a file: record (for the office or a customer), JSON, CSV or captions."""
    kept = seen_visit(request)
    form = request.path_params["form"]
    if form == "record.html":
        return _file(visit_html(current(kept)), "text/html", f"{kept.code}.html")
    if form == "customer.html":
        if person_of(request).role is not Role.OFFICE:
            raise Refused(403)
        return _file(visit_html(current(kept), audience="customer"), "text/html", f"{kept.code}-customer.html")
    if form == "visit.json":
        return _file(visit_text(kept), "application/json", f"{kept.code}.json")
    if form == "readings.csv":
        return _file(readings_csv(current(kept)), "text/csv", f"{kept.code}.csv")
    if form == "captions.vtt":
        return _file(visit_vtt(kept), "text/vtt", f"{kept.code}.vtt")
    raise Refused(404)


def api_visits(request: Request) -> Response:
    """The visits, latest first; the same members as ``journal visits --json``."""
    asked = request.query_params
    outcome = asked.get("outcome")
    if outcome is not None and outcome not in list(Outcome):
        raise BadInput(f"'outcome' is one of: {', '.join(Outcome)}.")
    try:
        limit = int(asked.get("limit", MOST))
    except ValueError:
        raise BadInput("'limit' is a whole number.") from None
    if not 1 <= limit <= MOST:
        raise BadInput(f"'limit' lies between 1 and {MOST}.")
    found = state_of(request).store.visits(
        text=asked.get("text"),
        since=asked.get("since"),
        until=asked.get("until"),
        outcome=Outcome(outcome) if outcome else None,
        limit=limit,
    )
    return _json(json_text({"visits": [summary_json(one) for one in found]}))


def api_visit(request: Request) -> Response:
    """One visit: exactly what ``journal export -f json`` writes."""
    return _json(visit_text(found_visit(request)))


def api_description(request: Request) -> Response:
    """The OpenAPI description; the shape of a visit in it is the export's own schema."""
    return _json(json_text(description()))


@cache
def description() -> dict[str, Any]:
    """Return the OpenAPI 3.1 document."""
    import tomllib

    text = resources.files("journal.present.web").joinpath("openapi.toml").read_text(encoding="utf-8")
    document = tomllib.loads(text)
    document["info"]["version"] = journal.__version__
    schema = dict(visit_schema())
    schema.pop("$schema", None)
    document["components"]["schemas"]["Visit"] = schema
    return document


def _json(text: str) -> Response:
    return PlainTextResponse(text, media_type="application/json")


def _file(text: str, kind: str, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type=f"{kind}; charset=utf-8", headers=headers)
