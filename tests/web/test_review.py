"""What people do on the pages: look, listen, put right, overrule, sign off, hand on; also twice, and two at once."""

from __future__ import annotations

import hashlib
import json
import sqlite3
import uuid
from typing import Any
from unittest import mock

import jsonschema
import pytest
from openapi_spec_validator import validate

from journal.domain.visit import Visit
from journal.keep.corrections import current
from journal.live.frames import Kind, told
from journal.present.export import handed_on, json_text
from journal.present.web.handing_on import description
from tests.live.sounds import START, chunks
from tests.web.conftest import ORIGIN, PASSWORD, Office


def now(office: Office, whose: str = "ines") -> Visit:
    return current(office.state.store.visit(office.visits[whose].code))


def place(office: Office, number: int = 1) -> str:
    visit = office.visits["ines"]
    return f"/visits/{visit.code}/readings/{visit.readings[number].id}"


def test_a_correction_is_kept_and_the_verdicts_are_made_again(office: Office) -> None:
    """9.6 A of 11.2 A rated load is within; over it is a note (common practice), so marginal."""
    client = office.client("ines")
    before = {v.check: v.outcome.value for v in now(office).verdicts}
    answer: Any = office.post(client, place(office), {"value": "19.6", "why": "listened again", "seen": "0"})
    assert answer.status_code == 303
    assert answer.headers["location"].endswith(f"#r-{office.visits['ines'].readings[1].id}")
    after = {v.check: v.outcome.value for v in now(office).verdicts}
    changed = {check for check in after if before.get(check) != after[check]}
    assert changed, (before, after)
    assert {before[check] for check in changed} == {"within"}
    assert "marginal" in {after[check] for check in changed}
    kept = office.state.store.visit(office.visits["ines"].code)
    assert str(kept.readings[1].value) == "9.6", "the original stays"
    page = client.get(f"/visits/{kept.code}").text
    assert "Put right, 1 changed before" in page
    assert "listened again" in page


def test_a_double_click_is_one_correction(office: Office) -> None:
    client = office.client("ines")
    for _ in range(2):
        answer: Any = office.post(client, place(office), {"value": "19.6", "seen": "0"})
        assert answer.status_code == 303
    assert len(office.state.store.visit(office.visits["ines"].code).corrections) == 1


def test_two_people_at_the_same_reading(office: Office) -> None:
    """The one who comes second learns what it says now, and changes nothing."""
    first, second = office.client("ines"), office.client("marit")
    office.post(first, place(office), {"value": "19.6", "seen": "0"})
    answer: Any = office.post(second, place(office), {"value": "6.9", "seen": "0"})
    assert answer.status_code == 409
    assert "19.6 A now" in answer.text
    assert str(now(office).readings[1].value) == "19.6"


@pytest.mark.parametrize("value", ["twelve", "NaN", "1e999999", "", "<script>alert(1)</script>"])
def test_values_that_are_none(office: Office, value: str) -> None:
    client = office.client("ines")
    head = office.state.store.head()
    answer: Any = office.post(client, place(office), {"value": value, "seen": "0"})
    assert answer.status_code == 400
    assert "<script>" not in answer.text
    assert office.state.store.head() == head


def test_not_a_reading_and_back(office: Office) -> None:
    client = office.client("ines")
    office.post(client, place(office), {"not_a_reading": "yes", "seen": "0"})
    assert now(office).readings[1].withdrawn
    office.post(client, place(office), {"again": "yes", "seen": "1"})
    assert not now(office).readings[1].withdrawn


def test_overruling_keeps_both(office: Office) -> None:
    visit = office.visits["ines"]
    says = {"says": "fine for this model", "why": "maker's bulletin"}
    answer: Any = office.post(office.client("marit"), f"/visits/{visit.code}/verdicts/{visit.verdicts[0].id}", says)
    assert answer.status_code == 303
    page = office.client("marit").get(f"/visits/{visit.code}").text
    assert "fine for this model" in page
    assert visit.verdicts[0].title in page


def test_signing_off_closes_and_twice_is_once(office: Office) -> None:
    client, code = office.client("ines"), office.visits["ines"].code
    for _ in range(2):
        answer: Any = office.post(client, f"/visits/{code}/sign-off")
        assert answer.status_code == 303
    assert now(office).status == "closed"
    assert [line.action for line in office.state.store.history(code)].count("signed off") == 1
    page = client.get(f"/visits/{code}").text
    assert "signed off" in page
    assert 'id="sign-off"' not in page
    answer = office.post(client, f"/visits/{code}/attachments", files={"file": ("a.png", b"\x89PNG", "image/png")})
    assert answer.status_code == 400


