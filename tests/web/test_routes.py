"""Every route of the application, by everybody who should not: refused with the right status, and nothing changed.

The routes are asked of the application itself; one that this table does not know fails the first test.
"""

from __future__ import annotations

import hashlib
import shutil
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.testclient import TestClient

from journal.present.web.app import build_app
from tests.web.conftest import ORIGIN, PASSWORD, Office, Template, open_office

#: who a route is for: anyone, any person, whoever may see the visit, the office, programs, a socket, files of ours
WHO = {
    ("GET", "/"): "person",
    ("GET", "/sign-in"): "anyone",
    ("POST", "/sign-in"): "anyone",
    ("POST", "/sign-out"): "person",
    ("GET", "/password"): "person",
    ("POST", "/password"): "person",
    ("GET", "/people"): "office",
    ("POST", "/people"): "office",
    ("POST", "/people/remove"): "office",
    ("POST", "/programs"): "office",
    ("POST", "/programs/remove"): "office",
    ("GET", "/audit"): "office",
    ("GET", "/who"): "person",
    ("GET", "/certificate"): "anyone",
    ("GET", "/certificate/authority.crt"): "anyone",
    ("GET", "/record.css"): "anyone",
    ("GET", "/service-worker.js"): "anyone",
    ("GET", "/manifest.webmanifest"): "anyone",
    ("GET", "/capture"): "anyone",
    ("POST", "/captures"): "person",
    ("GET", "/captures/{id}"): "person",
    ("GET", "/visits"): "person",
    ("GET", "/visits/{code}"): "visit",
    ("GET", "/visits/{code}/sound/{recording}"): "visit",
    ("POST", "/visits/{code}/attachments"): "visit",
    ("GET", "/visits/{code}/attachments/{name}"): "visit",
    ("POST", "/visits/{code}/readings/{reading}"): "visit",
    ("POST", "/visits/{code}/verdicts/{verdict}"): "visit",
    ("POST", "/visits/{code}/facts"): "visit",
    ("POST", "/visits/{code}/sign-off"): "visit",
    ("GET", "/visits/{code}/export/{form}"): "visit",
    ("POST", "/visits/{code}/release"): "office",
    ("GET", "/machine"): "person",
    ("GET", "/api/openapi.json"): "anyone",
    ("GET", "/api/visits"): "program",
    ("GET", "/api/visits/{code}"): "program",
    ("SOCKET", "/captures/{id}/sound"): "socket",
    ("FILES", "/static"): "files",
}
#: the largest body a route takes, where it is not 64 KiB
LARGE = {"/visits/{code}/attachments": 32 << 20}
#: what a form holds that would change something, if it were let through
FORMS = {
    "/people": {"login": "eve", "name": "Eve", "role": "office", "password": PASSWORD},
    "/people/remove": {"login": "sefa"},
    "/programs": {"program": "eve"},
    "/programs/remove": {"program": "billing"},
    "/password": {"old": PASSWORD, "new": "another long password", "again": "another long password"},
    "/visits/{code}/verdicts/{verdict}": {"says": "fine", "why": "because"},
    "/visits/{code}/facts": {"name": "work order", "value": "WO-1"},
    "/visits/{code}/release": {"transcript": "1", "form": "html"},
}


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory, template: Template) -> Iterator[Office]:
    """One server for all of these: that nothing changes is what they show."""
    folder = tmp_path_factory.mktemp("routes") / "store"
    shutil.copytree(template.folder, folder)
    yield from open_office(folder, template)


def of(*who: str, method: str = "") -> list[tuple[str, str]]:
    return [(m, path) for (m, path), mine in WHO.items() if mine in who and (not method or m == method)]


PAGES = of("person", "visit", "office")
CHANGES = of("person", "visit", "office", method="POST")


def filled(path: str, office: Office, whose: str = "ines") -> str:
    """A route's path with everything in it that belongs to somebody."""
    visit = office.visits[whose]
    return path.format(
        code=visit.code, recording="r1", name="a1", reading=visit.readings[1].id, verdict=visit.verdicts[0].id,
        form="visit.json", id=str(uuid.uuid4()),
    )  # fmt: skip


def everything(office: Office) -> str:
    """A digest of all that is stored: the ledger's head, and every file but the sessions and SQLite's own."""
    folder = office.state.store.folder
    found = hashlib.sha256(office.state.store.head().encode())
    for file in sorted(path for path in folder.rglob("*") if path.is_file()):
        if not file.name.startswith(("journal.sqlite", "sessions.json")) and file.suffix != ".lock":
            found.update(f"{file.relative_to(folder)}".encode() + file.read_bytes())
    return found.hexdigest()


def ask(client: TestClient, method: str, path: str, office: Office, whose: str = "ines", **form: str) -> int:
    """Ask as a page of ours would, with a form that would change something."""
    address = filled(path, office, whose)
    if method == "GET":
        return client.get(address).status_code
    data = {"value": "77", **FORMS.get(path, {}), **form}
    return client.post(address, data=data, headers={"origin": ORIGIN}).status_code


