"""Who may do what: every route names who it is for, and is wrapped by the same checks, in the same order.

Host, log-in, role, size of the body, and for everything that changes something: Origin and the form's token.
"""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from inspect import iscoroutinefunction
from typing import Any
from urllib.parse import quote, urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import HTTPConnection, Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from journal.domain.visit import Visit
from journal.errors import BadInput, NotFound
from journal.keep.corrections import current
from journal.present.web.people import Person, Role
from journal.present.web.problems import Refused
from journal.present.web.sessions import Session
from journal.present.web.state import State

SAFE = {"GET", "HEAD"}
SMALL, LARGE = 64 << 10, 32 << 20
FIELD = "form_token"
HEADER = "x-form-token"

Endpoint = Callable[[Request], Response] | Callable[[Request], Awaitable[Response]]


@dataclass(frozen=True, slots=True)
class Way:
    """One route: ``who`` is ``anyone``, ``person``, ``office`` or ``program``; ``most`` the bytes its body may have."""

    path: str
    endpoint: Endpoint
    who: str = "person"
    methods: tuple[str, ...] = ("GET",)
    most: int = SMALL
    name: str = ""


def state_of(connection: HTTPConnection) -> State:
    state: State = connection.app.state.journal
    return state


def person_of(request: Request) -> Person:
    """Return who asks; only where the route is for people."""
    person: Person = request.state.person
    return person


def found_visit(request: Request) -> Visit:
    """Return the visit an address names; one that names none is not there, whatever it looks like."""
    try:
        return state_of(request).store.visit(request.path_params["code"])
    except BadInput as error:
        raise NotFound(str(error)) from None


def seen_visit(request: Request) -> Visit:
    """Return the visit of the route, if it is for this person to see."""
    kept = found_visit(request)
    if not person_of(request).may_see(current(kept).technician):
        raise Refused(403)
    return kept


def may_hear(request: Request, about: dict[str, Any]) -> bool:
    """Whether a capture that goes on is this person's: their own, or any for the office."""
    person = person_of(request)
    return person.role is Role.OFFICE or about.get("owner", "") == person.login


def route_of(way: Way) -> Route:
    """Return a way as a route with its guard around it."""

    async def guarded(request: Request) -> Response:
        if way.who == "program":
            _admit_program(request)
            return await _call(way.endpoint, request)
        fresh = _find_session(request)
        if way.who != "anyone":
            _admit_person(request, way.who)
        if request.method not in SAFE:
            await _check_change(request, way)
        try:
            response = await _call(way.endpoint, request)
        finally:
            if form := getattr(request.state, "form", None):
                await form.close()
        if fresh:
            set_cookie(response, state_of(request), fresh)
        return response

    return Route(way.path, guarded, methods=list(way.methods), name=way.name or way.path)


def set_cookie(response: Response, state: State, value: str) -> None:
    response.set_cookie(state.cookie, value, httponly=True, secure=state.secure, samesite="lax", path="/")


def same_origin(connection: HTTPConnection) -> bool:
    """Whether a request comes from a page of ours: by Origin, else by Referer; without either it does not."""
    told = connection.headers.get("origin") or connection.headers.get("referer")
    if not told:
        return False
    parts = urlsplit(told)
    scheme = "https" if state_of(connection).secure else "http"
    return parts.scheme == scheme and parts.netloc == connection.headers.get("host")


def known_host(connection: HTTPConnection) -> bool:
    """Whether the request names this server by a name it answers to: a page elsewhere may bend its own name to us."""
    host = urlsplit(f"//{connection.headers.get('host', '')}").hostname or ""
    return host in state_of(connection).hosts or f"[{host}]" in state_of(connection).hosts


def session_of(connection: HTTPConnection) -> Session | None:
    """Return the session a connection's cookie names, if it lives and its person still has this access."""
    state = state_of(connection)
    session = state.sessions.find(connection.cookies.get(state.cookie, ""))
    if session is None or bool(session.login) is not state.needs_log_in:
        return None
    return session if not session.login or still_holds(state, session) else None


def still_holds(state: State, session: Session) -> bool:
    """Whether whoever logged in may still come in, with the password of then."""
    return not session.login or (bool(session.stamp) and state.people.stamp(session.login) == session.stamp)


def whose(state: State, session: Session) -> Person:
    """Return the person of a session that holds."""
    if not session.login:
        return state.person_here()
    person = state.people.find(session.login)
    if person is None:  # taken away this very moment
        raise Refused(401)
    return person


def _find_session(request: Request) -> str | None:
    """Put session and person into the request; begins a session where nobody has to log in, returning its cookie."""
    state = state_of(request)
    session, fresh = session_of(request), None
    if session is None and not state.needs_log_in:
        fresh, session = state.sessions.begin("")
    request.state.session = session
    request.state.person = whose(state, session) if session else None
    return fresh


def _admit_person(request: Request, who: str) -> None:
    person = request.state.person
    if person is None:
        if request.method == "GET" and "text/html" in request.headers.get("accept", ""):
            there = quote(request.url.path, safe="/")
            raise Refused(303, "Log in first.", {"location": f"/sign-in?to={there}"})
        if request.cookies.get(state_of(request).cookie):
            raise Refused(401, "Your log-in has ended; log in again. Nothing was changed.")
        raise Refused(401)
    if who == "office" and person.role is not Role.OFFICE:
        raise Refused(403)


def _admit_program(request: Request) -> None:
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    program = state_of(request).people.program_of(token.strip()) if scheme.lower() == "bearer" else None
    if program is None:
        raise Refused(401, "Give a token: Authorization: Bearer TOKEN.", {"www-authenticate": "Bearer"})
    request.state.program = program


async def _check_change(request: Request, way: Way) -> None:
    if not same_origin(request):
        raise Refused(403, "This request comes from another page.")
    if int(request.headers.get("content-length") or 0) > way.most:
        raise Refused(413)
    request.state.form = await _form(request, way.most)
    session: Session | None = request.state.session
    brought = request.headers.get(HEADER) or str(request.state.form.get(FIELD, ""))
    # Nobody is logged in on the log-in page itself: Origin and SameSite guard it, and nothing can be changed there.
    if session is not None and not hmac.compare_digest(brought.encode(), session.form_token.encode()):
        raise Refused(403, "This form is out of date; reload the page and try again.")
    if session is None and way.who != "anyone":
        raise Refused(401)


async def _form(request: Request, most: int) -> FormData:
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in ("application/x-www-form-urlencoded", "multipart/form-data", ""):
        raise Refused(415)
    size = 0
    receive = request._receive

    async def counted() -> Any:
        nonlocal size
        message = await receive()
        size += len(message.get("body", b""))
        if size > most:
            raise Refused(413)
        return message

    request._receive = counted
    return await request.form(max_files=4, max_fields=60, max_part_size=most) if kind else FormData()


async def _call(endpoint: Endpoint, request: Request) -> Response:
    if iscoroutinefunction(endpoint):
        response: Response = await endpoint(request)
        return response
    called: Response = await run_in_threadpool(endpoint, request)  # type: ignore[arg-type]
    return called


def to(path: str) -> RedirectResponse:
    """See other: after a change the browser looks at a page that can be reloaded without repeating the change."""
    return RedirectResponse(path, status_code=303)
