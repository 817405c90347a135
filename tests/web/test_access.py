"""Coming in and staying in: passwords, sessions, people changed while the server runs, and what the ledger says."""

from __future__ import annotations

import re
import uuid
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from unittest import mock

import pytest
from starlette.testclient import TestClient, WebSocketTestSession
from starlette.websockets import WebSocketDisconnect

from journal.errors import StoreUnusable
from journal.keep.corrections import current
from journal.live.frames import HEAD
from journal.present.web.people import LEAST, People, Person, Role
from journal.present.web.sessions import IDLE, LASTS, MOST_KEYS, WITHIN, WRONG, WRONG_HERE, Sessions, WrongOnes
from tests.live.sounds import chunks
from tests.web.conftest import ORIGIN, PASSWORD, Office


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


# --- people changed while the server runs, by another process (journal serve --add-user) ----------------------------


def elsewhere(office: Office) -> People:
    return People(office.state.store.folder)


def test_somebody_removed_is_out_at_once(office: Office) -> None:
    client = office.client("sefa")
    elsewhere(office).remove("sefa")
    assert client.get("/visits").status_code == 303
    answer = client.post("/sign-in", data={"login": "sefa", "password": PASSWORD}, headers={"origin": ORIGIN})
    assert answer.status_code == 401


def test_somebody_added_comes_in_at_once(office: Office) -> None:
    elsewhere(office).add("kofi", "Kofi Brandt", Role.TECHNICIAN, PASSWORD)
    assert office.client("kofi").get("/visits").status_code == 200


def test_another_password_ends_the_sessions_of_the_old_one(office: Office) -> None:
    client, other = office.client("sefa"), office.client("ines")
    elsewhere(office).add("sefa", "Sefa Lindqvist", Role.TECHNICIAN, "quite another password")
    assert client.get("/visits").status_code == 303
    assert client.post("/sign-out", headers={"origin": ORIGIN}).status_code == 401
    assert other.get("/visits").status_code == 200


def test_another_role_holds_at_once(office: Office) -> None:
    client = office.client("marit")
    assert client.get("/people").status_code == 200
    elsewhere(office).add("marit", "Marit Adeyemi", Role.TECHNICIAN, "quite another password")
    assert client.get("/people").status_code == 303, "another password too: log in again"
    data = {"login": "marit", "password": "quite another password"}
    assert client.post("/sign-in", data=data, headers={"origin": ORIGIN}).status_code == 303
    assert client.get("/people").status_code == 403


def test_a_token_taken_back_reads_no_more(office: Office) -> None:
    headers = {"authorization": f"Bearer {office.token}"}
    assert office.client().get("/api/visits", headers=headers).status_code == 200
    elsewhere(office).remove_tokens("billing")
    assert office.client().get("/api/visits", headers=headers).status_code == 401


def test_a_lost_list_of_people_opens_nothing(office: Office) -> None:
    """Without people nobody has to log in; but not on a server that had some."""
    client = office.client("marit")
    office.state.people.path.unlink()
    assert client.get("/visits").status_code == 303
    assert office.client().get("/visits").status_code == 303


@pytest.mark.parametrize("text", ["", "{", "[]", '{"people": [{"login": "x"}], "tokens": {}}', '{"people": 3}'])
def test_a_broken_list_of_people_lets_nobody_in(office: Office, text: str) -> None:
    client = office.client("marit")
    office.state.people.path.write_text(text)
    answer = client.get("/visits")
    assert answer.status_code == 503
    assert "list of people" in answer.text
    assert str(office.state.store.folder) not in answer.text
    assert office.client().get("/api/visits", headers={"authorization": f"Bearer {office.token}"}).status_code == 503


def test_two_processes_lose_no_change(office: Office) -> None:
    """Twelve people added at once through four lists: all of them are there."""
    lists = [elsewhere(office) for _ in range(4)]
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda n: lists[n % 4].add(f"p{n}", f"P {n}", Role.TECHNICIAN, PASSWORD), range(12)))
    assert {f"p{n}" for n in range(12)} <= {person.login for person in office.state.people.all()}


# --- pages of the office --------------------------------------------------------------------------------------------


def test_the_office_lets_people_in_and_out(office: Office) -> None:
    client = office.client("marit")
    kofi = {"login": "Kofi", "name": "Kofi Brandt", "role": "technician", "password": PASSWORD}
    answer: Any = office.post(client, "/people", kofi)
    assert answer.status_code == 303
    assert "Kofi Brandt" in client.get("/people").text
    assert PASSWORD not in client.get("/people").text
    inside = office.client("kofi")
    answer = office.post(client, "/people/remove", {"login": "kofi"})
    assert answer.status_code == 303
    assert inside.get("/visits").status_code == 303
    answer = office.post(client, "/people/remove", {"login": "kofi"})
    assert answer.status_code == 404
    answer = office.post(client, "/people", {**kofi, "password": "short"})
    assert answer.status_code == 400


