"""Pages of the office: who may come in and which programs may read, and who did what in the whole store."""

from __future__ import annotations

from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from journal.errors import BadInput
from journal.present.web.access import person_of, state_of, to
from journal.present.web.administering import give_access, make_token, take_access, take_token
from journal.present.web.drawing import page
from journal.present.web.people import LEAST, Role

LINES = 100  # of the ledger on one page


def people_page(request: Request) -> Response:
    """Who may come in, and the programs that may read."""
    return _people(request)


def add_person(request: Request) -> Response:
    """Let somebody in, or give them another name, role and password."""
    state, form = state_of(request), request.state.form
    login, name, password = (str(form.get(part, "")).strip() for part in ("login", "name", "password"))
    role = Role.OFFICE if form.get("role") == Role.OFFICE.value else Role.TECHNICIAN
    if role is not Role.OFFICE and not _others_of_office(request, login):
        raise BadInput("Somebody has to be of the office, or nobody could let the others in.")
    give_access(state.store, state.people, login, name, role, password, by=person_of(request).name)
    return to("/people")


def remove_person(request: Request) -> Response:
    """Take somebody's access away; the last one of the office stays."""
    state, login = state_of(request), str(request.state.form.get("login", ""))
    if not _others_of_office(request, login):
        raise BadInput("Somebody has to be of the office, or nobody could let the others in.")
    take_access(state.store, state.people, login, by=person_of(request).name)
    return to("/people")


def add_program(request: Request) -> Response:
    """Make a token for a program; it is shown on this one page."""
    state, program = state_of(request), str(request.state.form.get("program", "")).strip()
    token = make_token(state.store, state.people, program, by=person_of(request).name)
    return _people(request, program=program, token=token)


def remove_program(request: Request) -> Response:
    state, program = state_of(request), str(request.state.form.get("program", ""))
    take_token(state.store, state.people, program, by=person_of(request).name)
    return to("/people")


def audit(request: Request) -> Response:
    """Who did what, the latest first: visits, and who came in or was let in."""
    asked = {name: value.strip() for name, value in request.query_params.items() if value.strip()}
    before = asked.pop("before", "")
    filters = {name: asked.get(name, "") for name in ("words", "by", "since", "until")}
    found = state_of(request).store.lines(
        **filters, before=int(before) if before.isdecimal() and len(before) < 16 else None, limit=LINES + 1
    )
    shown = found[:LINES]
    older = urlencode({**asked, "before": shown[-1].seq}) if len(found) > LINES else ""
    return page(
        request, "audit.html", lines=shown, asked=asked, older=older, head=state_of(request).store.head(), later=before
    )


def _people(request: Request, program: str = "", token: str = "") -> Response:
    people = state_of(request).people
    return page(
        request, "people.html",
        people=people.all(), programs=people.programs(), program=program, token=token, least=LEAST, roles=list(Role),
    )  # fmt: skip


def _others_of_office(request: Request, login: str) -> bool:
    """Whether somebody else of the office remains."""
    login = login.strip().lower()
    return any(one.role is Role.OFFICE and one.login != login for one in state_of(request).people.all())
