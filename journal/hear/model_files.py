"""Finds speech models, verifies them against their manifest, and never downloads one.

A model is looked for in the package (``data/models``, where the wheel carries it), in the checkout (``models``), and in
a folder of the user's own if the caller names one; a path works for any directory with a model in it.
``manifest.json`` beside a model names every file with its SHA-256; a model without one can be used but is
``unverified``.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from journal.carried import carried
from journal.errors import ModelUnusable
from journal.hear.layouts import VOSK, kind_of, missing_from

DEFAULT = "trade-english"
MANIFEST = "manifest.json"
REINSTALL = "Run: pip install --force-reinstall visit-journal; in a checkout: git checkout -- models"
NO_NAMES = ("auto", "off", "")  # the settings have another meaning for these
FETCH = "Unpack the model again, whole, or name another; `journal models` lists those at hand."

_NOT_READ = (MANIFEST, "README", "README.md", "README.txt", "LICENSE", "LICENSE.txt", "COPYING")


@dataclass(frozen=True, slots=True)
class ModelInfo:
    """One line of `journal models`. ``state``: 'verified', 'unverified' (no manifest) or why it cannot be used."""

    name: str
    path: Path
    state: str
    usable: bool
    kind: str = VOSK
    version: str = ""
    words: int | None = None
    licence: str = ""
    origin: str = ""
    bytes: int = 0


@dataclass(frozen=True, slots=True)
class ModelFiles:
    """The folder of a model and what its manifest says; ``manifest`` is empty when it has none."""

    name: str
    path: Path
    manifest: dict[str, Any]

    @property
    def has_manifest(self) -> bool:
        return bool(self.manifest)

    @property
    def kind(self) -> str:
        """'vosk', which hears first, or 'whisper', which hears second."""
        return kind_of(self.path) or VOSK

    def verify(self) -> None:
        """Raise ``ModelUnusable`` unless every file is there and, with a manifest, is what it says."""
        _complete(self.path)
        if not self.manifest:
            return
        expected = {entry["path"]: entry for entry in self.manifest["files"]}
        for name, entry in expected.items():
            file = self.path / name
            if not file.is_file():
                raise ModelUnusable(self.path, f"{name} is missing", _remedy(self.name))
            if _sha256(file) != entry["sha256"]:
                raise ModelUnusable(self.path, f"{name} is not the file its manifest names", _remedy(self.name))
        for file in sorted(self.path.rglob("*")):
            name = file.relative_to(self.path).as_posix()
            if file.is_file() and name not in expected and name not in _NOT_READ:
                raise ModelUnusable(self.path, f"{name} is not in its manifest", f"Remove it. {_remedy(self.name)}")


def model_folders(own: Path | None = None) -> list[Path]:
    """Return the folders models are looked for in, first come first served; ``own`` is the user's, if there is one."""
    return [folder for folder in (carried("models"), own) if folder is not None and folder.is_dir()]


def find_model(name_or_path: str | Path | None = None, own: Path | None = None) -> ModelFiles:
    """Return a model by name, or the one in a folder; ``None`` is the one the journal comes with.

    Only finds it: ``verify`` looks into the files. Raises ``ModelUnusable``.
    """
    wanted = str(name_or_path or DEFAULT)
    if Path(wanted).name == wanted:
        for folder in model_folders(own):
            if (folder / wanted).is_dir():
                return model_at(folder / wanted)
    path = Path(wanted).expanduser()
    if path.is_dir():
        return model_at(path)
    if path.is_file():
        raise ModelUnusable(path, "this is a file, not a model's folder", "Unpack it and name the folder.")
    if wanted == DEFAULT:
        raise ModelUnusable(DEFAULT, "the model the journal comes with is missing", f"{REINSTALL}/{DEFAULT}.")
    names = ", ".join(info.name for info in list_models(own)) or "none"
    raise ModelUnusable(wanted, f"there is no such model or folder (at hand: {names})", "Name one of these, or a path.")


def model_at(path: Path) -> ModelFiles:
    """Return the model in a folder, not looked into yet; raises ``ModelUnusable`` when its manifest is unreadable."""
    manifest = path / MANIFEST
    if not manifest.exists():
        return ModelFiles(path.name, path, {})
    try:
        told = json.loads(manifest.read_text(encoding="utf-8"))
        for entry in told["files"]:
            if not (isinstance(entry["path"], str) and isinstance(entry["sha256"], str)):
                raise TypeError("files need a path and a sha256")
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ModelUnusable(path, f"{MANIFEST} cannot be read ({error})", _remedy(path.name)) from error
    return ModelFiles(str(told.get("name", path.name)), path, told)


