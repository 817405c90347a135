"""Handing a visit on: files for people, JSON for programs (read-only, by token), and the description of both."""

from __future__ import annotations

import hashlib
import json
from functools import cache
from importlib import resources
from typing import Any

from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

import journal
from journal.domain.verdict import Outcome
from journal.domain.visit import Visit
from journal.errors import BadInput
from journal.keep.corrections import current
from journal.present.export import handed_on, json_text, readings_csv, summary_json, visit_schema, visit_vtt
from journal.present.page import RELEASES, Audience
from journal.present.pdf import Paper, visit_pdf
from journal.present.record import visit_html
from journal.present.web.access import found_visit, person_of, seen_visit, state_of
from journal.present.web.people import Role
from journal.present.web.problems import Refused

MOST = 500


def export(request: Request) -> Response:
    """One visit as a file: record (for the office or a customer), JSON, CSV or captions."""
    kept, form = current(seen_visit(request)), request.path_params["form"]
    head = state_of(request).store.head()
    name, _, ending = form.partition(".")
    if name in ("record", "customer") and ending in ("html", "pdf"):
        if name == "customer" and person_of(request).role is not Role.OFFICE:
            raise Refused(403)
        return _file(*_record(request, kept, customer=name == "customer", form=ending))
    if form == "visit.json":
        text = json_text(handed_on(kept, head=head)) + "\n"
        return _file(text, "application/json", f"{kept.code}.json")
    if form == "readings.csv":
        return _file(readings_csv(kept, head), "text/csv", f"{kept.code}.csv")
    if form == "captions.vtt":
        return _file(visit_vtt(kept, head=head), "text/vtt", f"{kept.code}.vtt")
    raise Refused(404)


def release(request: Request) -> Response:
    """A customer's copy that holds more than usual; what is let out is written down before it leaves."""
    kept, asked = current(seen_visit(request)), request.state.form
    form = "pdf" if asked.get("form") == "pdf" else "html"
    released = frozenset(what for what in RELEASES if asked.get(what) and (what, form) != ("sound", "pdf"))
    content, kind, name = _record(request, kept, customer=True, form=form, released=released)
    if released:
        data = content.encode() if isinstance(content, str) else content
        digest, by = hashlib.sha256(data).hexdigest(), person_of(request).name
        state_of(request).store.record_release(kept.code, released, form=form, sha256=digest, by=by)
    return _file(content, kind, name)


def _record(
    request: Request, kept: Visit, *, customer: bool, form: str, released: frozenset[str] = frozenset()
) -> tuple[str | bytes, str, str]:
    """A visit's record for one reader: the content, its kind and its file's name."""
    store = state_of(request).store
    audience: Audience = "customer" if customer else "office"
    name = f"{kept.code}{'-customer' if customer else ''}.{form}"
    if form == "pdf":
        paper: Paper = "letter" if request.query_params.get("paper") == "letter" else "a4"
        pdf = visit_pdf(kept, audience=audience, paper=paper, released=released, head=store.head())
        return pdf, "application/pdf", name
    sounds = {one.name: store.sound_path(kept, one.name) for one in kept.recordings} if "sound" in released else None
    page = visit_html(kept, audience=audience, sound=sounds, released=released, head=store.head())
    return page, "text/html", name


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
    kept = current(found_visit(request))
    return _json(json_text(handed_on(kept, head=state_of(request).store.head())) + "\n")


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
    # The parts of the export's schema become schemas of this document: a reference starts at the document's root.
    schemas = document["components"]["schemas"]
    visit = json.loads(json_text(visit_schema()).replace('"#/$defs/', '"#/components/schemas/'))
    visit.pop("$schema", None)
    visit.pop("$id", None)
    parts = visit.pop("$defs", {})
    assert not parts.keys() & schemas.keys()
    schemas |= parts
    schemas["Visit"] = visit
    return document


def _json(text: str) -> Response:
    return PlainTextResponse(text, media_type="application/json")


def _file(content: str | bytes, kind: str, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    charset = "; charset=utf-8" if isinstance(content, str) else ""
    return Response(content, media_type=f"{kind}{charset}", headers=headers)