@pytest.mark.parametrize("path", ["/people/remove", "/people"])
def test_the_last_one_of_the_office_stays(office: Office, path: str) -> None:
    form = {"login": "marit", "name": "Marit Adeyemi", "role": "technician", "password": PASSWORD}
    answer: Any = office.post(office.client("marit"), path, form)
    assert answer.status_code == 400
    found = office.state.people.find("marit")
    assert found is not None
    assert found.role is Role.OFFICE


def test_a_token_is_shown_once_and_taken_back(office: Office) -> None:
    client = office.client("marit")
    answer: Any = office.post(client, "/programs", {"program": "accounts <b>"})
    token = re.search(r"vj_[\w-]{43}", answer.text)
    assert token
    assert "accounts &lt;b&gt;" in answer.text
    headers = {"authorization": f"Bearer {token[0]}"}
    assert office.client().get("/api/visits", headers=headers).status_code == 200
    assert token[0] not in client.get("/people").text
    assert token[0] not in office.state.people.path.read_text()
    office.post(client, "/programs/remove", {"program": "accounts <b>"})
    assert office.client().get("/api/visits", headers=headers).status_code == 401
    answer = office.post(client, "/programs/remove", {"program": "accounts <b>"})
    assert answer.status_code == 404


def test_the_first_person_closes_the_door(alone: Office) -> None:
    """Alone on this machine nobody logs in; from the first person on, everybody does, the first of the office."""
    client = alone.client()
    form = {"login": "marit", "name": "Marit Adeyemi", "role": "technician", "password": PASSWORD}
    answer: Any = alone.post(client, "/people", form)
    assert answer.status_code == 400
    assert client.get("/visits").status_code == 200
    answer = alone.post(client, "/people", {**form, "role": "office"})
    assert answer.status_code == 303
    assert client.get("/visits").status_code == 303
    assert alone.client("marit").get("/people").status_code == 200


def test_a_password_of_ones_own(office: Office) -> None:
    client, second = office.client("ines"), office.client("ines")
    new = {"old": PASSWORD, "new": "quite another password", "again": "quite another password"}
    for form, status in (
        ({**new, "old": "wrong"}, 401),
        ({**new, "again": "x"}, 400),
        ({**new, "new": "x", "again": "x"}, 400),
    ):
        answer: Any = office.post(client, "/password", form)
        assert answer.status_code == status
        assert office.state.people.check("ines", PASSWORD)
    answer = office.post(client, "/password", new)
    assert answer.status_code == 303
    assert client.get("/visits").status_code == 200, "this session goes on"
    assert second.get("/visits").status_code == 303, "the others are over"
    assert office.state.people.check("ines", PASSWORD) is None
    assert office.state.people.find("ines") == Person("ines", "Ines Okafor", Role.TECHNICIAN)


def test_guessing_a_password_on_its_page_is_counted(office: Office) -> None:
    client = office.client("ines")
    form = {"old": "wrong", "new": "quite another password", "again": "quite another password"}
    answers: list[Any] = [office.post(client, "/password", form) for _ in range(WRONG + 1)]
    assert [answer.status_code for answer in answers] == [401] * WRONG + [429]


# --- who did what ---------------------------------------------------------------------------------------------------


def lines(office: Office) -> list[tuple[str, str]]:
    """The ledger's last lines about the store itself: (action, by), the first one first."""
    return [(line.action, line.by) for line in reversed(office.state.store.lines()) if line.visit is None]


def test_coming_and_going_stands_in_the_ledger(office: Office) -> None:
    before = len(lines(office))
    client = office.client("marit")
    office.client().post("/sign-in", data={"login": "marit", "password": "x"}, headers={"origin": ORIGIN})
    office.client().post("/sign-in", data={"login": "My Secret Pass", "password": "x"}, headers={"origin": ORIGIN})
    kofi = {"login": "kofi", "name": "Kofi Brandt", "role": "technician", "password": PASSWORD}
    office.post(client, "/people", kofi)
    office.post(client, "/people", {**kofi, "role": "office"})
    office.post(client, "/people/remove", {"login": "kofi"})
    answer: Any = office.post(client, "/programs", {"program": "accounts"})
    office.post(client, "/programs/remove", {"program": "accounts"})
    office.post(client, "/sign-out")
    marit = "Marit Adeyemi"
    assert lines(office)[before:] == [
        ("logged in", marit),
        ("log-in refused", marit),
        ("log-in refused", "somebody unknown"),
        ("access given", marit),
        ("access changed", marit),
        ("access taken away", marit),
        ("token made", marit),
        ("token taken back", marit),
        ("logged out", marit),
    ]
    whole = " ".join(f"{line.action} {line.by} {line.why}" for line in office.state.store.lines())
    assert "kofi: Kofi Brandt, office, new password" in whole
    token = re.search(r"vj_[\w-]{43}", answer.text)
    assert token
    for secret in (PASSWORD, token[0], "My Secret Pass", "my secret pass"):
        assert secret not in whole
    assert office.state.store.verify().ok


