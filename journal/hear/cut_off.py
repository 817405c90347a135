"""Whether a file ends before its own container says it should.

libsndfile takes a shortened WAV, AIFF, Ogg or MP3 for a shorter recording and says nothing. These containers
carry their length, so the loss can be seen: the RIFF and AIFF chunk sizes, the byte count of the MP3 'Xing'
header, the page lengths of Ogg (RFC 3533 section 6). Recorders that stream write 0 or a maximum as length; that
promises nothing and is accepted.
"""

from __future__ import annotations

import os
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

STREAMED = 0x7FFFF000
"""Chunk sizes from here on, and 0, are what recorders write when they do not know the length yet."""


@dataclass(frozen=True, slots=True)
class Missing:
    """``share`` of the promised bytes that are there (0 where the container does not tell), and how it shows."""

    share: float
    how: str


def ends_early(path: Path) -> Missing | None:
    """Return what is missing at the end of a file, or ``None`` when it is whole or its kind does not tell."""
    with path.open("rb") as file:
        size = os.fstat(file.fileno()).st_size
        head = file.read(12)
        if head[:4] == b"RIFF":
            return _chunked(file, size, "<", b"data")
        if head[:4] == b"FORM":
            return _chunked(file, size, ">", b"SSND")
        if head[:4] == b"OggS":
            return _ogg(file, size)
        if head[:3] == b"ID3" or (head[:1] == b"\xff" and head[1] & 0xE0 == 0xE0):
            return _mp3(file, size)
    return None


def _chunked(file: BinaryIO, size: int, order: str, wanted: bytes) -> Missing | None:
    """Walk the chunks of a RIFF or IFF file to the one with the samples."""
    at = 12
    while at + 8 <= size:
        file.seek(at)
        name, length = struct.unpack(f"{order}4sI", file.read(8))
        if name == wanted:
            there = size - at - 8
            if 0 < length < STREAMED and there < length - 1:  # the pad byte may be missing
                return Missing(there / length, "its header promises more")
            return None
        at += 8 + length + (length & 1)
    return None


def _ogg(file: BinaryIO, size: int) -> Missing | None:
    """Find the last page by its capture pattern and see whether it is all there."""
    tail = min(size, 0x20000)  # a page is at most 65,307 bytes
    file.seek(size - tail)
    data = file.read(tail)
    at = data.rfind(b"OggS")
    if at < 0:
        return None
    header = data[at : at + 27]
    segments = data[at + 27 : at + 27 + header[26]] if len(header) == 27 else b""
    if len(header) < 27 or len(segments) < header[26] or at + 27 + len(segments) + sum(segments) > len(data):
        return Missing(0.0, "its last page is incomplete")
    return None


def _mp3(file: BinaryIO, size: int) -> Missing | None:
    """Compare the byte count that encoders leave in the first frame with the file."""
    file.seek(0)
    head = file.read(10)
    start = 0
    if head[:3] == b"ID3":
        start = 10 + (head[6] << 21 | head[7] << 14 | head[8] << 7 | head[9])
    file.seek(start)
    frame = file.read(256)
    at = max(frame.find(b"Xing"), frame.find(b"Info"))
    if at < 0 or len(frame) < at + 16:
        return None
    flags, *counts = struct.unpack(">III", frame[at + 4 : at + 16])
    if not flags & 2:
        return None
    promised = counts[1 if flags & 1 else 0]
    there = size - start
    # Encoders disagree by a frame or two about what they count.
    if promised and there < promised - 4096 and there < promised * 0.99:
        return Missing(there / promised, "its header promises more")
    return None
