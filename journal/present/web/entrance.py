"""Coming in and going out, and the certificate to install on a telephone."""

from __future__ import annotations

from urllib.parse import urlsplit

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from journal.present.web.access import person_of, set_cookie, state_of, to
from journal.present.web.administering import give_access
from journal.present.web.drawing import page
from journal.present.web.people import Person, Role
from journal.present.web.problems import Refused
from journal.present.web.sessions import WRONG, WRONG_HERE


def sign_in_page(request: Request) -> Response:
    """The form; somebody who is in already goes on."""
    if request.state.person is not None:
        return to(_there(request.query_params.get("to", "")))
    return page(request, "sign_in.html", to=_there(request.query_params.get("to", "")), wrong="")


def sign_in(request: Request) -> Response:
    """Check name and password; every try is counted by name and by address, and stands in the ledger."""
    state, form = state_of(request), request.state.form
    login, password = str(form.get("login", "")).strip().lower()[:40], str(form.get("password", ""))
    there = _there(str(form.get("to", "")))
    known = state.people.find(login)
    # What is typed as a name may be a password: only a name that somebody has is written down.
    who, whence = (known.name if known else "somebody unknown"), f"from {_address(request)}"
    name, address = f"name {login}", f"address {_address(request)}"
    if wait := state.wrong.try_again({name: WRONG, address: WRONG_HERE}):
        raise Refused(
            429, f"Too many wrong passwords. Wait {wait} seconds, then try again.", {"retry-after": str(wait)}
        )
    person = state.people.check(login, password)
    if person is None:
        state.store.note("log-in refused", by=who, why=f"wrong name or password, {whence}")
        return page(request, "sign_in.html", 401, to=there, wrong="Name or password is not right.")
    state.store.note("logged in", by=who, why=whence)
    state.wrong.succeeded(name, address)
    return begun(request, person, to(there))


def sign_out(request: Request) -> Response:
    state = state_of(request)
    if request.state.session:
        state.sessions.end(request.state.session)
        if request.state.session.login:
            state.store.note("logged out", by=person_of(request).name, why=f"from {_address(request)}")
    response = to("/sign-in")
    response.delete_cookie(state.cookie, path="/", secure=state.secure, httponly=True, samesite="lax")
    return response


def password_page(request: Request) -> Response:
    """The form for a new password of one's own."""
    if not person_of(request).login:
        raise Refused(404)
    return page(request, "password.html", wrong="")


def change_password(request: Request) -> Response:
    """Give oneself another password; every other session of this person is over."""
    state, form, person = state_of(request), request.state.form, person_of(request)
    if not person.login:
        raise Refused(404)
    old, new, again = (str(form.get(part, "")) for part in ("old", "new", "again"))
    name, address = f"name {person.login}", f"address {_address(request)}"
    if wait := state.wrong.try_again({name: WRONG, address: WRONG_HERE}):
        raise Refused(
            429, f"Too many wrong passwords. Wait {wait} seconds, then try again.", {"retry-after": str(wait)}
        )
    if state.people.check(person.login, old) is None:
        state.store.note("new password refused", by=person.name, why=f"the old one was wrong, from {_address(request)}")
        return page(request, "password.html", 401, wrong="The password until now is not right; nothing was changed.")
    state.wrong.succeeded(name, address)
    if new != again:
        return page(request, "password.html", 400, wrong="The two new ones were not the same; nothing was changed.")
    give_access(state.store, state.people, person.login, person.name, person.role, new, by=person.name)
    return begun(request, person, to("/"))


def begun(request: Request, person: Person, response: Response) -> Response:
    """Put a new session into an answer; the one that was there is over."""
    state = state_of(request)
    if request.state.session:
        state.sessions.end(request.state.session)
    value, _ = state.sessions.begin(person.login, state.people.stamp(person.login))
    set_cookie(response, state, value)
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


def _address(request: Request) -> str:
    return request.client.host if request.client else "nowhere"


def _there(path: str) -> str:
    """Return a path of this server: nobody is sent elsewhere by a link that looks like ours."""
    parts = urlsplit(path)
    safe = path.startswith("/") and not path.startswith("//") and "\\" not in path and not parts.netloc
    return path if safe and path != "/sign-in" else "/"
