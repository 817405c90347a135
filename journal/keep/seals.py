"""What every covered row is sealed with, and what one line of the ledger says about the rows it wrote.

A seal is SHA-256 over a random salt and the row's content; a ledger line holds a digest over the seals of its rows, and
its own hash takes in the hash of the line before.  So one changed figure breaks its seal, a seal made anew breaks its
line, and a line made anew breaks every later one, up to the head.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable, Mapping
from typing import Any

from journal.keep.plain import write_json

#: columns that are about a row rather than in it
FRAME = ("event", "salt", "seal", "blanked")
SALT_BYTES = 16


def new_salt() -> bytes:
    """Return what makes a seal impossible to guess backwards, even for a four-digit access code."""
    return secrets.token_bytes(SALT_BYTES)


def seal_of(table: str, content: Mapping[str, Any], salt: bytes) -> bytes:
    """Return the seal of a row.  Empty columns do not count, so a later schema may add columns to old rows."""
    held = {name: value for name, value in content.items() if value is not None and name not in FRAME}
    return hashlib.sha256(salt + write_json([table, held]).encode("utf-8")).digest()


def rows_digest(tables: Mapping[str, bytes]) -> bytes:
    """Return the digest of everything one line wrote: table name -> digest over its seals."""
    whole = hashlib.sha256()
    for table in sorted(tables):
        whole.update(table.encode("utf-8") + b"\x00" + tables[table])
    return whole.digest()


def table_digest(seals: Iterable[bytes]) -> bytes:
    """Return the digest over the seals of one table's rows, in the order of their keys."""
    return hashlib.sha256(b"".join(seals)).digest()


def line_hash(line: Mapping[str, Any], previous: bytes) -> bytes:
    """Return the hash of a ledger line: its content, its rows and everything before it."""
    content = [line["seq"], line["at"], line["visit"], line["action"], line["by"], line["why"], line["counts"]]
    return hashlib.sha256(previous + bytes(line["rows"]) + write_json(content).encode("utf-8")).digest()


def genesis(store_id: str) -> bytes:
    """Return what stands before the first line of a store."""
    return hashlib.sha256(f"visit journal {store_id}".encode()).digest()
