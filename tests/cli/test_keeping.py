"""The commands on stored visits: look, put right, prove, keep safe; as a person would type them."""

from __future__ import annotations

import contextlib
import csv
import io
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from journal.domain.speech import utterance_of
from journal.domain.visit import Equipment
from journal.keep import Store
from journal.pipeline import Frame, Rules, compose, understand
from tests.cli.running import run

LINES = (
    "customer says the freezer is warm",
    "run cap is stamped forty microfarads",
    "it reads thirty six point five",
    "common to run one point four ohms",
    "common to ground eleven and a half ohms",
)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A store with one visit made of typed notes, and the visit's code."""
    folder = tmp_path_factory.mktemp("keeping") / "store"
    utterances = [utterance_of(line, index=index) for index, line in enumerate(LINES)]
    machine = Equipment("walk-in freezer", serial="QX7704", use="freezer")
    understanding = understand(utterances, equipment=(machine,), rules=Rules())
    frame = Frame("Freezer warm", "Ines Okafor", "Quillwort Bakery", "2026-03-02T08:15:00+00:00")
    with Store.open(folder) as store:
        return folder, store.add_visit(compose(frame, (), utterances, understanding), {}).code


@pytest.fixture
def store(kept: tuple[Path, str], tmp_path: Path) -> Path:
    """A copy of that store, so that each test begins with the same."""
    target = tmp_path / "store"
    assert run("backup", target, "--store", kept[0]).code == 0
    return target


@pytest.fixture
def code(kept: tuple[Path, str]) -> str:
    return kept[1]


def shown(store: Path, code: str) -> Any:
    return run("show", code, "--store", store, "--json").json()


def test_visits_show_and_search(store: Path, code: str) -> None:
    (summary,) = run("visits", "--store", store, "--json").json()
    assert summary["code"] == code
    assert code in run("visits", "--store", store, "--outcome", "outside").out
    assert run("visits", "--store", store, "--outcome", "marginal", "--site", "nowhere", "--json").json() == []
    out = run("show", code, "--store", store).out
    for words in ("Freezer warm", "the freezer is warm", "36.5", "11.5", "out of limits"):
        assert words in out
    assert run("search", "stamped", "--store", store).code == 0
    assert run("search", "chandelier", "--store", store).code == 1


def test_a_correction_judges_again_and_keeps_the_original(store: Path, code: str) -> None:
    before = shown(store, code)
    number = next(n for n, r in enumerate(before["readings"], 1) if r["value"] == 36.5)
    listed = run("correct", code, "--store", store)
    assert "36.5" in listed.out
    ran = run("correct", code, number, "value=39.5", "--why", "heard again", "--by", "Ines", "--store", store)
    assert ran.code == 0, ran.err
    after = shown(store, code)
    assert after["readings"][number - 1]["value"] == 39.5, "the visit as it stands"
    (correction,) = after["corrections"]
    assert (correction["before"], correction["after"], correction["by"]) == ("36.5", "39.5", "Ines")
    outcomes = (
        {v["check"]: v["outcome"] for v in before["verdicts"]},
        {v["check"]: v["outcome"] for v in after["verdicts"]},
    )
    assert (outcomes[0]["capacitor"], outcomes[1]["capacitor"]) == ("marginal", "within")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("99", "value=1", "--why", "x"), "readings 1 to"),
        (("1", "value=1"), "says why"),
        (("1", "rubbish", "--why", "x"), "FIELD=VALUE"),
        (("1", "value=soup", "--why", "x"), "soup"),
        (("--confirm", "--why", "x"), "which reading"),
    ],
)
def test_a_correction_that_cannot_be(store: Path, code: str, words: tuple[str, ...], said: str) -> None:
    ran = run("correct", code, *words, "--store", store)
    assert ran.code == 2
    assert said in ran.err
    assert len(ran.err.strip().splitlines()) == 1


def test_signed_off_means_corrections_only(store: Path, code: str, tmp_path: Path) -> None:
    photo = tmp_path / "plate.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0" + bytes(100))
    assert run("attach", code, photo, "--caption", "the plate", "--store", store).code == 0
    assert run("sign-off", code, "--by", "Office", "--store", store).code == 0
    assert run("attach", code, photo, "--store", store).code == 2
    assert run("correct", code, "title=Freezer", "--why", "shorter", "--store", store).code == 0
    assert run("verify", "--store", store).code == 0


