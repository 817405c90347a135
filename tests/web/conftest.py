"""A server in this process: two technicians, one of the office, a program, and a visit of each technician."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from unittest import mock

import numpy as np
import pytest
from starlette.testclient import TestClient

from journal.domain.speech import Utterance
from journal.domain.visit import Visit
from journal.hear.scripted import ScriptedRecogniser
from journal.hear.sound_file import write_flac
from journal.keep import Store
from journal.live import Captures
from journal.pipeline import Frame as VisitFrame
from journal.pipeline import Rules, compose, understand
from journal.present.web import people as people_module
from journal.present.web.app import build_app
from journal.present.web.people import People, Role
from journal.present.web.sessions import Sessions
from journal.present.web.state import State
from tests.builders import a_recording, an_utterance
from tests.web.working_day import a_day

ORIGIN = "http://testserver"
PASSWORD = "a long enough password"
SPOKEN = [
    "compressor is rated eleven point two amps",
    "compressor is pulling nine point six amps",
    "common to run one point one ohms",
    "common to start three point nine ohms",
    "run to start five point oh ohms",
]


@dataclass(slots=True)
class Office:
    """The server and how to come in."""

    state: State
    visits: dict[str, Visit]
    token: str
    _clients: list[TestClient] = field(default_factory=list)

    def client(self, login: str | None = None) -> TestClient:
        """A browser of its own; ``login`` is signed in."""
        client = TestClient(build_app(self.state), raise_server_exceptions=False, follow_redirects=False)
        client.headers["accept"] = "text/html"
        self._clients.append(client)
        if login:
            answer = client.post("/sign-in", data={"login": login, "password": PASSWORD}, headers={"origin": ORIGIN})
            assert answer.status_code == 303, answer.text
        return client

    def form_token(self, client: TestClient) -> str:
        return str(client.get("/who").json()["form"])

    def post(self, client: TestClient, path: str, data: dict[str, str] | None = None, **how: object) -> object:
        """Change something as a page of ours does."""
        data = {**(data or {}), "form_token": self.form_token(client)}
        return client.post(path, data=data, headers={"origin": ORIGIN}, **how)  # type: ignore[arg-type]


def spoken_visit(store: Store, technician: str, sound: Path) -> Visit:
    utterances: list[Utterance] = [an_utterance(text, at=5.0 * n, index=n) for n, text in enumerate(SPOKEN)]
    frame = VisitFrame("Reach-in", technician, "Alder Street Deli")
    recording = a_recording(seconds=30.0)
    recording = type(recording)(**{**{f: getattr(recording, f) for f in recording.__slots__}, "sha256": "", "file": ""})
    visit = compose(frame, [recording], utterances, understand(utterances, rules=Rules()))
    return store.add_visit(visit, {"r1": sound})


@pytest.fixture(scope="session", autouse=True)
def _quick_passwords() -> Iterator[None]:
    """Argon2 at its cheapest: what is tested is who may come in, not how long guessing takes."""
    from argon2 import PasswordHasher

    cheap = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    with mock.patch.object(people_module, "_hasher", return_value=cheap):
        people_module._nobodys.clear()
        yield


@dataclass(frozen=True, slots=True)
class Template:
    folder: Path
    token: str
    visits: dict[str, Visit]


@pytest.fixture(scope="session")
def template(tmp_path_factory: pytest.TempPathFactory, _quick_passwords: None) -> Template:
    """A store made once; each test works on a copy."""
    folder = tmp_path_factory.mktemp("template")
    sound = folder / "r1.flac"
    write_flac(sound, [np.arange(-8000, 8000, dtype=np.int16)] * 30)
    with Store.open(folder / "store") as store:
        people = People(store.folder)
        people.add("ines", "Ines Okafor", Role.TECHNICIAN, PASSWORD)
        people.add("sefa", "Sefa Lindqvist", Role.TECHNICIAN, PASSWORD)
        people.add("marit", "Marit Adeyemi", Role.OFFICE, PASSWORD)
        token = people.add_token("billing")
        visits = {
            "ines": spoken_visit(store, "Ines Okafor", sound),
            "sefa": spoken_visit(store, "Sefa Lindqvist", sound),
        }
    return Template(folder / "store", token, visits)


@pytest.fixture(scope="session")
def worked(tmp_path_factory: pytest.TempPathFactory, template: Template) -> Template:
    """A store with forty visits, twenty of them of the last day; made once."""
    folder = tmp_path_factory.mktemp("worked")
    shutil.copytree(template.folder / "access", folder / "store" / "access")
    with Store.open(folder / "store") as store:
        visits = a_day(store, folder / "r1.flac")
    return Template(folder / "store", template.token, {visit.code: visit for visit in visits})


@pytest.fixture
def evening(tmp_path: Path, worked: Template) -> Iterator[Office]:
    """The office in the evening: forty visits."""
    shutil.copytree(worked.folder, tmp_path / "evening")
    yield from open_office(tmp_path / "evening", worked)


def open_office(folder: Path, template: Template) -> Iterator[Office]:
    with Store.open(folder) as store:
        captures = Captures(store, Rules(), lambda name: ScriptedRecogniser([]), "scripted")
        state = State(store, captures, Rules(), People(folder), Sessions(folder), technician="Ines Okafor")
        one = Office(state, template.visits, template.token)
        yield one
        for client in one._clients:
            client.close()
        captures.close()


@pytest.fixture
def office(tmp_path: Path, template: Template) -> Iterator[Office]:
    shutil.copytree(template.folder, tmp_path / "store")
    yield from open_office(tmp_path / "store", template)


@pytest.fixture
def alone(tmp_path: Path, template: Template) -> Iterator[Office]:
    """The same on this machine only: nobody has to log in."""
    shutil.copytree(template.folder, tmp_path / "alone", ignore=shutil.ignore_patterns("access"))
    yield from open_office(tmp_path / "alone", template)