def test_a_photograph_is_kept_and_shown(office: Office) -> None:
    client, code = office.client("ines"), office.visits["ines"].code
    files = {"file": ("../../plate.png", b"\x89PNG\r\n\x1a\nplate", "image/png")}
    answer: Any = office.post(client, f"/visits/{code}/attachments", {"caption": "<b>plate</b>"}, files=files)
    assert answer.status_code == 303
    kept = now(office).attachments[0]
    assert kept.original_name == "plate.png"
    shown = client.get(f"/visits/{code}/attachments/{kept.name}")
    assert (shown.headers["content-type"], shown.content) == ("image/png", b"\x89PNG\r\n\x1a\nplate")
    assert "&lt;b&gt;plate&lt;/b&gt;" in client.get(f"/visits/{code}").text


def test_a_page_that_pretends_to_be_a_picture_is_only_saved(office: Office) -> None:
    client, code = office.client("ines"), office.visits["ines"].code
    files = {"file": ("x.svg", b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "image/svg+xml")}
    office.post(client, f"/visits/{code}/attachments", {}, files=files)
    shown = client.get(f"/visits/{code}/attachments/{now(office).attachments[0].name}")
    assert shown.headers["content-type"] == "application/octet-stream"
    assert shown.headers["content-disposition"].startswith("attachment")


def test_sound_is_sent_in_parts(office: Office) -> None:
    client, code = office.client("ines"), office.visits["ines"].code
    whole = client.get(f"/visits/{code}/sound/r1")
    assert whole.headers["content-type"] == "audio/flac"
    part = client.get(f"/visits/{code}/sound/r1", headers={"range": "bytes=100-199"})
    assert (part.status_code, part.content) == (206, whole.content[100:200])
    assert client.get(f"/visits/{code}/sound/r9").status_code == 404


def refusing(*_: object, **__: object) -> None:
    raise sqlite3.OperationalError("database or disk is full")


@pytest.mark.parametrize("what", ["correct", "overrule", "fact", "sign-off", "attach", "log-in", "person"])
def test_a_full_disk_is_told_and_nothing_changes(office: Office, what: str) -> None:
    """The database has no room for a further line: each change says so, what was there stays, and reading goes on."""
    visit = office.visits["ines"]
    client = office.client("marit")
    path, form = {
        "correct": (place(office), {"value": "19.6"}),
        "overrule": (f"/visits/{visit.code}/verdicts/{visit.verdicts[0].id}", {"says": "fine", "why": "bulletin"}),
        "fact": (f"/visits/{visit.code}/facts", {"name": "travel", "value": "12 miles"}),
        "sign-off": (f"/visits/{visit.code}/sign-off", {}),
        "attach": (f"/visits/{visit.code}/attachments", {}),
        "log-in": ("/sign-in", {"login": "sefa", "password": PASSWORD}),
        "person": ("/programs", {"program": "accounts"}),
    }[what]
    files = {"file": ("plate.png", b"\x89PNG", "image/png")} if what == "attach" else None
    before, folder = office.state.store.head(), office.state.store.folder
    there = sorted(path.name for path in folder.rglob("*") if path.is_file() and path.suffix == ".png")
    with mock.patch("journal.keep.ledger.Event.close", refusing):
        answer: Any = office.post(client, path, form, files=files)
    assert answer.status_code == 503
    assert "full" in answer.text
    assert str(folder) not in answer.text
    assert office.state.store.head() == before
    assert sorted(path.name for path in folder.rglob("*") if path.is_file() and path.suffix == ".png") == there
    assert client.get(f"/visits/{visit.code}").status_code == 200
    again: Any = office.post(client, path, form, files=files)
    assert again.status_code in (200, 303), "with room again it goes on"
    assert office.state.store.verify().ok


def test_lost_sound_is_told_and_the_page_still_opens(office: Office) -> None:
    client, visit = office.client("ines"), office.visits["ines"]
    office.state.store.sound_path(visit, "r1").unlink()
    assert client.get(f"/visits/{visit.code}/sound/r1").status_code == 503
    assert client.get(f"/visits/{visit.code}").status_code == 200