def test_the_table_is_the_whole_application(template: Template, office: Office) -> None:
    found: set[tuple[str, str]] = set()
    for route in build_app(office.state).routes:
        if isinstance(route, Route):
            found |= {(method, route.path) for method in route.methods or () if method != "HEAD"}
        elif isinstance(route, WebSocketRoute):
            found.add(("SOCKET", route.path))
        elif isinstance(route, Mount):
            found.add(("FILES", route.path))
        else:
            pytest.fail(f"a route of a kind nobody thought of: {route}")
    assert found == set(WHO)


@pytest.mark.parametrize(("method", "path"), PAGES)
def test_without_a_session(office: Office, method: str, path: str) -> None:
    before = everything(office)
    assert ask(office.client(), method, path, office) == (303 if method == "GET" else 401)
    if method == "GET":
        answer = office.client().get(filled(path, office), headers={"accept": "*/*"})
        assert answer.status_code == 401
        assert answer.json() == {"problem": "Log in first."}
    assert everything(office) == before


@pytest.mark.parametrize(("method", "path"), PAGES)
@pytest.mark.parametrize(
    "cookie", ["A" * 43, "", "../../access/people", "\udcff".encode("utf-8", "surrogatepass").hex()]
)
def test_with_a_forged_session(office: Office, method: str, path: str, cookie: str) -> None:
    client = office.client()
    client.cookies.set("journal", cookie)
    before = everything(office)
    assert ask(client, method, path, office) == (303 if method == "GET" else 401)
    assert everything(office) == before


@pytest.mark.parametrize(("method", "path"), of("office"))
def test_in_the_wrong_role(office: Office, method: str, path: str) -> None:
    client = office.client("ines")
    token = office.form_token(client)
    before = everything(office)
    assert ask(client, method, path, office, form_token=token) == 403
    assert everything(office) == before


@pytest.mark.parametrize(("method", "path"), of("visit"))
def test_somebody_elses_visit(office: Office, method: str, path: str) -> None:
    client = office.client("sefa")
    token = office.form_token(client)
    before = everything(office)
    assert ask(client, method, path, office, "ines", form_token=token) == 403
    assert everything(office) == before


@pytest.mark.parametrize(("method", "path"), [*CHANGES, ("POST", "/sign-in")])
@pytest.mark.parametrize(
    "origin", [None, "http://elsewhere.example", "null", "https://testserver", "http://testserver:81", "testserver"]
)
def test_from_another_page(office: Office, method: str, path: str, origin: str | None) -> None:
    client = office.client("marit")
    data = {"value": "77", **FORMS.get(path, {}), "form_token": office.form_token(client)}
    before = everything(office)
    headers = {"origin": origin} if origin else {}
    assert client.post(filled(path, office), data=data, headers=headers).status_code == 403
    assert everything(office) == before


@pytest.mark.parametrize(("method", "path"), CHANGES)
@pytest.mark.parametrize("token", [None, "", "0" * 64, "somebody else's", "é"])
def test_with_a_forged_form(office: Office, method: str, path: str, token: str | None) -> None:
    client = office.client("marit")
    if token == "somebody else's":
        token = office.form_token(office.client("sefa"))
    given = {} if token is None else {"form_token": token}
    before = everything(office)
    assert ask(client, method, path, office, **given) == 403
    assert everything(office) == before


@pytest.mark.parametrize(("method", "path"), [*CHANGES, ("POST", "/sign-in")])
@pytest.mark.parametrize(
    ("kind", "status"),
    # the size is looked at before the kind
    [("application/x-www-form-urlencoded", 413), ("application/json", 413), ("multipart/form-data; boundary=x", 413)],
)
def test_ten_megabytes_of_rubbish(office: Office, method: str, path: str, kind: str, status: int) -> None:
    client = office.client("marit")
    headers = {"origin": ORIGIN, "content-type": kind, "x-form-token": office.form_token(client)}
    before = everything(office)
    answer = client.post(filled(path, office), content=b"\xff\x00" * 5_000_000, headers=headers)
    if path in LARGE:  # a photograph may be as large; this is none
        status = 415 if "json" in kind else 400
    assert answer.status_code == status
    assert everything(office) == before


@pytest.mark.parametrize(("method", "path"), of("program"))
@pytest.mark.parametrize("given", [None, "Bearer ", "Bearer vj_wrong", "Basic dXNlcjpw", "vj_wrong", "Bearer é"])
def test_programs_need_a_token(office: Office, method: str, path: str, given: str | None) -> None:
    """Also with the cookie of the office: a page elsewhere must not read through it."""
    client = office.client("marit")
    before = everything(office)
    headers = {"authorization": given.encode()} if given else {}
    answer = client.get(filled(path, office), headers=headers)  # type: ignore[arg-type]
    assert answer.status_code == 401
    assert "problem" in answer.json()
    assert everything(office) == before


