"""A user's own model: checked, hashed, copied whole; what is hostile or incomplete is refused."""

from __future__ import annotations

import errno
import shutil
import zipfile
from pathlib import Path

import pytest

from journal.errors import ModelUnusable
from journal.hear.adding import add
from journal.hear.model_files import find_model, list_models
from journal.hear.second_listener import find_whisper
from journal.hear.vosk_recogniser import VoskModel


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
    for name in ("model.bin", "config.json", "tokenizer.json", "vocabulary.txt"):
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
    own = tmp_path / "own"
    added = add(whisper_folder(tmp_path / "base-en"), own)
    assert (added.name, added.kind, added.state) == ("base-en", "whisper", "verified")
    found = find_whisper("base-en", own)
    assert found is not None
    assert (found.name, found.path, found.origin) == ("base-en", own / "base-en", "added from base-en")
    (own / "base-en" / "model.bin").write_bytes(b"other weights")
    with pytest.raises(ModelUnusable, match=r"model\.bin is not the file"):
        find_whisper("base-en", own)


@pytest.mark.parametrize("lacking", ["config.json", "tokenizer.json", "vocabulary.txt"])
def test_a_whisper_folder_that_would_not_load_offline_is_refused(tmp_path: Path, lacking: str) -> None:
    folder = whisper_folder(tmp_path / "base-en")
    (folder / lacking).unlink()
    with pytest.raises(ModelUnusable, match=lacking.replace(".", r"\.")):
        add(folder, tmp_path / "own")
    with pytest.raises(ModelUnusable, match=lacking.replace(".", r"\.")):
        find_whisper(str(folder))


def test_whisper_is_no_first_listener(tmp_path: Path) -> None:
    with pytest.raises(ModelUnusable, match="hears second only"):
        VoskModel(find_model(whisper_folder(tmp_path / "base-en")))


def test_a_manifest_that_came_along_is_kept_under_the_new_name(tmp_path: Path) -> None:
    carried, own = find_model(None), tmp_path / "own"
    assert add(carried.path, own, "mine").origin == carried.manifest["origin"]
    mine = find_model("mine", own)
    assert (mine.name, mine.manifest["files"]) == ("mine", carried.manifest["files"])
    mine.verify()


@pytest.mark.parametrize("name", ["../mine", "a/b", ".hidden", "off", "auto"])
def test_what_cannot_be_a_name_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(ModelUnusable, match="cannot be a model's name"):
        add(whisper_folder(tmp_path / "base-en"), tmp_path / "own", name)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["base-en"]


def test_the_name_of_a_carried_model_is_taken(tmp_path: Path) -> None:
    with pytest.raises(ModelUnusable, match="there already"):
        add(whisper_folder(tmp_path / "base-en"), tmp_path / "own", "trade-english")


def test_a_folder_with_several_models_is_refused(tmp_path: Path) -> None:
    for name in ("first", "second"):
        whisper_folder(tmp_path / name)
    with pytest.raises(ModelUnusable, match=r"more than one model \(first, second\)"):
        add(tmp_path, tmp_path / "own", "both")


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


def test_a_zip_that_would_fill_the_disk_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    archive = zipped(whisper_folder(tmp_path / "base-en"), tmp_path / "big.zip")
    monkeypatch.setattr("journal.hear.adding.LARGEST_UNPACKED", 20)
    with pytest.raises(ModelUnusable, match="would unpack to more"):
        add(archive, tmp_path / "own")


def test_a_damaged_zip_leaves_nothing_behind(tmp_path: Path) -> None:
    archive = zipped(whisper_folder(tmp_path / "base-en"), tmp_path / "damaged.zip")
    data = archive.read_bytes()
    at = data.index(b"weights")
    archive.write_bytes(data[:at] + b"WEIGHTS" + data[at + 7 :])
    with pytest.raises(ModelUnusable, match="cannot be unpacked") as caught:
        add(archive, tmp_path / "own")
    assert "Download it again." in str(caught.value)
    assert list((tmp_path / "own").iterdir()) == []


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(source: Path, target: Path) -> None:
        Path(target).mkdir()
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(shutil, "copytree", full)
    with pytest.raises(ModelUnusable, match="No space left") as caught:
        add(whisper_folder(tmp_path / "base-en"), tmp_path / "own")
    assert "Make room there" in str(caught.value)
    assert list((tmp_path / "own").iterdir()) == []