@pytest.mark.parametrize("form", ["record.html", "record.pdf", "visit.json", "readings.csv", "captions.vtt"])
def test_handing_on(office: Office, form: str) -> None:
    if form == "record.pdf":
        pytest.importorskip("typst", reason="PDF needs the extra [pdf]")
    answer = office.client("ines").get(f"/visits/{office.visits['ines'].code}/export/{form}")
    assert answer.status_code == 200
    assert "attachment" in answer.headers["content-disposition"]
    assert len(answer.text) > 200
    if not form.endswith("pdf"):
        assert office.state.store.head() in answer.text, "the store's digest stands on every export"


def test_what_is_handed_on_is_the_visit_as_it_stands(office: Office) -> None:
    client, visit = office.client("ines"), office.visits["ines"]
    reading = visit.readings[0].id
    office.state.store.correct(visit.code, reading, {"value": "19.6"}, by="Ines Okafor", why="heard again")
    document = client.get(f"/visits/{visit.code}/export/visit.json").json()
    (held,) = [one for one in document["readings"] if one["id"] == reading]
    assert held["value"] == 19.6
    assert document["missing"]["items"]


def test_a_release_is_written_down(office: Office) -> None:
    client, visit = office.client("marit"), office.visits["ines"]
    path = f"/visits/{visit.code}/release"
    said = visit.utterances[0].text
    plain: Any = office.post(client, path, {"form": "html"})
    assert (plain.status_code, said in plain.text) == (200, False)
    assert all("released" not in line.action for line in office.state.store.history(visit.code))
    whole: Any = office.post(client, path, {"transcript": "1", "sound": "1", "form": "html"})
    assert said in whole.text
    line = office.state.store.history(visit.code)[-1]
    digest = hashlib.sha256(whole.content).hexdigest()
    assert (line.action, line.by) == ("released to the customer", "Marit Adeyemi")
    assert line.why == f"sound, transcript; html, SHA-256 {digest}"


@pytest.mark.parametrize(
    ("asked", "found"),
    [("text=compressor", 2), ("text=zebra", 0), ("outcome=within", 2), ("outcome=outside", 0), ("site=alder", 2),
     ("technician=Sefa", 1), ("open=1", 2), ("since=2100-01-01", 0), ("outcome=nonsense", 2), ("text=%22%29%20OR", 0)],
)  # fmt: skip
def test_the_list_is_filtered(office: Office, asked: str, found: int) -> None:
    page = office.client("marit").get(f"/visits?{asked}").text
    assert page.count('<a class="name" href="/visits/') == found


def test_unknown_visits_are_told_plainly(office: Office) -> None:
    answer = office.client("marit").get("/visits/ZZZZZZ")
    assert answer.status_code == 404
    assert "Traceback" not in answer.text


def test_alone_nobody_has_to_log_in(alone: Office) -> None:
    client = alone.client()
    assert alone.visits["ines"].code in client.get("/visits").text
    answer: Any = alone.post(client, place(alone), {"value": "19.6", "seen": "0"})
    assert answer.status_code == 303
    assert alone.state.store.history(alone.visits["ines"].code)[-1].by == "Ines Okafor"
    assert client.post(place(alone), data={"value": "7"}, headers={"origin": ORIGIN}).status_code == 403


def test_a_capture_over_the_socket(office: Office) -> None:
    """Chunks are acknowledged once they are on the disk; a second connection goes on where the first was cut."""
    client, name = office.client("ines"), str(uuid.uuid4())
    office.post(client, "/captures", {"id": name, "title": "By telephone", "site": "Alder Street Deli"})
    frames = chunks(2.0)
    headers = {"origin": ORIGIN}
    with client.websocket_connect(f"/captures/{name}/sound", headers=headers) as socket:
        assert socket.receive_json() == {"kind": "welcome", "next": 0}
        for frame in frames[:12]:
            socket.send_bytes(frame.pack())
        assert until(socket, "kept", 12)
    with client.websocket_connect(f"/captures/{name}/sound", headers=headers) as socket:
        assert socket.receive_json() == {"kind": "welcome", "next": 12}
        for frame in frames[10:]:
            socket.send_bytes(frame.pack())
        socket.send_bytes(told(20, Kind.REQUEST, START, do="finish").pack())
        code = until(socket, "finished", None)["code"]
    visit = office.state.store.visit(code)
    assert (visit.id, visit.title, visit.technician, visit.site) == (
        name,
        "By telephone",
        "Ines Okafor",
        "Alder Street Deli",
    )
    assert visit.recordings[0].seconds == 2.0
    with client.websocket_connect(f"/captures/{name}/sound", headers=headers) as socket:
        assert socket.receive_json() == {"kind": "finished", "code": code}
    answer: Any = office.post(client, "/captures", {"id": name})
    assert answer.status_code == 409