def list_models(own: Path | None = None) -> list[ModelInfo]:
    """Return every model at hand, verified; of two with one name, the one that ``find_model`` takes."""
    found: dict[str, ModelInfo] = {}
    for folder in model_folders(own):
        for path in sorted(entry for entry in folder.iterdir() if entry.is_dir() and _is_model(entry)):
            found.setdefault(path.name, describe(path))
    return list(found.values())


def describe(path: Path) -> ModelInfo:
    """Return what is known of the model in a folder, with the outcome of its verification."""
    size = sum(file.stat().st_size for file in path.rglob("*") if file.is_file())
    kind = kind_of(path) or VOSK
    try:
        model = model_at(path)
        model.verify()
    except ModelUnusable as error:
        return ModelInfo(path.name, path, error.reason, usable=False, kind=kind, bytes=size)
    told = model.manifest
    return ModelInfo(
        path.name,
        path,
        "verified" if told else "unverified",
        usable=True,
        kind=kind,
        version=str(told.get("version", "")),
        words=told.get("words"),
        licence=str(told.get("licence", "")),
        origin=str(told.get("origin", "")),
        bytes=size,
    )


def add_model(source: Path, own: Path, name: str | None = None, *, origin: str = "") -> ModelInfo:
    """Copy a model's folder into the user's ``own`` models, whole or not at all.

    With an ``origin``, a model that has no manifest gets one, so that a later change shows. Raises ``ModelUnusable``.
    """
    model = model_at(source.resolve())
    model.verify()
    target = own / _free_name(name or model.path.name, own)
    unfinished = target.with_name(f".{target.name}.unfinished")
    try:
        own.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(unfinished, ignore_errors=True)
        shutil.copytree(model.path, unfinished)
        if model.has_manifest or origin:
            _adopt(unfinished, target.name, origin)
        unfinished.rename(target)
    except OSError as error:
        shutil.rmtree(unfinished, ignore_errors=True)
        reason = f"it cannot be copied to {target} ({error.strerror or error})"
        raise ModelUnusable(source, reason, "Make room there, or use it by its path.") from error
    return describe(target)


def _free_name(name: str, own: Path) -> str:
    """Return the name for a new model, or raise when it is no name or is taken, also by one the journal carries."""
    if name != Path(name).name or name.startswith(".") or name in NO_NAMES:
        raise ModelUnusable(name, "this cannot be a model's name", "Give one with --name, in letters and digits.")
    if any((folder / name).exists() for folder in (*model_folders(own), own)):
        raise ModelUnusable(name, "a model of this name is there already", "Give another with --name.")
    return name


def _adopt(copy: Path, name: str, origin: str) -> None:
    """Let the manifest of a fresh copy carry its new name; make one where there was none."""
    if not (copy / MANIFEST).exists():
        write_manifest(copy, name=name, origin=origin)
        return
    told = {**json.loads((copy / MANIFEST).read_text(encoding="utf-8")), "name": name}
    (copy / MANIFEST).unlink()  # it may be read-only where it was copied from
    _write_json(copy / MANIFEST, told)


def write_manifest(path: Path, **told: str | int) -> None:
    """Write the manifest of a model's folder anew; fields not ``told`` are kept from the old one, if there is one."""
    file = path / MANIFEST
    old = json.loads(file.read_text(encoding="utf-8")) if file.exists() else {"name": path.resolve().name}
    files = [
        {"path": name, "sha256": _sha256(entry), "bytes": entry.stat().st_size}
        for entry in sorted(path.rglob("*"))
        if entry.is_file() and (name := entry.relative_to(path).as_posix()) not in _NOT_READ
    ]
    _write_json(file, {**old, **told, "files": files})


def _write_json(file: Path, told: dict[str, Any]) -> None:
    file.write_text(json.dumps(told, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


def _is_model(path: Path) -> bool:
    return not path.name.startswith(".") and ((path / MANIFEST).exists() or kind_of(path) is not None)


def _complete(path: Path) -> None:
    """Raise unless the folder has what its kind of model needs."""
    if kind_of(path) is None:
        raise ModelUnusable(path, "this folder holds no speech model (no am/final.mdl, no model.bin)", FETCH)
    if missing := missing_from(path):
        raise ModelUnusable(path, f"{missing} is missing or empty", _remedy(path.name))


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _remedy(name: str) -> str:
    return f"{REINSTALL}/{DEFAULT}." if name == DEFAULT else FETCH


if __name__ == "__main__":
    import sys

    write_manifest(Path(sys.argv[1]), version=sys.argv[2])
