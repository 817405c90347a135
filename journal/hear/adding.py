"""Takes a model that a user has got hold of: a folder or a zip, Vosk or whisper, checked, hashed and copied whole."""

from __future__ import annotations

import tempfile
import zipfile
from pathlib import Path

from journal.errors import ModelUnusable
from journal.hear.model_files import ModelInfo, add_model, write_manifest
from journal.hear.second_listener import find_whisper

LARGEST_UNPACKED = 8 * 2**30
"""Bytes; the largest public models are about half of it, and a zip can claim anything."""


def add(source: Path, own: Path, name: str | None = None) -> ModelInfo:
    """Copy a model into the user's ``own`` folder and return what is now listed.

    ``source`` is a folder or a zip with one model in it.  Raises ``ModelUnusable`` when it is not there, is no model,
    is incomplete, or would overwrite one.
    """
    if source.is_dir():
        return _take(_model_below(source), own, name)
    if not source.is_file():
        raise ModelUnusable(source, "there is no such file or folder", "Check the path.")
    if not zipfile.is_zipfile(source):
        raise ModelUnusable(source, "is neither a folder nor a zip", "Unpack the download and name its folder.")
    with tempfile.TemporaryDirectory(prefix="journal-model-") as folder:
        _unpack(source, Path(folder))
        return _take(_model_below(Path(folder)), own, name or source.stem)


def _take(folder: Path, own: Path, name: str | None) -> ModelInfo:
    if (folder / "model.bin").is_file():
        find_whisper(str(folder))
    info = add_model(folder, own, name)
    if info.state == "unverified":  # hashed when it came in, so that a later change shows
        write_manifest(info.path, origin=f"added from {folder.name}")
        info = ModelInfo(info.name, info.path, "verified", usable=True, origin=f"added from {folder.name}")
    return info


def _model_below(folder: Path) -> Path:
    """Return the folder that holds the model: downloads often wrap it in one more."""
    for candidate in (folder, *sorted(path for path in folder.iterdir() if path.is_dir())):
        if any((candidate / mark).exists() for mark in ("am", "final.mdl", "model.bin")):
            return candidate
    raise ModelUnusable(
        folder, "holds neither a Vosk nor a whisper model", "Name the folder with am/ or model.bin in it."
    )


def _unpack(source: Path, folder: Path) -> None:
    with zipfile.ZipFile(source) as archive:
        if sum(entry.file_size for entry in archive.infolist()) > LARGEST_UNPACKED:
            raise ModelUnusable(source, "would unpack to more than 8 GiB", "Unpack it yourself and name its folder.")
        for entry in archive.infolist():
            if not (folder / entry.filename).resolve().is_relative_to(folder.resolve()):
                raise ModelUnusable(source, f"holds a file outside its own folder ({entry.filename})", "Do not use it.")
        try:
            archive.extractall(folder)
        except (zipfile.BadZipFile, EOFError) as error:
            raise ModelUnusable(source, f"cannot be unpacked ({error})", "Download it again.") from error
