"""Coming in and going out, and the certificate to install on a telephone."""

from __future__ import annotations

from urllib.parse import urlsplit

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from journal.present.web.access import person_of, set_cookie, state_of, to
from journal.present.web.drawing import page
from journal.present.web.people import Role
from journal.present.web.problems import Refused


def sign_in_page(request: Request) -> Response:
    """The form; somebody who is in already goes on."""
    if request.state.person is not None:
        return to(_there(request.query_params.get("to", "")))
    return page(request, "sign_in.html", to=_there(request.query_params.get("to", "")), wrong="")


def sign_in(request: Request) -> Response:
    """Check name and password; wrong ones are counted by name and by address."""
    state, form = state_of(request), request.state.form
    login, password = str(form.get("login", "")).strip().lower()[:40], str(form.get("password", ""))
    keys = (f"name {login}", f"address {request.client.host if request.client else ''}")
    if wait := state.wrong.wait(*keys):
        raise Refused(
            429, f"Too many wrong passwords. Wait {wait} seconds, then try again.", {"retry-after": str(wait)}
        )
    person = state.people.check(login, password)
    if person is None:
        state.wrong.note(*keys)
        there = _there(str(form.get("to", "")))
        return page(request, "sign_in.html", 401, to=there, wrong="Name or password is not right.")
    state.wrong.forget(keys[0])
    if request.state.session:
        state.sessions.end(request.state.session)
    value, _ = state.sessions.begin(person.login)
    response = to(_there(str(form.get("to", ""))))
    set_cookie(response, state, value)
    return response


def sign_out(request: Request) -> Response:
    state = state_of(request)
    if request.state.session:
        state.sessions.end(request.state.session)
    response = to("/sign-in")
    response.delete_cookie(state.cookie, path="/", secure=state.secure, httponly=True, samesite="lax")
    return response


def home(request: Request) -> Response:
    """Technicians speak, the office reviews."""
    person = person_of(request)
    return to("/capture" if person.role is Role.TECHNICIAN else "/visits")


def who_am_i(request: Request) -> Response:
    """What the capture page, which opens without a connection, asks once it has one."""
    person = person_of(request)
    return JSONResponse({"name": person.name, "login": person.login, "form": request.state.session.form_token})


def certificate_page(request: Request) -> Response:
    return page(request, "certificate.html", made=state_of(request).authority is not None)


def certificate(request: Request) -> Response:
    """The authority's certificate; it is public, its key never leaves the machine."""
    authority = state_of(request).authority
    if authority is None:
        raise Refused(404)
    headers = {"content-disposition": 'attachment; filename="journal-authority.crt"'}
    return Response(authority, media_type="application/x-x509-ca-cert", headers=headers)


def _there(path: str) -> str:
    """Return a path of this server: nobody is sent elsewhere by a link that looks like ours."""
    parts = urlsplit(path)
    safe = path.startswith("/") and not path.startswith("//") and "\\" not in path and not parts.netloc
    return path if safe and path != "/sign-in" else "/"
