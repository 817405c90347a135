"""The numbered chunks in which sound travels, and how they look on the wire.

A frame is 16 bytes of head, little-endian, and a body::

    u32 number     counts from 0 within a capture; a number that came before is a repetition and is dropped
    u8  kind       1 sound, 2 gap, 3 request
    u8  flags      1 the device itself was speaking, 2 paused
    u16 reserved   0
    f64 at         milliseconds since 1970 (UTC) of the first sample, by the device's clock
    body           sound: int16 samples, 16 kHz mono; gap and request: JSON

A gap says that no sound was captured for a while and why; a request is a touch of a control ('strike', 'pause').
Both are numbered like sound, so that they too are neither lost nor done twice when a connection is cut.
"""

from __future__ import annotations

import json
import math
import struct
from dataclasses import dataclass
from enum import IntEnum, IntFlag
from typing import Any

import numpy as np
from numpy.typing import NDArray

from journal.errors import BadInput

RATE = 16_000
HEAD = struct.Struct("<IBBHd")
#: a frame of sound holds at most ten seconds; anything longer is not from our page
MAX_BODY = 10 * RATE * 2
MAX_NUMBER = 2**32 - 1


class Kind(IntEnum):
    SOUND = 1
    GAP = 2
    REQUEST = 3


class Flag(IntFlag):
    NONE = 0
    SPEAKING = 1
    PAUSED = 2


@dataclass(frozen=True, slots=True)
class Frame:
    """One numbered chunk; ``at`` is in milliseconds since 1970, UTC."""

    number: int
    kind: Kind
    at: float
    body: bytes
    flags: Flag = Flag.NONE

    @property
    def samples(self) -> NDArray[np.int16]:
        """The sound of a sound frame, mono, 16 kHz."""
        return np.frombuffer(self.body, dtype="<i2").astype(np.int16, copy=False)

    @property
    def message(self) -> dict[str, Any]:
        """What a gap or a request says."""
        told = json.loads(self.body)
        assert isinstance(told, dict)
        return told

    def pack(self) -> bytes:
        return HEAD.pack(self.number, self.kind, self.flags, 0, self.at) + self.body


def sound(number: int, samples: NDArray[np.int16], at: float, flags: Flag = Flag.NONE) -> Frame:
    """Return a frame of 16 kHz mono samples."""
    return Frame(number, Kind.SOUND, at, samples.astype("<i2", copy=False).tobytes(), flags)


def told(number: int, kind: Kind, at: float, **message: Any) -> Frame:
    """Return a gap or a request."""
    return Frame(number, kind, at, json.dumps(message, ensure_ascii=False).encode())


def unpack(data: bytes) -> Frame:
    """Return the frame that bytes from outside describe.  Raises ``BadInput``; nothing of it may be trusted before."""
    if len(data) < HEAD.size:
        raise BadInput("A chunk of sound is shorter than its head; reload the page.")
    number, kind, flags, reserved, at = HEAD.unpack_from(data)
    body = data[HEAD.size :]
    if kind not in list(Kind) or flags & ~3 or reserved:
        raise BadInput("A chunk of sound is of a kind this journal does not know; reload the page.")
    if len(body) > MAX_BODY or not math.isfinite(at) or not 0 <= at < 2**53:
        raise BadInput("A chunk of sound has an impossible length or time; reload the page.")
    if kind == Kind.SOUND:
        if not body or len(body) % 2:
            raise BadInput("A chunk of sound holds half a sample; reload the page.")
    elif not _is_object(body):
        raise BadInput("A request of the page cannot be read; reload the page.")
    return Frame(number, Kind(kind), at, body, Flag(flags))


def _is_object(body: bytes) -> bool:
    try:
        return len(body) <= 4096 and isinstance(json.loads(body), dict)
    except (ValueError, RecursionError):
        return False
