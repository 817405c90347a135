"""A user's own model: checked, hashed, copied whole; what is hostile or incomplete is refused."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import pytest

from journal.errors import ModelUnusable
from journal.hear.adding import add
from journal.hear.model_files import find_model, list_models


@pytest.fixture
def vosk_folder(tmp_path: Path) -> Path:
    """A Vosk model as it is downloaded: no manifest of ours."""
    target = tmp_path / "download" / "vosk-model"
    shutil.copytree(find_model(None).path, target, ignore=shutil.ignore_patterns("manifest.json"))
    return target


def zipped(folder: Path, path: Path, prefix: str = "") -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for file in sorted(folder.rglob("*")):
            archive.write(file, f"{prefix}{file.relative_to(folder.parent)}")
    return path


def whisper_folder(path: Path) -> Path:
    path.mkdir()
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (path / name).write_bytes(b"weights")
    return path


def test_a_folder_and_a_zip_are_added_hashed_and_found(vosk_folder: Path, tmp_path: Path) -> None:
    own = tmp_path / "own"
    assert add(vosk_folder, own, "mine").name == "mine"
    assert add(zipped(vosk_folder, tmp_path / "other.zip"), own).name == "other"
    assert {"mine", "other"} <= {model.name for model in list_models(own) if model.state == "verified"}
    find_model("mine", own).verify()
    words = own / "mine" / "graph" / "words.txt"
    words.chmod(0o644)
    words.write_text("changed", encoding="utf-8")
    with pytest.raises(ModelUnusable, match=r"words\.txt"):
        find_model("mine", own).verify()


def test_a_whisper_folder_is_a_model_too(tmp_path: Path) -> None:
    folder = whisper_folder(tmp_path / "base-en")
    assert add(folder, tmp_path / "own").state == "verified"
    (folder / "tokenizer.json").unlink()
    with pytest.raises(ModelUnusable, match=r"tokenizer\.json"):
        add(folder, tmp_path / "own", "again")


def test_what_is_no_model_is_refused(tmp_path: Path, vosk_folder: Path) -> None:
    own = tmp_path / "own"
    text = tmp_path / "model.zip"
    text.write_text("not a zip", encoding="utf-8")
    empty = tmp_path / "empty"
    empty.mkdir()
    (vosk_folder / "am" / "final.mdl").unlink()
    for source in (text, empty, tmp_path / "gone", vosk_folder):
        with pytest.raises(ModelUnusable) as caught:
            add(source, own, "refused")
        assert str(caught.value).endswith(".")
    assert not (own / "refused").exists()


def test_a_zip_that_reaches_outside_is_refused(tmp_path: Path, vosk_folder: Path) -> None:
    hostile = zipped(vosk_folder, tmp_path / "hostile.zip", prefix="../../")
    with pytest.raises(ModelUnusable, match="outside"):
        add(hostile, tmp_path / "own")
    assert not (tmp_path.parent / "vosk-model").exists()
