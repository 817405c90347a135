"""Takes a model that a user has got hold of: a folder or a zip, Vosk or whisper, checked, hashed and copied whole."""

from __future__ import annotations

import lzma
import tempfile
import zipfile
import zlib
from pathlib import Path

from journal.errors import ModelUnusable
from journal.hear.layouts import kind_of
from journal.hear.model_files import ModelInfo, add_model

LARGEST_UNPACKED = 8 * 2**30
"""Bytes; the largest public models are about half of it, and a zip can claim anything."""


def add(source: Path, own: Path, name: str | None = None) -> ModelInfo:
    """Copy a model into the user's ``own`` folder and return what is now listed.

    ``source`` is a folder or a zip with one model in it; ``name`` is what it will be called, else as the folder or
    zip is.  A model without a manifest gets one.  Raises ``ModelUnusable`` when it is not there, is no model, is
    incomplete, or would take the name of another.
    """
    origin = f"added from {source.name}"
    if source.is_dir():
        return add_model(_model_below(source, source), own, name, origin=origin)
    if not source.is_file():
        raise ModelUnusable(source, "there is no such file or folder", "Check the path.")
    if not zipfile.is_zipfile(source):
        raise ModelUnusable(source, "is neither a folder nor a whole zip", "Unpack the download and name its folder.")
    try:
        own.mkdir(parents=True, exist_ok=True)
        # Beside the models: the room for temporary files is often small, and models are not.
        with tempfile.TemporaryDirectory(prefix=".unpacking-", dir=own) as folder:
            _unpack(source, Path(folder))
            return add_model(_model_below(Path(folder), source), own, name or source.stem, origin=origin)
    except OSError as error:
        reason = f"cannot be unpacked to {own} ({error.strerror or error})"
        raise ModelUnusable(source, reason, "Make room there, or use an unpacked folder by its path.") from error


def _model_below(folder: Path, source: Path) -> Path:
    """Return the folder that holds the model: downloads often wrap it in one more."""
    if kind_of(folder):
        return folder
    inner = sorted(path for path in folder.iterdir() if path.is_dir() and kind_of(path))
    if not inner:
        remedy = "Name the folder with am/ or model.bin in it."
        raise ModelUnusable(source, "holds neither a Vosk nor a whisper model", remedy)
    if len(inner) > 1:
        names = ", ".join(path.name for path in inner)
        raise ModelUnusable(source, f"holds more than one model ({names})", "Add the folder of each by itself.")
    return inner[0]


def _unpack(source: Path, folder: Path) -> None:
    try:
        with zipfile.ZipFile(source) as archive:
            # What is unpacked never exceeds what the entries claim: zipfile stops there and compares the checksum.
            if sum(entry.file_size for entry in archive.infolist()) > LARGEST_UNPACKED:
                raise ModelUnusable(
                    source, "would unpack to more than 8 GiB", "Unpack it yourself and name its folder."
                )
            for entry in archive.infolist():
                if not (folder / entry.filename).resolve().is_relative_to(folder.resolve()):
                    reason = f"holds a file outside its own folder ({entry.filename})"
                    raise ModelUnusable(source, reason, "Do not use it.")
            archive.extractall(folder)
    except (zipfile.BadZipFile, EOFError, zlib.error, lzma.LZMAError, RuntimeError) as error:
        raise ModelUnusable(source, f"cannot be unpacked ({error})", "Download it again.") from error