@pytest.mark.parametrize(("method", "path"), [key for key in WHO if key[0] in ("GET", "POST")])
def test_a_token_opens_no_page_and_changes_nothing(office: Office, method: str, path: str) -> None:
    headers = {"authorization": f"Bearer {office.token}", "origin": ORIGIN}
    before = everything(office)
    answer = office.client().request(method, filled(path, office), headers=headers)
    who = WHO[method, path]
    if who in ("person", "visit", "office"):
        assert answer.status_code == (303 if method == "GET" else 401)
    for other in ("POST", "PUT", "PATCH", "DELETE"):
        if who == "program":
            assert office.client().request(other, filled(path, office), headers=headers).status_code == 405
    if (method, path) != ("POST", "/sign-in"):  # a refused log-in is a line of the ledger
        assert everything(office) == before


@pytest.mark.parametrize("path", sorted({path for method, path in WHO if method in ("GET", "POST")}))
def test_other_methods(office: Office, path: str) -> None:
    client = office.client("marit")
    known = {method for method, mine in WHO if mine == path}
    before = everything(office)
    for other in {"GET", "POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"} - known:
        assert client.request(other, filled(path, office)).status_code == 405
    assert everything(office) == before


@pytest.mark.parametrize(("method", "path"), [key for key in WHO if key[0] in ("GET", "POST")])
@pytest.mark.parametrize("host", ["journal.attacker.example", "127.0.0.1.attacker.example", ""])
def test_a_strange_host_is_not_answered(office: Office, method: str, path: str, host: str) -> None:
    """A page elsewhere that bends its own name to this address gets nothing (DNS rebinding)."""
    answer = office.client().request(method, filled(path, office), headers={"host": host})
    assert answer.status_code == 421


@pytest.mark.parametrize("name", ["page", "static", "none"])
def test_the_headers_are_everywhere(office: Office, name: str) -> None:
    client = office.client("marit")
    paths = {
        "page": [filled(path, office) for method, path in WHO if method == "GET" and path != "/api/openapi.json"],
        "static": ["/static/keys.js", "/static/pages.css", "/record.css", "/static/", "/static"],
        "none": ["/nowhere", "/visits/ZZZZZZ", "/api/visits", "/people/nobody"],
    }[name]
    for path in paths:
        headers = client.get(path).headers
        policy = dict(part.strip().partition(" ")[::2] for part in headers["content-security-policy"].split(";"))
        assert policy["default-src"] == "'none'"
        assert policy["script-src"] == "'self'"
        assert policy["frame-ancestors"] == "'none'"
        assert not any("unsafe" in rule or "*" in rule for rule in policy.values())
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert "server" not in headers
        if "/static" not in path and path not in ("/record.css", "/service-worker.js", "/manifest.webmanifest"):
            assert headers["cache-control"] == "no-store", path


@pytest.mark.parametrize("folder", ["/static", "/static/", "/static/.", "/visits/{code}/sound/", "/api/"])
def test_no_folder_is_listed(office: Office, folder: str) -> None:
    answer = office.client("marit").get(filled(folder, office))
    assert answer.status_code in (307, 404)
    assert "worklet.js" not in answer.text
    assert "openapi" not in answer.text


@pytest.mark.parametrize(
    "path",
    ["/visits/{code}/sound/..%2f..%2fjournal.sqlite", "/visits/{code}/sound/r1%2f..%2f..%2fjournal.sqlite",
     "/visits/{code}/sound/%2fetc%2fpasswd", "/visits/{code}/attachments/..%2f..%2faccess%2fpeople.json",
     "/visits/{code}/attachments/..%5c..%5caccess%5cpeople.json", "/visits/{code}/sound/r1%00.flac",
     "/visits/..%2f..%2fetc/sound/r1", "/static/../app.py", "/static/..%2fapp.py", "/static/%2e%2e/app.py",
     "/static//etc/passwd", "/static/..%5capp.py", "/visits/{code}/export/..%2fx", "/captures/..%2f..%2fx"],
)  # fmt: skip
def test_no_path_leads_out(office: Office, path: str) -> None:
    answer = office.client("marit").get(filled(path, office))
    assert answer.status_code in (400, 403, 404)
    assert not any(secret in answer.content for secret in (b"argon2", b"SQLite format", b"root:", b"Starlette("))


def test_media_that_was_moved_outside_is_not_sent(template: Template, tmp_path: Path) -> None:
    """A link put into the store's folder in place of a recording leads nowhere."""
    shutil.copytree(template.folder, tmp_path / "store")
    office = next(opened := open_office(tmp_path / "store", template))
    visit = office.visits["ines"]
    path = office.state.store.sound_path(visit, "r1")
    secret = tmp_path / "secret.txt"
    secret.write_text("not for you")
    path.unlink()
    path.symlink_to(secret)
    answer = office.client("marit").get(f"/visits/{visit.code}/sound/r1")
    assert answer.status_code == 503
    assert "not for you" not in answer.text
    assert str(tmp_path) not in answer.text, "where the store lies is not for everybody"
    opened.close()
