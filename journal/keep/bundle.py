"""A visit as one zip file: sound and photographs, everything the store knows of it, pages to look at, hashes of all.

``bundle.json`` names format, version, origin and every other entry with its size and SHA-256; ``visit.json`` is the
visit.  What comes in from outside is believed only as far as it was checked: a bundle is taken whole or refused whole.
"""

from __future__ import annotations

import hashlib
import json
import re
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO, Any

from journal.domain.visit import Visit
from journal.errors import BadInput
from journal.keep.carrying import Carried, checked
from journal.keep.files import fit_name, suffix_of
from journal.keep.plain import NotPlain, from_plain, to_plain, write_json

FORMAT = "visit-journal bundle"
VERSION = 1
_CONTENTS = "bundle.json"
_VISIT = "visit.json"
_NAME = re.compile(r"(?!.*\.\.)[A-Za-z0-9][A-Za-z0-9._-]*(/[A-Za-z0-9][A-Za-z0-9._-]*){0,3}")
_CHUNK = 1 << 20
_MOST_ENTRIES = 5_000
_MOST_TEXT = 256 << 20
#: a day of 48 kHz stereo sound
_MOST_BYTES = 20 << 30


@dataclass(frozen=True, slots=True)
class Bundle:
    """An opened bundle whose list of contents was checked; entries are checked as they are read."""

    path: Path
    archive: zipfile.ZipFile
    entries: Mapping[str, tuple[int, str]]  # name -> bytes, SHA-256
    carried: Carried

    @property
    def files_bytes(self) -> int:
        """How much room its files need."""
        return sum(self.entries[part.file][0] for part in _parts(self.carried.visit))

    def copy(self, name: str, target: Path) -> None:
        """Write an entry to ``target``; raises ``BadInput`` when it is not what the contents say."""
        with target.open("xb") as out:
            for chunk in _checked_chunks(self.path, self.archive, name, *self.entries[name]):
                out.write(chunk)


