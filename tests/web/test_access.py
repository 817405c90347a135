"""Every route, by everybody who should not: refused with the right status, and nothing changed."""

from __future__ import annotations

import uuid

import pytest
from starlette.testclient import TestClient, WebSocketTestSession
from starlette.websockets import WebSocketDisconnect

from journal.keep.corrections import current
from journal.live.frames import HEAD
from journal.present.web.app import WAYS
from journal.present.web.people import LEAST, People, Role
from journal.present.web.sessions import IDLE, LASTS, WRONG, Sessions, WrongOnes
from tests.web.conftest import ORIGIN, PASSWORD, Office

POSTS = [way.path for way in WAYS if "POST" in way.methods and way.who != "anyone"]
PERSONAL = [(way.path, way.methods[0]) for way in WAYS if way.who in ("person", "office")]
OF_A_VISIT = [(path, method) for path, method in PERSONAL if path.startswith("/visits/{code}")]


def filled(path: str, office: Office, whose: str = "ines") -> str:
    """A route's path with everything in it that belongs to somebody."""
    visit = office.visits[whose]
    return path.format(
        code=visit.code, recording="r1", name="a1", reading=visit.readings[1].id, verdict=visit.verdicts[0].id,
        form="visit.json", id=str(uuid.uuid4()),
    )  # fmt: skip


def store_head(office: Office) -> str:
    return office.state.store.head()


def ask(client: TestClient, path: str, method: str, **how: object) -> int:
    """Ask as a page of ours would."""
    if method == "POST":
        me = client.get("/who")
        token = me.json()["form"] if me.status_code == 200 else "x"
        how.setdefault("data", {"form_token": token, "value": "77"})
        how.setdefault("headers", {"origin": ORIGIN})
    return client.request(method, path, **how).status_code  # type: ignore[arg-type]


def test_the_list_of_routes_is_the_whole_application(office: Office) -> None:
    paths = {getattr(route, "path", "") for route in office.client().app.routes}  # type: ignore[attr-defined]
    assert paths == {way.path for way in WAYS} | {"/captures/{id}/sound", "/static"}


@pytest.mark.parametrize(("path", "method"), PERSONAL)
def test_without_a_session(office: Office, path: str, method: str) -> None:
    before = store_head(office)
    status = ask(office.client(), filled(path, office), method)
    assert status == (303 if method == "GET" else 401)
    assert office.client().get(filled(path, office), headers={"accept": "*/*"}).status_code in (401, 405)
    assert store_head(office) == before


@pytest.mark.parametrize(("path", "method"), PERSONAL)
def test_with_a_forged_session(office: Office, path: str, method: str) -> None:
    client = office.client()
    client.cookies.set("journal", "A" * 43)
    before = store_head(office)
    assert ask(client, filled(path, office), method) in (303, 401)
    assert store_head(office) == before


@pytest.mark.parametrize(("path", "method"), OF_A_VISIT)
def test_somebody_elses_visit(office: Office, path: str, method: str) -> None:
    before = store_head(office)
    assert ask(office.client("sefa"), filled(path, office, "ines"), method) == 403
    assert store_head(office) == before


@pytest.mark.parametrize("path", POSTS)
@pytest.mark.parametrize(
    "origin", [None, "http://elsewhere.example", "null", "https://testserver", "http://testserver:81"]
)
def test_from_another_page(office: Office, path: str, origin: str | None) -> None:
    client = office.client("ines")
    token = office.form_token(client)
    before = store_head(office)
    headers = {"origin": origin} if origin else {}
    answer = client.post(filled(path, office), data={"form_token": token, "value": "77"}, headers=headers)
    assert answer.status_code == 403
    assert store_head(office) == before


@pytest.mark.parametrize("path", POSTS)
@pytest.mark.parametrize("token", ["", "0" * 64, "sefa"])
def test_with_a_forged_form(office: Office, path: str, token: str) -> None:
    client = office.client("ines")
    if token == "sefa":
        token = office.form_token(office.client("sefa"))
    before = store_head(office)
    answer = client.post(filled(path, office), data={"form_token": token, "value": "77"}, headers={"origin": ORIGIN})
    assert answer.status_code == 403
    assert store_head(office) == before


@pytest.mark.parametrize("path", POSTS)
@pytest.mark.parametrize(
    "kind", ["application/x-www-form-urlencoded", "application/json", "multipart/form-data; boundary=x"]
)
def test_ten_megabytes_of_rubbish(office: Office, path: str, kind: str) -> None:
    client = office.client("ines")
    before = store_head(office)
    headers = {"origin": ORIGIN, "content-type": kind, "x-form-token": office.form_token(client)}
    status = client.post(filled(path, office), content=b"\xff\x00" * 5_000_000, headers=headers).status_code
    assert status in (400, 413, 415)
    assert store_head(office) == before


