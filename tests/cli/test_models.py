"""`journal models`: a user's own models are added, listed, verified and chosen by name, and stand apart by kind."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
import soundfile

from journal.cli.hearing import load_second_listener
from journal.config import own_models
from journal.errors import ModelUnusable
from journal.hear.model_files import find_model
from tests.cli.running import run


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder of the user's own models."""
    monkeypatch.setattr("platformdirs.user_data_path", lambda application: tmp_path / "data" / application)
    assert own_models().is_relative_to(tmp_path)
    return own_models()


@pytest.fixture
def download(tmp_path: Path) -> Path:
    """A Vosk model as it is downloaded: no manifest of ours."""
    target = tmp_path / "vosk-model"
    shutil.copytree(find_model(None).path, target, ignore=shutil.ignore_patterns("manifest.json"))
    return target


@pytest.fixture
def whisper(tmp_path: Path) -> Path:
    folder = tmp_path / "small-en"
    folder.mkdir()
    for name in ("model.bin", "config.json", "tokenizer.json", "vocabulary.json"):
        (folder / name).write_bytes(b"weights")
    return folder


def listed() -> dict[str, tuple[str, str]]:
    return {model["name"]: (model["kind"], model["state"]) for model in run("models", "--json").json()}


def test_the_carried_model_is_listed_and_verified() -> None:
    assert listed() == {"trade-english": ("vosk", "verified")}
    ran = run("models", "verify", "trade-english")
    assert (ran.code, ran.out) == (0, "trade-english: every file is what its manifest says.\n")
    assert "trade-english" in run("models").out


def test_an_added_model_is_listed_verified_and_heard_with(download: Path, own: Path, tmp_path: Path) -> None:
    ran = run("models", "add", download, "--name", "mine")
    assert ran.code == 0
    assert "--model mine" in ran.out
    shutil.rmtree(download)
    assert listed()["mine"] == ("vosk", "verified")
    assert run("models", "verify", "mine").code == 0
    hum = tmp_path / "hum.wav"
    soundfile.write(hum, np.zeros(16_000), 16_000)
    assert run("transcribe", hum, "--model", "mine").code == 0
    settings = tmp_path / "settings.toml"
    settings.write_text('model = "mine"\n', encoding="utf-8")
    assert run("transcribe", hum, "--settings", settings).code == 0
    (own / "mine" / "graph" / "words.txt").write_bytes(b"changed")
    assert "words.txt" in listed()["mine"][1]
    for ran in (run("models", "verify", "mine"), run("transcribe", hum, "--settings", settings)):
        assert ran.code == 2
        assert "words.txt is not the file its manifest names" in ran.err
        assert ran.err.count("\n") == 1


def test_an_added_whisper_model_listens_second(whisper: Path, own: Path, tmp_path: Path) -> None:
    ran = run("models", "add", whisper)
    assert 'second_listener = "small-en"' in ran.out
    assert listed()["small-en"] == ("whisper", "verified")
    with pytest.raises(ModelUnusable, match="whisper cannot load it"):  # found; but these weights are none
        load_second_listener("small-en")
    (own / "small-en" / "model.bin").write_bytes(b"other")
    with pytest.raises(ModelUnusable, match=r"model\.bin is not the file"):
        load_second_listener("small-en")
    ran = run("ingest", tmp_path / "gone.wav", "--model", "small-en")
    assert ran.code == 2


@pytest.mark.parametrize("what", [(), ("gone",), ("vosk-model/am",)])
def test_what_cannot_be_added_or_verified_is_one_sentence(download: Path, what: tuple[str, ...]) -> None:
    for action in ("add", "verify"):
        ran = run("models", action, *(download.parent / part for part in what))
        assert ran.code == 2
        assert ran.err.count("\n") == 1
        assert ran.err.rstrip().endswith(".")
        assert ran.out == ""