def test_history_of_a_machine(store: Path, code: str) -> None:
    ran = run("history", code, "--kind", "capacitance", "--store", store)
    assert ran.code == 0, ran.err
    assert "36.5" in ran.out
    rows = run("history", "--serial", "QX7704", "--store", store, "--json").json()["readings"]
    assert {row["visit"] for row in rows} == {code}
    assert run("history", "--serial", "NONE", "--store", store).code == 1
    assert run("history", code, "--kind", "colour", "--store", store).code == 2


def test_verify_finds_what_was_changed_behind_its_back(store: Path) -> None:
    report = run("verify", "--store", store, "--json").json()
    assert report["ok"]
    assert run("verify", "--against", report["head"], "--store", store).code == 0
    assert run("verify", "--against", "0" * 64, "--store", store).code == 1
    database = store / "journal.sqlite"
    data = database.read_bytes()
    assert data.count(b"Quillwort") > 0
    database.write_bytes(data.replace(b"Quillwort", b"Quillwart"))
    assert run("verify", "--store", store).code == 1


def test_a_backup_comes_back(store: Path, code: str, tmp_path: Path) -> None:
    new = tmp_path / "restored"
    assert run("restore", store, "--store", new).code == 0
    assert shown(new, code) == shown(store, code)
    assert run("restore", store, "--store", new).code == 2, "an existing store is not replaced unasked"


def test_a_bundle_travels_and_doubles_nothing(store: Path, code: str, tmp_path: Path) -> None:
    bundle, other = tmp_path / "visit.zip", tmp_path / "other"
    assert run("export", code, "-f", "bundle", "-o", bundle, "--store", store).code == 0
    assert run("import", bundle, "--store", other, "--json").json()[0]["outcome"] == "added"
    assert run("import", bundle, "--store", other, "--json").json()[0]["outcome"] == "known"
    assert len(run("visits", "--store", other, "--json").json()) == 1
    bundle.write_bytes(bundle.read_bytes()[:-300])
    assert run("import", bundle, "--store", other).code == 2


def test_exports(store: Path, code: str) -> None:
    html = run("export", code, "-o", "-", "--store", store).out
    assert "Freezer warm" in html
    customer = run("export", code, "--for", "customer", "-o", "-", "--store", store).out
    assert "stamped forty" in html
    assert "stamped forty" not in customer
    rows = list(csv.reader(io.StringIO(run("export", code, "-f", "csv", "-o", "-", "--store", store).out)))
    assert len(rows) == 1 + len(shown(store, code)["readings"])
    assert run("export", code, "-f", "vtt", "-o", "-", "--store", store).out.startswith("WEBVTT")
    assert run("export", code, "--with-sound", "-o", "-", "--store", store).code == 1


def test_units_and_limits_are_listed() -> None:
    units = run("readings", "--units", "--json").json()
    assert {"unit": "microfarad", "symbol": "µF", "ucum": "uF", "kinds": ["capacitance"]} in units
    assert "microfarad" in run("readings", "--units").out
    assert "supply" in run("check", "--limits").out
    assert all(limit["source"] for limit in run("check", "--limits", "--json").json().values())
    assert run("readings").code == 2


def test_lists_and_index_are_made_again(typed: tuple[Path, str]) -> None:
    """The caches are no part of what is covered: emptied, nothing is found; made again, everything is."""
    store, code = typed
    with contextlib.closing(sqlite3.connect(store / "journal.sqlite")) as connection, connection:
        for table in ("overview", "machines", "findable"):
            connection.execute(f"DELETE FROM {table}")
    assert run("search", "freezer", "--store", store).code == 1
    rebuilt = run("verify", "--rebuild", "--store", store)
    assert (rebuilt.code, rebuilt.out.splitlines()[0]) == (0, "Lists and search index made again for 1 visits.")
    assert [one["code"] for one in run("search", "freezer", "--store", store, "--json").json()] == [code]
    assert run("history", "--serial", "QX7704", "--store", store).code == 0
