"""The sound of a capture on disk, written before anything else happens to it.

``sound.log`` is append-only: a line of JSON about the visit, then records of a checksum, a length and a packed
frame.  ``append`` returns after ``fdatasync``: what was acknowledged survives a power cut.  A record cut in half by a
crash is found by its length or checksum and cut off when the log is opened again; the device still has it.
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import struct
import sys
import zlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any

from journal.errors import StoreUnusable
from journal.live.frames import HEAD, MAX_BODY, Frame, unpack

if sys.platform != "win32":
    import fcntl

NAME = "sound.log"
_RECORD = struct.Struct("<II")  # CRC-32 of the packed frame, its length
#: kept free on the disk: running out is told aloud while there is still room to finish what is open
SPARE_BYTES = 64 << 20

_flush = getattr(os, "fdatasync", os.fsync)  # Windows has only the latter


class SoundLog:
    """One capture's frames, open for appending.  Used by one thread at a time."""

    def __init__(self, folder: Path, about: dict[str, Any], end: int, numbers: int) -> None:
        self.folder = folder
        self.about = about
        self.next_number = numbers
        self._file = (folder / NAME).open("r+b", buffering=0)
        self._hold(folder)
        self._file.truncate(end)
        self._file.seek(end)
        self._end = end

    def _hold(self, folder: Path) -> None:
        """One journal at a time writes a log; another one leaves it alone."""
        if sys.platform == "win32":
            return
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            self._file.close()
            raise StoreUnusable(folder, "another journal is recording this visit", "Go on there, or stop it.") from None

    @classmethod
    def create(cls, folder: Path, about: dict[str, Any]) -> SoundLog:
        """Begin a log in a new folder.  Raises ``StoreUnusable`` when the disk refuses."""
        try:
            folder.mkdir(parents=True)
            line = json.dumps(about, ensure_ascii=False).encode() + b"\n"
            with (folder / NAME).open("xb") as file:
                file.write(line)
                file.flush()
                os.fsync(file.fileno())
            _sync_folder(folder)
            _sync_folder(folder.parent)
        except OSError as error:
            raise _refused(folder, error) from error
        return cls(folder, about, len(line), 0)

    @classmethod
    def reopen(cls, folder: Path) -> SoundLog:
        """Open a log that a crash or a restart left behind; half a record at its end is cut off."""
        about, end, number = {}, 0, 0
        with (folder / NAME).open("rb") as file:
            about = _head(folder, file.readline())
            end = file.tell()
            for frame, after in _records(file):
                end, number = after, frame.number + 1
        return cls(folder, about, end, number)

    def append(self, frames: Sequence[Frame]) -> None:
        """Write frames and wait until they are on the disk.

        Raises ``StoreUnusable`` when they are not, and then none of them counts as written.
        """
        if not frames:
            return
        try:
            if free_bytes(self.folder) < SPARE_BYTES:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))  # while there is still room for the record
            data = memoryview(b"".join(_record(frame) for frame in frames))
            while data:
                data = data[self._file.write(data) :]
            _flush(self._file.fileno())
        except OSError as error:
            self._take_back()
            raise _refused(self.folder, error) from error
        self._end = self._file.tell()
        self.next_number = frames[-1].number + 1

    def frames(self) -> Iterator[Frame]:
        """Yield everything on the disk, in order."""
        return read_frames(self.folder)

    def close(self) -> None:
        self._file.close()

    def _take_back(self) -> None:
        """Drop what was written halfway; if even that fails, ``reopen`` finds the broken record."""
        try:
            self._file.truncate(self._end)
            self._file.seek(self._end)
        except OSError:
            pass

    def __enter__(self) -> SoundLog:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def read_frames(folder: Path) -> Iterator[Frame]:
    """Yield the frames of a log in order, up to the first record that is not whole."""
    with (folder / NAME).open("rb") as file:
        _head(folder, file.readline())
        for frame, _ in _records(file):
            yield frame


def read_about(folder: Path) -> dict[str, Any]:
    """Return what a log says about its visit."""
    with (folder / NAME).open("rb") as file:
        return _head(folder, file.readline())


def free_bytes(folder: Path) -> int:
    """Return how much of the disk is free for us."""
    return shutil.disk_usage(folder).free


def _records(file: Any) -> Iterator[tuple[Frame, int]]:
    """Yield frames with the place after each, until the end or the first broken record."""
    while len(head := file.read(_RECORD.size)) == _RECORD.size:
        checksum, length = _RECORD.unpack(head)
        if not HEAD.size <= length <= HEAD.size + MAX_BODY:
            return
        packed = file.read(length)
        if len(packed) < length or zlib.crc32(packed) != checksum:
            return
        yield unpack(packed), file.tell()


def _record(frame: Frame) -> bytes:
    packed = frame.pack()
    return _RECORD.pack(zlib.crc32(packed), len(packed)) + packed


def _head(folder: Path, line: bytes) -> dict[str, Any]:
    try:
        about = json.loads(line)
    except ValueError:
        about = None
    if not isinstance(about, dict) or not line.endswith(b"\n"):
        raise StoreUnusable(folder, "an unfinished visit begins with a broken line", "Keep the folder as it is.")
    return about


def _refused(folder: Path, error: OSError) -> StoreUnusable:
    full = error.errno == errno.ENOSPC
    reason = "the disk is full" if full else f"the disk refuses to keep sound ({error.strerror or error})"
    return StoreUnusable(folder, reason, "Everything before this moment is kept; free some space, then go on.")


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