@pytest.mark.parametrize(("path", "method"), [(way.path, way.methods[0]) for way in WAYS])
def test_wrong_methods(office: Office, path: str, method: str) -> None:
    known = {m for way in WAYS if way.path == path for m in way.methods}
    for other in {"GET", "POST", "PUT", "DELETE", "PATCH"} - known:
        assert office.client("marit").request(other, filled(path, office)).status_code == 405


def test_a_strange_host_is_not_answered(office: Office) -> None:
    answer = office.client().get("/sign-in", headers={"host": "journal.attacker.example"})
    assert answer.status_code == 421


def test_technicians_see_their_own_visits_and_the_office_all(office: Office) -> None:
    mine = office.client("ines").get("/visits").text
    assert office.visits["ines"].code in mine
    assert office.visits["sefa"].code not in mine
    everything = office.client("marit").get("/visits").text
    assert all(visit.code in everything for visit in office.visits.values())
    assert office.client("ines").get("/visits?technician=Sefa").text.count(office.visits["sefa"].code) == 0


def test_the_customers_copy_is_the_offices(office: Office) -> None:
    path = f"/visits/{office.visits['ines'].code}/export/customer.html"
    assert office.client("ines").get(path).status_code == 403
    assert office.client("marit").get(path).status_code == 200


@pytest.mark.parametrize(
    "path",
    ["/visits/{code}/sound/..%2f..%2fjournal.sqlite", "/visits/{code}/attachments/..%2f..%2faccess%2fpeople.json",
     "/static/../app.py", "/static/..%2fapp.py", "/static/", "/visits/{code}/export/..%2fx", "/captures/..%2f..%2fx"],
)  # fmt: skip
def test_no_path_leads_out(office: Office, path: str) -> None:
    answer = office.client("marit").get(path.format(code=office.visits["ines"].code))
    assert answer.status_code in (400, 403, 404)
    assert "password" not in answer.text


def test_wrong_passwords_are_counted(office: Office) -> None:
    client = office.client()
    for _ in range(WRONG):
        assert (
            client.post("/sign-in", data={"login": "ines", "password": "x"}, headers={"origin": ORIGIN}).status_code
            == 401
        )
    answer = client.post("/sign-in", data={"login": "ines", "password": PASSWORD}, headers={"origin": ORIGIN})
    assert answer.status_code == 429
    assert int(answer.headers["retry-after"]) > 0


def test_logging_in_from_another_page_is_refused(office: Office) -> None:
    data = {"login": "ines", "password": PASSWORD}
    for headers in ({}, {"origin": "http://elsewhere.example"}):
        assert office.client().post("/sign-in", data=data, headers=headers).status_code == 403


@pytest.mark.parametrize("there", ["//evil.example", "https://evil.example", "/\\evil.example", "javascript:x", ""])
def test_nobody_is_sent_elsewhere(office: Office, there: str) -> None:
    data = {"login": "ines", "password": PASSWORD, "to": there}
    answer = office.client().post("/sign-in", data=data, headers={"origin": ORIGIN})
    assert answer.headers["location"] == "/"


def test_logging_out_ends_the_session(office: Office) -> None:
    client = office.client("ines")
    value = client.cookies["journal"]
    office.post(client, "/sign-out")
    client.cookies.set("journal", value)
    assert client.get("/visits").status_code == 303


def test_sessions_end_by_age_and_by_idleness(office: Office) -> None:
    now = [1000.0]
    sessions = Sessions(office.state.store.folder / "other", clock=lambda: now[0])
    value, _ = sessions.begin("ines")
    now[0] += IDLE - 1
    assert sessions.find(value)
    now[0] += IDLE - 1
    assert sessions.find(value) is None or now[0] < 1000 + LASTS
    other, _ = sessions.begin("ines")
    now[0] += IDLE + 1
    assert sessions.find(other) is None


def test_sessions_survive_a_restart_and_keep_no_cookie(office: Office) -> None:
    client = office.client("ines")
    value = client.cookies["journal"]
    folder = office.state.store.folder
    assert Sessions(folder).find(value)
    assert value not in (folder / "access" / "sessions.json").read_text()
    assert (folder / "access" / "people.json").stat().st_mode & 0o077 == 0


def test_somebody_removed_is_out_at_once(office: Office) -> None:
    client = office.client("sefa")
    office.state.people.remove("sefa")
    assert client.get("/visits").status_code == 303


def test_passwords_are_long_and_hashed(office: Office) -> None:
    people: People = office.state.people
    from journal.errors import BadInput

    for login, password in (("x y", PASSWORD), ("..", PASSWORD), ("new", "a" * (LEAST - 1))):
        with pytest.raises(BadInput):
            people.add(login, "Somebody", Role.OFFICE, password)
    text = people.path.read_text()
    assert PASSWORD not in text
    assert "$argon2id$" in text


