"""A recording as a stream of 16 kHz mono chunks, whatever it was recorded as.

libsndfile (WAV, FLAC, Ogg, Opus, MP3, AIFF...) reads what it can; what phones record (M4A, AAC, MP4, 3GP) goes
through PyAV in ``hear.media``. A recording is read in blocks and never held whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from journal.errors import SoundUnreadable
from journal.hear import media
from journal.hear.cut_off import ends_early
from journal.hear.downmix import Downmix

SAMPLE_RATE = 16_000
"""Samples a second of everything the recogniser hears."""

BLOCK_SECONDS = 0.5
"""How much of a file is read at once."""

KNOWN_FORMATS = "WAV, FLAC, Ogg, Opus, MP3 and AIFF"
_STARTS_OF_SOUND = (b"RIFF", b"fLaC", b"OggS", b"FORM", b"ID3\x03", b"ID3\x04", b"\xff\xfb", b"\xff\xf3")
SALVAGE = (
    "Copy it again from the recorder; if the original is cut off too, open it in a sound editor, "
    "save the part that plays as a new file and use that."
)


@dataclass(frozen=True, slots=True)
class Sound:
    """What a file of sound says about itself; ``seconds`` is its promise, not yet read."""

    path: Path
    seconds: float
    rate: int
    channels: int
    format: str


def probe(path: Path | str) -> Sound:
    """Return length, rate, channels and format of a recording without decoding it.

    Raises ``SoundUnreadable`` for what is missing, no file, empty, no sound, or sound without a sample.
    """
    path = Path(path)
    head = _head(path)
    try:
        with soundfile.SoundFile(str(path)) as file:
            sound = Sound(path, file.frames / file.samplerate, file.samplerate, file.channels, _format(file))
    except (soundfile.LibsndfileError, TypeError) as error:
        sound = _probe_media(path, head, error)
    if sound.seconds <= 0:
        raise SoundUnreadable(path, "holds no sound, only a header", "Check that the recorder was running.")
    return sound


def chunks(path: Path | str, seconds: float = 0.25) -> Iterator[NDArray[np.int16]]:
    """Yield a recording as mono chunks of ``seconds`` at 16 kHz; the last may be shorter.

    Times in the stream are times in the recording. Raises ``SoundUnreadable`` before the first chunk for what
    ``probe`` refuses, and after the last readable chunk when the recording ends before it should.
    """
    sound = probe(path)
    size = max(1, round(seconds * SAMPLE_RATE))
    waiting = np.empty(0, dtype=np.int16)
    for samples in _resampled(sound):
        waiting = np.concatenate((waiting, samples))
        whole = len(waiting) - len(waiting) % size
        yield from waiting[:whole].reshape(-1, size)
        waiting = waiting[whole:]
    if len(waiting):
        yield waiting
    _refuse_cut_off(sound)


def _resampled(sound: Sound) -> Iterator[NDArray[np.int16]]:
    """Yield the recording as 16-bit mono at 16 kHz, in pieces of any length."""
    downmix = Downmix(sound.channels, sound.rate)
    stream = soxr.ResampleStream(sound.rate, SAMPLE_RATE, 1, dtype="float32") if sound.rate != SAMPLE_RATE else None
    for block in _blocks(sound):
        mono = downmix(block)
        yield _to_int16(stream.resample_chunk(mono) if stream else mono)
    if stream:
        yield _to_int16(stream.resample_chunk(np.empty(0, dtype=np.float32), last=True))


def _blocks(sound: Sound) -> Iterator[NDArray[np.float32]]:
    """Yield float blocks of shape (samples, channels); raise when fewer came than the header promised."""
    read = 0
    try:
        for block in _source(sound):
            read += len(block)
            yield block
    except (soundfile.LibsndfileError, media.DecodingFailed) as error:
        raise _broken_off(sound, read / sound.rate) from error
    if read == 0:
        raise SoundUnreadable(sound.path, "holds no sound, only a header", "Check that the recorder was running.")
    # Containers of compressed sound give their length to about a frame; PCM and FLAC to the sample.
    tolerance = 0.5 if sound.format.startswith("media") else 0.1
    if read / sound.rate < sound.seconds - tolerance:
        raise _broken_off(sound, read / sound.rate)


def _source(sound: Sound) -> Iterator[NDArray[np.float32]]:
    if sound.format.startswith("media"):
        yield from media.blocks(sound.path)
        return
    with soundfile.SoundFile(str(sound.path)) as file:
        size = max(1, int(sound.rate * BLOCK_SECONDS))
        while len(block := file.read(size, dtype="float32", always_2d=True)):
            yield block


def _refuse_cut_off(sound: Sound) -> None:
    """Raise when the container shows that sound is missing behind the last sample that could be read."""
    missing = ends_early(sound.path)
    if missing is None:
        return
    promised = f" of {sound.seconds / missing.share:.1f}" if missing.share else ""
    readable = f"the file is cut off ({missing.how}); {sound.seconds:.1f}{promised} seconds could be read"
    raise SoundUnreadable(sound.path, readable, SALVAGE)


def _broken_off(sound: Sound, read: float) -> SoundUnreadable:
    reason = f"the sound breaks off: {read:.1f} of {sound.seconds:.1f} seconds could be read"
    return SoundUnreadable(sound.path, reason, SALVAGE)


def _to_int16(samples: NDArray[np.float32]) -> NDArray[np.int16]:
    whole: NDArray[np.int16] = np.rint(np.clip(np.nan_to_num(samples), -1.0, 1.0) * 32767.0).astype(np.int16)
    return whole


def _format(file: soundfile.SoundFile) -> str:
    return f"{file.format}/{file.subtype}"


def _head(path: Path) -> bytes:
    """Return the file's first bytes, or raise the sentence that says why there are none."""
    try:
        with path.open("rb") as file:
            head = file.read(64)
    except FileNotFoundError:
        raise SoundUnreadable(path, "there is no such file", "Check the name and the folder.") from None
    except IsADirectoryError:
        raise SoundUnreadable(path, "this is a folder, not a recording", "Name the files inside it.") from None
    except PermissionError:
        remedy = "Give yourself permission to read it, or copy it to a folder of your own."
        raise SoundUnreadable(path, "this account may not read it", remedy) from None
    except OSError as error:
        reason = f"it cannot be read ({error.strerror or error})"
        raise SoundUnreadable(path, reason, "Check the disk or card it lies on.") from None
    if not head:
        remedy = "Copy it again from the recorder; nothing was written into this one."
        raise SoundUnreadable(path, "the file is empty", remedy)
    return head


def _probe_media(path: Path, head: bytes, error: Exception) -> Sound:
    """Return what PyAV says about a file that libsndfile cannot open, or raise the right sentence."""
    if media.looks_like_media(head):
        seconds, rate, channels, name = media.probe(path)
        return Sound(path, seconds, rate, channels, f"media/{name}")
    if isinstance(error, TypeError):
        reason = "raw samples without a header do not say their rate"
        raise SoundUnreadable(path, reason, "Save it as WAV or FLAC with the right rate.") from error
    if head.startswith(_STARTS_OF_SOUND):
        reason = "the sound breaks off inside its header or its first frame: 0.0 seconds could be read"
        raise SoundUnreadable(path, reason, SALVAGE) from error
    reason = "this is text, not sound" if _is_text(head) else "this is no sound the journal knows"
    raise SoundUnreadable(path, reason, f"Give it a recording: {KNOWN_FORMATS} can be read.") from error


def _is_text(head: bytes) -> bool:
    return all(byte >= 32 or byte in b"\t\r\n\f" for byte in head)
