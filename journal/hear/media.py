"""Sound as phones record it (M4A, AAC, MP4, 3GP, AMR, WebM), through PyAV; the only import of ``av``.

PyAV is optional (the extra ``media``), so it is imported when the first such file is met.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from journal.errors import SoundUnreadable


class DecodingFailed(Exception):
    """The decoder gave up inside the file."""


def looks_like_media(head: bytes) -> bool:
    """Return whether a file's first bytes are those of a container or codec that phones and browsers record."""
    return (
        head[4:8] == b"ftyp"  # ISO base media: MP4, M4A, MOV, 3GP
        or head[:4] == b"\x1aE\xdf\xa3"  # EBML: WebM, Matroska
        or head[:5] == b"#!AMR"
        or (len(head) > 1 and head[0] == 0xFF and head[1] & 0xF6 == 0xF0)  # ADTS frame of AAC
        or head[:4] == b"0&\xb2u"  # ASF: WMA
    )


def probe(path: Path) -> tuple[float, int, int, str]:
    """Return seconds, rate, channels and 'container/codec' of the file's first track of sound."""
    av = _load(path)
    try:
        with av.open(str(path)) as container:
            stream = _stream(path, container)
            codec = stream.codec_context
            if stream.duration is not None:
                seconds = float(stream.duration * stream.time_base)
            else:
                seconds = (container.duration or 0) / 1_000_000
            name = f"{container.format.name.split(',')[0]}/{codec.name}"
            return seconds, int(codec.sample_rate), len(codec.layout.channels), name
    except av.error.FFmpegError as error:
        raise SoundUnreadable(
            path,
            "the file is damaged or cut off before its table of contents: 0.0 seconds could be read",
            "Copy it again from the phone, or let the phone export it once more.",
        ) from error


def blocks(path: Path) -> Iterator[NDArray[np.float32]]:
    """Yield the first track of sound as float blocks of shape (samples, channels).

    Raises ``DecodingFailed`` where the decoder stops inside the file.
    """
    av = _load(path)
    try:
        with av.open(str(path)) as container:
            stream = _stream(path, container)
            codec = stream.codec_context
            steady = av.AudioResampler(format="fltp", layout=codec.layout.name, rate=codec.sample_rate)
            for frame in container.decode(stream):
                for part in steady.resample(frame):
                    yield part.to_ndarray().T
            for part in steady.resample(None):
                yield part.to_ndarray().T
    except av.error.FFmpegError as error:
        raise DecodingFailed(str(error)) from error


def _stream(path: Path, container: Any) -> Any:
    if not container.streams.audio:
        raise SoundUnreadable(path, "the film has no track of sound", "Record again with the microphone on.")
    return container.streams.audio[0]


def _load(path: Path) -> Any:
    try:
        return importlib.import_module("av")
    except ImportError:
        raise SoundUnreadable(
            path,
            "sound of phones (M4A, AAC, MP4) needs one more package",
            'Run: pip install "visit-journal[media]"',
        ) from None