def test_waiting_ends() -> None:
    now = [0.0]
    wrong = WrongOnes(clock=lambda: now[0])
    for _ in range(WRONG):
        wrong.note("name ines")
    assert wrong.wait("name ines") > 0
    assert wrong.wait("name sefa") == 0
    now[0] = 301
    assert wrong.wait("name ines") == 0


def test_every_page_carries_the_headers(office: Office) -> None:
    client = office.client("marit")
    for path in (
        "/visits",
        f"/visits/{office.visits['ines'].code}",
        "/capture",
        "/nowhere",
        "/static/capture.js",
        "/api/visits",
    ):
        headers = client.get(path).headers
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
    assert client.get("/visits").headers["cache-control"] == "no-store"


def test_pages_hold_no_inline_script_or_style(office: Office) -> None:
    client = office.client("marit")
    for path in ("/visits", f"/visits/{office.visits['ines'].code}", "/capture", "/sign-in", "/certificate"):
        text = client.get(path).text
        assert " style=" not in text
        assert " onclick=" not in text
        assert "<script>" not in text


def test_the_cookie_is_for_this_server_and_no_script(office: Office) -> None:
    answer = office.client().post("/sign-in", data={"login": "ines", "password": PASSWORD}, headers={"origin": ORIGIN})
    assert "HttpOnly" in answer.headers["set-cookie"]
    assert "SameSite=lax" in answer.headers["set-cookie"]


# --- programs -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("given", [None, "Bearer ", "Bearer vj_wrong", "Basic dXNlcjpw", "vj_wrong"])
@pytest.mark.parametrize("path", ["/api/visits", "/api/visits/{code}"])
def test_programs_need_a_token(office: Office, path: str, given: str | None) -> None:
    headers = {"authorization": given} if given else {}
    answer = office.client("marit").get(filled(path, office), headers=headers)
    assert answer.status_code == 401
    assert "problem" in answer.json()


def test_a_token_opens_no_page(office: Office) -> None:
    answer = office.client().get("/visits", headers={"authorization": f"Bearer {office.token}"})
    assert answer.status_code == 303


# --- the socket -----------------------------------------------------------------------------------------------------


def begun(office: Office, login: str) -> tuple[TestClient, str]:
    client = office.client(login)
    name = str(uuid.uuid4())
    answer = office.post(client, "/captures", {"id": name})
    assert answer.json() == {"id": name, "next": 0}  # type: ignore[attr-defined]
    return client, name


@pytest.mark.parametrize("origin", [None, "http://elsewhere.example", "null"])
def test_a_socket_from_another_page(office: Office, origin: str | None) -> None:
    client, name = begun(office, "ines")
    headers = {"origin": origin} if origin else {}
    with pytest.raises(WebSocketDisconnect), client.websocket_connect(f"/captures/{name}/sound", headers=headers):
        pass


def test_a_socket_without_a_session(office: Office) -> None:
    _, name = begun(office, "ines")
    with (
        pytest.raises(WebSocketDisconnect),
        office.client().websocket_connect(f"/captures/{name}/sound", headers={"origin": ORIGIN}),
    ):
        pass


def test_a_socket_to_somebody_elses_capture(office: Office) -> None:
    _, name = begun(office, "ines")
    with office.client("sefa").websocket_connect(f"/captures/{name}/sound", headers={"origin": ORIGIN}) as socket:
        with pytest.raises(WebSocketDisconnect) as closed:
            socket.receive_json()
        assert closed.value.code == 4403


def _read_on(socket: WebSocketTestSession) -> None:
    for _ in range(10):
        socket.receive_json()


@pytest.mark.parametrize("data", [b"", b"x" * 10, HEAD.pack(0, 9, 0, 0, 0.0) + b"ab", b"\xff" * 400_000])
def test_rubbish_on_the_socket_ends_it_and_keeps_nothing(office: Office, data: bytes) -> None:
    client, name = begun(office, "ines")
    with client.websocket_connect(f"/captures/{name}/sound", headers={"origin": ORIGIN}) as socket:
        socket.send_bytes(data)
        with pytest.raises(WebSocketDisconnect):
            _read_on(socket)
    assert office.state.captures.get(name).next_number == 0


def test_whose_capture_it_is_shows_in_who_may_look(office: Office) -> None:
    _, name = begun(office, "ines")
    assert office.client("ines").get(f"/captures/{name}").status_code == 200
    assert office.client("marit").get(f"/captures/{name}").status_code == 200
    assert office.client("sefa").get(f"/captures/{name}").status_code == 403


def test_who_did_it_stands_in_the_audit(office: Office) -> None:
    visit = office.visits["ines"]
    office.post(office.client("marit"), f"/visits/{visit.code}/readings/{visit.readings[1].id}", {"value": "77"})
    last = office.state.store.history(visit.code)[-1]
    assert (last.action, last.by) == ("corrected", "Marit Adeyemi")
    assert str(current(office.state.store.visit(visit.code)).readings[1].value) == "77"
