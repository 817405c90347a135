"""Bad input and bad surroundings: one clear sentence with the way out, exit code 2, nothing lost, no traceback."""

from __future__ import annotations

import errno
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from journal.cli import main
from tests.cli.running import Ran, run


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return tmp_path / "store"


def tone(path: Path, seconds: float = 1.0) -> Path:
    """A quiet hum: sound without a word."""
    time = np.arange(int(16000 * seconds)) / 16000
    soundfile.write(path, 0.01 * np.sin(2 * np.pi * 120 * time), 16000)
    return path


def one_sentence(ran: Ran) -> str:
    assert ran.code == 2, ran
    assert "Traceback" not in ran.err
    lines = [line for line in ran.err.splitlines() if line.strip()]
    assert len(lines) == 1, lines
    assert lines[0].endswith("."), lines
    return lines[0]


def text_file(folder: Path) -> Path:
    path = folder / "notes.wav"
    path.write_text("common to run one point four ohms\n" * 20, encoding="utf-8")
    return path


def empty_file(folder: Path) -> Path:
    path = folder / "empty.wav"
    path.touch()
    return path


def cut_off_flac(folder: Path) -> Path:
    path = folder / "cut.flac"
    noise = np.random.default_rng(1).normal(0, 0.1, 160_000)
    soundfile.write(path, noise, 16000)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    return path


def missing_file(folder: Path) -> Path:
    return folder / "not-there.wav"


@pytest.mark.parametrize("make", [text_file, empty_file, cut_off_flac, missing_file, lambda folder: folder])
@pytest.mark.usefixtures("speech_model")
def test_what_is_no_recording(tmp_path: Path, store: Path, make: Callable[[Path], Path]) -> None:
    path = make(tmp_path)
    sentence = one_sentence(run("ingest", path, "--store", store))
    assert str(path) in sentence
    assert run("visits", "--store", store, "--json").json() in ([], None)


def test_a_file_that_is_no_database_is_left_alone(store: Path, tmp_path: Path) -> None:
    store.mkdir()
    (store / "journal.sqlite").write_text("this is a shopping list\n" * 50, encoding="utf-8")
    before = (store / "journal.sqlite").read_bytes()
    sentence = one_sentence(run("visits", "--store", store))
    assert "database" in sentence
    assert (store / "journal.sqlite").read_bytes() == before


@pytest.mark.parametrize(
    ("code", "word"), [(errno.ENOSPC, "full"), (errno.EROFS, "read-only")], ids=["ENOSPC", "EROFS"]
)
@pytest.mark.usefixtures("speech_model")
def test_a_full_or_read_only_disk_while_the_recording_is_copied(
    tmp_path: Path, store: Path, monkeypatch: pytest.MonkeyPatch, code: int, word: str
) -> None:
    assert run("ingest", tone(tmp_path / "before.wav"), "--store", store).code == 0
    before = run("visits", "--store", store, "--json").json()

    def refuse(*_: object, **__: object) -> int:
        raise OSError(code, os.strerror(code))

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", refuse)
        sentence = one_sentence(run("ingest", tone(tmp_path / "next.wav", 2.0), "--store", store))
    assert word in sentence
    assert run("visits", "--store", store, "--json").json() == before
    assert run("ingest", tmp_path / "next.wav", "--store", store).code == 0