def test_the_audit_page_finds(office: Office) -> None:
    visit = office.visits["ines"]
    client = office.client("marit")
    office.post(
        client, f"/visits/{visit.code}/readings/{visit.readings[1].id}", {"value": "77", "why": "a misread dial"}
    )
    page = client.get("/audit").text
    assert f'href="/visits/{visit.code}"' in page
    for asked, there in (
        ("words=misread", True), (f"words={visit.code}", True), ("words=corrected&by=marit", True),
        ("by=Sefa&words=corrected", False), ("since=2100-01-01", False), ("until=2000-01-01", False),
        ("words=%25", False), ("words=' OR 1=1 --", False),
    ):  # fmt: skip
        answer = client.get(f"/audit?{asked}")
        assert answer.status_code == 200
        assert ("a misread dial" in answer.text) is there, asked


def test_the_audit_page_goes_back_line_by_line(office: Office) -> None:
    client = office.client("marit")
    for n in range(230):
        office.state.store.note("counted", by="nobody", why=f"line {n}")
    found, address = [], "/audit?words=counted"
    for _ in range(5):
        page = client.get(address).text
        found += re.findall(r"line (\d+)<", page)
        older = re.search(r'href="(/audit\?[^"]*)">Earlier', page)
        if older is None:
            break
        address = older[1].replace("&amp;", "&")
    assert found == [str(n) for n in reversed(range(230))]
    for nonsense in ("before=x", "before=-1", f"before={'9' * 40}"):
        assert client.get(f"/audit?{nonsense}").status_code == 200


def test_a_change_that_cannot_be_written_down_is_not_made(office: Office) -> None:
    """The ledger refuses (the disk is full): nobody comes in unseen."""
    broken = StoreUnusable(office.state.store.folder, "the disk is full", "Make room.")
    client = office.client()
    with mock.patch.object(type(office.state.store), "note", side_effect=broken):
        data = {"login": "marit", "password": PASSWORD}
        answer = client.post("/sign-in", data=data, headers={"origin": ORIGIN})
    assert answer.status_code == 503
    assert "the disk is full" in answer.text
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


def test_waiting_ends_and_a_flood_of_names_frees_nobody() -> None:
    now = [0.0]
    wrong = WrongOnes(clock=lambda: now[0])
    for _ in range(WRONG):
        assert wrong.try_again({"name ines": WRONG}) == 0
    assert wrong.try_again({"name ines": WRONG}) > 0
    assert wrong.try_again({"name sefa": WRONG}) == 0
    for n in range(MOST_KEYS + 10):
        wrong.try_again({f"name {n}": WRONG})
    assert wrong.try_again({"name ines": WRONG}) > 0
    now[0] = WITHIN + 1
    assert wrong.try_again({"name ines": WRONG}) == 0


def test_tries_at_the_same_moment_are_all_counted() -> None:
    """Twenty threads at once get no more tries than one after the other."""
    wrong = WrongOnes()
    with ThreadPoolExecutor(20) as pool:
        waits = list(pool.map(lambda _: wrong.try_again({"name ines": WRONG}), range(200)))
    assert waits.count(0) == WRONG


def test_one_address_may_not_try_many_names(office: Office) -> None:
    client = office.client()
    answers = [
        client.post("/sign-in", data={"login": f"n{n}", "password": "x"}, headers={"origin": ORIGIN}).status_code
        for n in range(WRONG_HERE + 3)
    ]
    assert answers == [401] * WRONG_HERE + [429] * 3


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


def test_access_taken_away_ends_a_capture_that_goes_on(office: Office) -> None:
    """What had come in stays; nothing more is taken."""
    client, name = begun(office, "sefa")
    frames = chunks(2.0)
    with client.websocket_connect(f"/captures/{name}/sound", headers={"origin": ORIGIN}) as socket:
        assert socket.receive_json()["kind"] == "welcome"
        socket.send_bytes(frames[0].pack())
        while socket.receive_json() != {"kind": "kept", "next": 1}:
            pass
        elsewhere(office).remove("sefa")
        socket.send_bytes(frames[1].pack())
        with pytest.raises(WebSocketDisconnect) as closed:
            _read_on(socket)
        assert closed.value.code == 4403
    assert office.state.captures.get(name).next_number == 1