def until(socket: Any, kind: str, number: int | None) -> dict[str, Any]:
    for _ in range(60):
        message: dict[str, Any] = socket.receive_json()
        if message["kind"] == kind and (number is None or message["next"] >= number):
            return message
    raise AssertionError(f"{kind} never came")


def test_programs_get_what_is_exported(office: Office) -> None:
    client = office.client()
    headers = {"authorization": f"Bearer {office.token}"}
    listed = client.get("/api/visits", headers=headers).json()["visits"]
    assert {one["code"] for one in listed} == {visit.code for visit in office.visits.values()}
    code = office.visits["ines"].code
    kept, head = current(office.state.store.visit(code)), office.state.store.head()
    assert client.get(f"/api/visits/{code}", headers=headers).text == json_text(handed_on(kept, head=head)) + "\n"
    assert client.get("/api/visits?outcome=nonsense", headers=headers).status_code == 400
    assert client.get("/api/visits?limit=0", headers=headers).status_code == 400
    assert client.get("/api/visits/ZZZZZZ", headers=headers).status_code == 404


def test_the_api_is_as_described(office: Office) -> None:
    """Every described path exists and answers in the described shape; no other path is there."""
    client, headers = office.client(), {"authorization": f"Bearer {office.token}"}
    document = client.get("/api/openapi.json").json()
    assert document["openapi"].startswith("3.1")
    from journal.present.web.app import WAYS

    assert set(document["paths"]) == {way.path for way in WAYS if way.who == "program"}
    answers = {"/api/visits": client.get("/api/visits", headers=headers).json()}
    answers["/api/visits/{code}"] = client.get(f"/api/visits/{office.visits['ines'].code}", headers=headers).json()
    for path, answer in answers.items():
        content = document["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]["schema"]
        name = content["$ref"].rpartition("/")[2]
        schema = resolved(document, name)
        jsonschema.Draft202012Validator(schema).validate(answer)
        broken = json.loads(json.dumps(answer).replace('"readings"', '"readngs"'))
        assert not jsonschema.Draft202012Validator(schema).is_valid(broken), "the schema holds answers to something"


def test_the_description_is_one_of_openapi() -> None:
    """Held against the specification's own schema (OpenAPI 3.1, as openapi-spec-validator carries it)."""
    validate(json.loads(json_text(description())))


def test_what_is_refused_is_told_as_described(office: Office) -> None:
    """Every refusal that the description names comes, with the sentence it promises."""
    document = office.client().get("/api/openapi.json").json()
    headers = {"authorization": f"Bearer {office.token}"}
    asked: dict[tuple[str, str], tuple[str, dict[str, str]]] = {
        ("/api/visits", "400"): ("/api/visits?outcome=nonsense", headers),
        ("/api/visits", "401"): ("/api/visits", {}),
        ("/api/visits/{code}", "401"): ("/api/visits/ZZZZZZ", {}),
        ("/api/visits/{code}", "404"): ("/api/visits/ZZZZZZ", headers),
    }
    described = {
        (path, status)
        for path, methods in document["paths"].items()
        for status in methods["get"]["responses"]
        if status != "200"
    }
    assert described == set(asked)
    for (path, status), (address, given) in asked.items():
        answer = office.client().get(address, headers=given)
        assert answer.status_code == int(status), path
        jsonschema.Draft202012Validator(document["components"]["schemas"]["Problem"]).validate(answer.json())
    assert {method for methods in document["paths"].values() for method in methods} == {"get"}, "nothing is changed"


def resolved(document: dict[str, Any], name: str) -> dict[str, Any]:
    """A schema of the document as one of its own, with all the others in reach."""
    schemas: dict[str, Any] = json.loads(
        json.dumps(document["components"]["schemas"]).replace("#/components/schemas/", "#/$defs/")
    )
    return {"$ref": f"#/$defs/{name}", "$defs": schemas}


def test_the_description_is_made_once() -> None:
    assert description() is description()