def write_bundle(carried: Carried, sources: Mapping[str, Path], extras: Mapping[str, bytes], target: IO[bytes]) -> None:
    """Write a bundle.  ``sources``: path in the store -> its file; ``extras``: further entries (pages, captions)."""
    visit, names = _renamed(carried.visit)
    texts = {name: content for name, content in extras.items() if name not in (_CONTENTS, _VISIT)}
    texts[_VISIT] = write_json(to_plain(replace(carried, visit=visit))).encode("utf-8")
    entries: dict[str, dict[str, object]] = {}
    with zipfile.ZipFile(target, "w", allowZip64=True) as archive:
        for name, content in texts.items():
            if not _NAME.fullmatch(name):
                raise BadInput(f"{name!r} cannot be the name of an entry in a bundle.")
            archive.writestr(name, content, zipfile.ZIP_DEFLATED)
            entries[name] = {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for file, name in names.items():
            entries[name] = _store_file(archive, name, sources[file])
        contents = {
            "format": FORMAT,
            "version": VERSION,
            "store": carried.store,
            "head": carried.head,
            "files": entries,
        }
        archive.writestr(_CONTENTS, write_json(contents), zipfile.ZIP_DEFLATED)


@contextmanager
def open_bundle(path: Path) -> Iterator[Bundle]:
    """Open a bundle and read the visit in it.  Raises ``BadInput`` for whatever is wrong with it."""
    with _zip_errors(path):
        archive = zipfile.ZipFile(path)
    with archive:
        with _zip_errors(path):
            entries = _checked_entries(path, archive)
        text = b"".join(_checked_chunks(path, archive, _VISIT, *entries[_VISIT]))
        yield Bundle(path, archive, entries, _checked_visit(path, text, entries))


@contextmanager
def _zip_errors(path: Path) -> Iterator[None]:
    """Say plainly whatever a broken zip makes ``zipfile`` and ``zlib`` raise."""
    try:
        yield
    except (
        OSError,
        zipfile.BadZipFile,
        zlib.error,
        struct.error,
        NotImplementedError,
        RuntimeError,
        EOFError,
    ) as error:
        raise refused(path, f"it cannot be read ({str(error) or type(error).__name__})") from None
    except ValueError as error:  # names that are no UTF-8, offsets before the beginning
        raise refused(path, f"it is broken ({error})") from None


def refused(path: Path, reason: str) -> BadInput:
    """Return the sentence for a bundle that is not taken."""
    return BadInput(f"{path}: {reason}. Nothing was imported; ask for the bundle again.")


def _renamed(visit: Visit) -> tuple[Visit, dict[str, str]]:
    """Give files their names in the bundle; return the visit, and path in the store -> name in the bundle."""
    names: dict[str, str] = {}
    for folder, parts in (("recordings", visit.recordings), ("attachments", visit.attachments)):
        for part in parts:
            names[part.file] = f"{folder}/{fit_name(part.name)}{suffix_of(part.file)}"
    recordings = tuple(replace(part, file=names[part.file]) for part in visit.recordings)
    attachments = tuple(replace(part, file=names[part.file]) for part in visit.attachments)
    return replace(visit, recordings=recordings, attachments=attachments), names


def _store_file(archive: zipfile.ZipFile, name: str, source: Path) -> dict[str, object]:
    digest, size = hashlib.sha256(), 0
    with source.open("rb") as reading, archive.open(zipfile.ZipInfo(name), "w", force_zip64=True) as writing:
        while chunk := reading.read(_CHUNK):
            digest.update(chunk)
            size += len(chunk)
            writing.write(chunk)
    return {"bytes": size, "sha256": digest.hexdigest()}


def _checked_entries(path: Path, archive: zipfile.ZipFile) -> dict[str, tuple[int, str]]:
    """Check the zip's own list against ``bundle.json``; nothing is unpacked by a name that was not looked at."""
    infos = archive.infolist()
    if len(infos) > _MOST_ENTRIES:
        raise refused(path, "it has too many entries for a bundle")
    for info in infos:
        harmless = info.compress_type in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) and not info.flag_bits & 0x1
        if not harmless or not _NAME.fullmatch(info.filename) or stat.S_ISLNK(info.external_attr >> 16):
            raise refused(path, f"it has an entry no bundle has ({info.filename[:60]!r})")
    sizes = {info.filename: info.file_size for info in infos}
    if len(sizes) < len(infos) or _CONTENTS not in sizes or _VISIT not in sizes:
        raise refused(path, "it is no bundle of the journal")
    if sum(sizes.values()) > _MOST_BYTES or sizes[_VISIT] > _MOST_TEXT or sizes[_CONTENTS] > _MOST_TEXT:
        raise refused(path, "it is larger than any visit")
    contents = _json(path, archive.read(_CONTENTS))
    if not isinstance(contents, dict) or contents.get("format") != FORMAT:
        raise refused(path, "it is no bundle of the journal")
    if contents.get("version") != VERSION:
        raise refused(path, "it was made by a newer version of the journal")
    try:
        entries = {name: (int(said["bytes"]), str(said["sha256"])) for name, said in contents["files"].items()}
    except (KeyError, TypeError, ValueError, AttributeError):
        raise refused(path, "its list of contents is broken") from None
    if entries.keys() | {_CONTENTS} != sizes.keys() or any(sizes[name] != said for name, (said, _) in entries.items()):
        raise refused(path, "its contents are not those it lists")
    return entries


def _checked_chunks(path: Path, archive: zipfile.ZipFile, name: str, size: int, sha256: str) -> Iterator[bytes]:
    """Yield an entry piece by piece; never more than it said, and not without the right hash at the end."""
    digest, read = hashlib.sha256(), 0
    with _zip_errors(path):
        reading = archive.open(name)
    with reading:
        while chunk := _next_chunk(path, reading):
            read += len(chunk)
            if read > size:
                raise refused(path, f"{name} is larger than it says")
            digest.update(chunk)
            yield chunk
    if read != size or digest.hexdigest() != sha256:
        raise refused(path, f"{name} is not what was packed (wrong hash)")


def _next_chunk(path: Path, reading: IO[bytes]) -> bytes:
    with _zip_errors(path):
        return reading.read(_CHUNK)


def _checked_visit(path: Path, text: bytes, entries: Mapping[str, tuple[int, str]]) -> Carried:
    try:
        carried = checked(from_plain(Carried, _json(path, text)))
    except (NotPlain, BadInput) as error:
        raise refused(path, f"the visit in it cannot be read: {error}") from None
    files = [part.file for part in _parts(carried.visit)]
    if len(set(files)) < len(files) or not set(files) <= entries.keys():
        raise refused(path, "a recording or photograph of its visit is missing")
    if wrong := [part.file for part in _parts(carried.visit) if part.sha256 != entries[part.file][1]]:
        raise refused(path, f"{wrong[0]} is not the file the visit names")
    return carried


def _parts(visit: Visit) -> tuple[Any, ...]:
    return (*visit.recordings, *visit.attachments)


def _json(path: Path, text: bytes) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise refused(path, "what it says of itself cannot be read") from None
