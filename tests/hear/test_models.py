"""Models are found by name or path and verified file by file; nothing is ever fetched."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from journal.errors import ModelUnusable
from journal.hear.model_files import add_model, find_model, list_models


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    target = tmp_path / "copy"
    shutil.copytree(find_model(None).path, target)
    for file in target.rglob("*"):
        file.chmod(0o755 if file.is_dir() else 0o644)
    return target


def test_the_carried_model_is_whole_and_says_what_it_is() -> None:
    model = find_model(None)
    model.verify()
    told = json.loads((model.path / "manifest.json").read_text(encoding="utf-8"))
    assert {"name", "licence", "origin", "files"} <= set(told)
    assert all(len(entry["sha256"]) == 64 for entry in told["files"])


@pytest.mark.parametrize("file", ["am/final.mdl", "conf/model.conf", "graph/words.txt"])
def test_one_changed_byte_is_found(copy: Path, file: str) -> None:
    data = bytearray((copy / file).read_bytes())
    data[len(data) // 2] ^= 1
    (copy / file).write_bytes(bytes(data))
    with pytest.raises(ModelUnusable, match=Path(file).name):
        find_model(copy).verify()


def test_a_missing_and_an_extra_file_are_found(copy: Path) -> None:
    (copy / "extra.fst").touch()
    with pytest.raises(ModelUnusable, match=r"extra\.fst"):
        find_model(copy).verify()
    (copy / "extra.fst").unlink()
    (copy / "graph" / "words.txt").unlink()
    with pytest.raises(ModelUnusable, match=r"words\.txt"):
        find_model(copy).verify()


def test_a_model_without_manifest_can_be_used_but_is_not_verified(copy: Path, tmp_path: Path) -> None:
    (copy / "manifest.json").unlink()
    info = add_model(copy, tmp_path / "own", "mine")
    assert (info.state, info.usable) == ("unverified", True)
    assert "mine" in [model.name for model in list_models(tmp_path / "own")]
    with pytest.raises(ModelUnusable, match="already"):
        add_model(copy, tmp_path / "own", "mine")


def test_what_is_no_model_is_one_sentence(tmp_path: Path) -> None:
    for wanted in ("gone", tmp_path, tmp_path / "gone"):
        with pytest.raises(ModelUnusable) as caught:
            find_model(wanted).verify()
        assert str(caught.value).endswith(".")
