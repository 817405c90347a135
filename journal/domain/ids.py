"""Identifiers that sort by the time they were made (UUID version 7, RFC 9562 section 5.7)."""

from __future__ import annotations

import os
import time
import uuid


def new_id() -> str:
    """Return a fresh UUIDv7 in its text form: 48 bits of Unix milliseconds, then randomness."""
    milliseconds = time.time_ns() // 1_000_000
    random = int.from_bytes(os.urandom(10), "big")
    value = (milliseconds & (2**48 - 1)) << 80
    value |= 0x7 << 76 | (random >> 68 & 0xFFF) << 64
    value |= 0b10 << 62 | (random & (2**62 - 1))
    return str(uuid.UUID(int=value))
