"""Finds speech models, verifies them against their manifest, and never downloads one.

A model is looked for in the package (``data/models``, where the wheel carries it), in the checkout (``models``), and in
a folder of the user's own if the caller names one; a path works for any directory with a Vosk model in it.
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

DEFAULT = "trade-english"
MANIFEST = "manifest.json"
REINSTALL = "Run: pip install --force-reinstall visit-journal; in a checkout: git checkout -- models"
FETCH = "Unpack the model again, whole, or name another; `journal models` lists those at hand."

# What Vosk reads, by layout (path below the model's folder); one of each tuple has to be there.
_NESTED = (
    ("am/final.mdl",),
    ("conf/mfcc.conf",),
    ("conf/model.conf",),
    ("graph/HCLG.fst", "graph/HCLr.fst"),
    ("graph/words.txt", "graph/HCLG.fst", "graph/Gr.fst"),
    ("graph/phones/word_boundary.int",),
)
_FLAT = (
    ("final.mdl",),
    ("mfcc.conf",),
    ("HCLG.fst", "HCLr.fst"),
    ("words.txt", "HCLG.fst", "Gr.fst"),
    ("word_boundary.int",),
)
_LOOK_AHEAD = ("Gr.fst", "disambig_tid.int")  # beside HCLr.fst
_IVECTOR = ("final.dubm", "final.ie", "final.mat", "global_cmvn.stats", "online_cmvn.conf", "splice.conf")
_WHISPER = ("model.bin", "config.json", "tokenizer.json")
_NOT_READ = (MANIFEST, "README", "README.md", "README.txt", "LICENSE", "LICENSE.txt", "COPYING")


@dataclass(frozen=True, slots=True)
class ModelInfo:
    """One line of `journal models`. ``state``: 'verified', 'unverified' (no manifest) or why it cannot be used."""

    name: str
    path: Path
    state: str
    usable: bool
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
                return _model(folder / wanted)
    path = Path(wanted).expanduser()
    if path.is_dir():
        return _model(path)
    if path.is_file():
        raise ModelUnusable(path, "this is a file, not a model's folder", "Unpack it and name the folder.")
    if wanted == DEFAULT:
        raise ModelUnusable(DEFAULT, "the model the journal comes with is missing", f"{REINSTALL}/{DEFAULT}.")
    names = ", ".join(info.name for info in list_models(own)) or "none"
    raise ModelUnusable(wanted, f"there is no such model or folder (at hand: {names})", "Name one of these, or a path.")


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
    try:
        model = _model(path)
        model.verify()
    except ModelUnusable as error:
        return ModelInfo(path.name, path, error.reason, usable=False, bytes=size)
    told = model.manifest
    return ModelInfo(
        path.name,
        path,
        "verified" if told else "unverified",
        usable=True,
        version=str(told.get("version", "")),
        words=told.get("words"),
        licence=str(told.get("licence", "")),
        origin=str(told.get("origin", "")),
        bytes=size,
    )


def add_model(source: Path, own: Path, name: str | None = None) -> ModelInfo:
    """Copy a model's folder into the user's ``own`` models, whole or not at all. Raises ``ModelUnusable``."""
    model = find_model(source.resolve())
    model.verify()
    target = own / (name or model.path.name)
    if target.exists():
        raise ModelUnusable(target.name, "a model of this name is there already", "Give it another name.")
    unfinished = target.with_name(f".{target.name}.unfinished")
    try:
        own.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(unfinished, ignore_errors=True)
        shutil.copytree(model.path, unfinished)
        unfinished.rename(target)
    except OSError as error:
        shutil.rmtree(unfinished, ignore_errors=True)
        reason = f"it cannot be copied to {target} ({error.strerror or error})"
        raise ModelUnusable(source, reason, "Make room there, or use it by its path.") from error
    return describe(target)


def write_manifest(path: Path, **told: str | int) -> None:
    """Write the manifest of a model's folder anew; fields not ``told`` are kept from the old one, if there is one."""
    file = path / MANIFEST
    old = json.loads(file.read_text(encoding="utf-8")) if file.exists() else {"name": path.resolve().name}
    files = [
        {"path": name, "sha256": _sha256(entry), "bytes": entry.stat().st_size}
        for entry in sorted(path.rglob("*"))
        if entry.is_file() and (name := entry.relative_to(path).as_posix()) not in _NOT_READ
    ]
    manifest = {**old, **told, "files": files}
    file.write_text(json.dumps(manifest, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


def _model(path: Path) -> ModelFiles:
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


def _is_model(path: Path) -> bool:
    return any((path / name).exists() for name in (MANIFEST, "am", "final.mdl", "model.bin"))


def _complete(path: Path) -> None:
    """Raise unless the folder has what Vosk reads, in one of its two layouts, or what whisper (CTranslate2) reads."""
    if (path / "model.bin").is_file():
        for name in _WHISPER:
            if not (path / name).is_file() or not (path / name).stat().st_size:
                raise ModelUnusable(path, f"{name} is missing or empty", _remedy(path.name))
        return
    nested = (path / "am").is_dir()
    if not nested and not (path / "final.mdl").is_file():
        raise ModelUnusable(path, "this folder holds no Vosk model (no am/final.mdl)", FETCH)
    wanted = [*(_NESTED if nested else _FLAT)]
    graph = "graph/" if nested else ""
    if (path / f"{graph}HCLr.fst").is_file() and not (path / f"{graph}HCLG.fst").is_file():
        wanted += [(graph + name,) for name in _LOOK_AHEAD]
    if (path / "ivector").is_dir():
        wanted += [(f"ivector/{name}",) for name in _IVECTOR]
    for names in wanted:
        if not any((path / name).is_file() and (path / name).stat().st_size for name in names):
            raise ModelUnusable(path, f"{' or '.join(names)} is missing or empty", _remedy(path.name))


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _remedy(name: str) -> str:
    return f"{REINSTALL}/{DEFAULT}." if name == DEFAULT else FETCH


if __name__ == "__main__":
    import sys

    write_manifest(Path(sys.argv[1]), version=sys.argv[2])