@pytest.mark.parametrize(
    ("message", "word"), [("database or disk is full", "full"), ("attempt to write a readonly database", "read-only")]
)
@pytest.mark.usefixtures("speech_model")
def test_a_full_or_read_only_disk_while_the_visit_is_written(
    tmp_path: Path, store: Path, monkeypatch: pytest.MonkeyPatch, message: str, word: str
) -> None:
    import journal.keep.visits as writing

    assert run("ingest", tone(tmp_path / "before.wav"), "--store", store).code == 0

    def refuse(*_: object, **__: object) -> None:
        raise sqlite3.OperationalError(message)

    with monkeypatch.context() as patch:
        patch.setattr(writing, "insert", refuse)
        sentence = one_sentence(run("ingest", tone(tmp_path / "next.wav"), "--store", store))
    assert word in sentence
    assert len(run("visits", "--store", store, "--json").json() or []) == 1
    kept = [path for path in (store / "recordings").rglob("*") if path.is_file()]
    assert len(kept) == 1, "the sound of a visit that was not written is taken back"


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS])
@pytest.mark.usefixtures("speech_model")
def test_an_export_that_cannot_be_written_leaves_no_half_file(
    tmp_path: Path, store: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    visit = run("ingest", tone(tmp_path / "a.wav"), "--store", store, "--json").json()

    def refuse(self: Path, *_: object, **__: object) -> int:
        self.touch()
        raise OSError(code, os.strerror(code), str(self))

    out = tmp_path / "record.html"
    with monkeypatch.context() as patch:
        patch.setattr(Path, "write_bytes", refuse)
        one_sentence(run("export", visit["code"], "-o", out, "--store", store))
    assert list(tmp_path.glob("record.html*")) == []


@pytest.mark.usefixtures("speech_model")
def test_silence_is_no_error_and_says_so(tmp_path: Path, store: Path) -> None:
    ran = run("ingest", tone(tmp_path / "hum.wav", 3.0), "--store", store)
    assert ran.code == 0
    assert "no reading" in ran.out.lower()


@pytest.mark.usefixtures("speech_model")
def test_an_altered_model_says_how_to_get_it_right(tmp_path: Path, store: Path) -> None:
    import shutil

    from journal.hear.model_files import find_model

    copy = tmp_path / "altered"
    shutil.copytree(find_model(None).path, copy)
    target = copy / "am" / "final.mdl"
    target.chmod(0o644)
    data = bytearray(target.read_bytes())
    data[len(data) // 2] ^= 1
    target.write_bytes(bytes(data))
    sentence = one_sentence(run("ingest", tone(tmp_path / "a.wav"), "--store", store, "--model", copy))
    assert "final.mdl" in sentence


def test_a_model_that_is_not_there(tmp_path: Path, store: Path) -> None:
    sentence = one_sentence(run("ingest", tone(tmp_path / "a.wav"), "--store", store, "--model", "gone"))
    assert "gone" in sentence


def test_an_unknown_visit_is_a_plain_no(store: Path) -> None:
    from journal.keep import Store
    from journal.keep.codes import new_code

    Store.open(store).close()
    ran = run("show", new_code(lambda code: False), "--store", store)
    assert ran.code == 1
    assert "Traceback" not in ran.err


def test_a_check_by_hand_names_the_nearest_right_name() -> None:
    sentence = one_sentence(run("check", "run-capacitr", "--measured", "41.2uF", "--marked", "45uF"))
    assert "capacitor" in sentence


def test_text_that_is_not_there(tmp_path: Path) -> None:
    assert "not there" in one_sentence(run("readings", tmp_path / "none.txt"))


def test_something_unforeseen_is_one_sentence_too(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    import journal.cli.records as records

    def fail(*_: object) -> int:
        raise RuntimeError("secret detail")

    monkeypatch.setattr(records, "open_store", fail)
    sentence = one_sentence(run("visits", "--store", tmp_path))
    report = Path(sentence.rsplit(" ", 1)[-1].rstrip("."))
    assert "secret detail" in report.read_text(encoding="utf-8")
    report.unlink()
    assert main is not None


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs a shell's pipe")
def test_a_reader_that_goes_away_is_no_answer(typed: tuple[Path, str]) -> None:
    """'journal show ... | head -1' is done, not 'not so': what people are shown goes through rich, which says 1."""
    command = [sys.executable, "-m", "journal", "show", typed[1], "--store", str(typed[0])]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert (process.wait(60), process.stderr.read()) == (0, b"")
