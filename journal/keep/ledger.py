"""The ledger: one line for everything that was ever written, each resting on the one before."""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from journal.keep.plain import from_plain, write_json
from journal.keep.seals import genesis, line_hash, new_salt, rows_digest, seal_of, table_digest

#: the action of a line that only adds words to a visit being spoken: it holds in the chain, and is not listed
SPOKEN = "spoken"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the ledger, as people read it: ``at`` is UTC; ``visit`` is the visit's code where it has one."""

    seq: int
    at: str
    action: str
    by: str
    why: str
    visit: str | None
    digest: str


@dataclass(slots=True)
class Event:
    """A line being written: collects the rows that belong to it, inside one transaction.

    Rows go in through ``add`` only, so no covered row is without its seal.
    """

    connection: sqlite3.Connection
    seq: int
    at: str
    visit: int | None = None
    _seals: dict[str, list[bytes]] = field(default_factory=lambda: defaultdict(list))

    def add(self, table: str, rows: Iterable[Mapping[str, Any]], parts: Iterable[Mapping[str, Any]] = ()) -> None:
        """Insert rows, all with the same columns, in the order of their keys.

        ``parts`` are what each row's seal covers beside its own columns (the words of an utterance).
        """
        filled = []
        extra = list(parts)
        for number, row in enumerate(rows):
            salt = new_salt()
            seal = seal_of(table, {**row, **extra[number]} if extra else row, salt)
            filled.append({**row, "event": self.seq, "salt": salt, "seal": seal})
            self._seals[table].append(seal)
        insert(self.connection, table, filled)

    @property
    def number(self) -> int:
        """The store's number of the visit this is about."""
        assert self.visit is not None
        return self.visit

    def close(self, action: str, by: str, why: str) -> bytes:
        """Write the line and return its hash, the store's new head."""
        counts = write_json({table: len(seals) for table, seals in self._seals.items()})
        rows = rows_digest({table: table_digest(seals) for table, seals in self._seals.items()})
        line: dict[str, Any] = {"seq": self.seq, "at": self.at, "visit": self.visit, "action": action, "by": by}
        line |= {"why": why, "counts": counts, "rows": rows}
        previous = head(self.connection)
        line |= {"previous": previous, "hash": line_hash(line, previous)}
        insert(self.connection, "ledger", [line])
        return bytes(line["hash"])


def insert(connection: sqlite3.Connection, table: str, rows: list[dict[str, Any]]) -> None:
    """Insert rows that all have the same columns; one statement for all of them."""
    if rows:
        names = ", ".join(f'"{name}"' for name in rows[0])
        places = ", ".join(f":{name}" for name in rows[0])
        connection.executemany(f"INSERT INTO {table} ({names}) VALUES ({places})", rows)


def next_event(connection: sqlite3.Connection, visit: int | None = None, at: str | None = None) -> Event:
    """Begin the next line; needs the write transaction, so that no other line gets the same number."""
    (seq,) = connection.execute("SELECT coalesce(max(seq), 0) + 1 FROM ledger").fetchone()
    return Event(connection, seq, at or now(), visit)


def last_of(connection: sqlite3.Connection, visit: int) -> int:
    """Return the number of the last line about a visit: tells whether it changed since."""
    return int(connection.execute("SELECT coalesce(max(seq), 0) FROM ledger WHERE visit = ?", [visit]).fetchone()[0])


def lines_of(connection: sqlite3.Connection, visit: int) -> tuple[Line, ...]:
    """Return the lines about one visit; those of the store it was brought from come first."""
    code = connection.execute("SELECT code FROM visits WHERE visit = ?", [visit]).fetchone()[0]
    brought = connection.execute("SELECT lines FROM origins WHERE visit = ? ORDER BY n", [visit]).fetchall()
    earlier = [from_plain(Line, plain) for row in brought for plain in json.loads(row["lines"])]
    # The reason of a correction stands in the correction, where it can be blanked.
    own = connection.execute(
        "SELECT l.*, (SELECT c.why FROM corrections c WHERE c.visit = l.visit AND c.event = l.seq) AS reason"
        " FROM ledger l WHERE l.visit = ? AND l.action <> ? ORDER BY l.seq",
        [visit, SPOKEN],
    )
    lines = [
        Line(
            row["seq"], row["at"], row["action"], row["by"], row["why"] or row["reason"] or "", code, row["hash"].hex()
        )
        for row in own
    ]
    return (*earlier, *lines)


def lines(
    connection: sqlite3.Connection, *, words: str = "", by: str = "", since: str = "", until: str = "",
    before: int | None = None, limit: int = 200,
) -> tuple[Line, ...]:  # fmt: skip
    """Return lines of the whole store, the latest first.

    ``words`` occur in the action, the reason or the visit's code; ``by`` in the name; ``since`` and ``until`` are days
    or moments, both inclusive; ``before`` is a line's number, to go on from there.
    """
    found = connection.execute(
        "SELECT l.seq, l.at, l.action, l.\"by\", l.hash, v.code, coalesce(nullif(l.why, ''), (SELECT c.why FROM"
        " corrections c WHERE c.visit = l.visit AND c.event = l.seq), '') AS reason"
        " FROM ledger l LEFT JOIN visits v ON v.visit = l.visit"
        " WHERE l.action <> :spoken"
        " AND (:before IS NULL OR l.seq < :before) AND l.at >= :since AND (:until = '' OR l.at < :until || '~')"
        " AND instr(lower(l.\"by\"), lower(:by)) > 0 AND instr(lower(l.action || ' ' || reason || ' ' ||"
        " coalesce(v.code, '')), lower(:words)) > 0 ORDER BY l.seq DESC LIMIT :limit",
        {"words": words, "by": by, "since": since, "until": until, "before": before, "limit": limit, "spoken": SPOKEN},
    )
    return tuple(
        Line(row["seq"], row["at"], row["action"], row["by"], row["reason"], row["code"], row["hash"].hex())
        for row in found
    )


def first_line(connection: sqlite3.Connection, store_id: str) -> None:
    """Name a new store and write its first line."""
    insert(connection, "about", [{"name": "id", "value": store_id}])
    next_event(connection).close("store made", "journal", store_id)


def head(connection: sqlite3.Connection) -> bytes:
    """Return the hash of the last line."""
    row = connection.execute("SELECT hash FROM ledger ORDER BY seq DESC LIMIT 1").fetchone()
    return bytes(row[0]) if row else genesis(store_id(connection))


def store_id(connection: sqlite3.Connection) -> str:
    """Return the UUID of this store."""
    row = connection.execute("SELECT value FROM about WHERE name = 'id'").fetchone()
    return str(row[0]) if row else ""


def now() -> str:
    """Return this moment in UTC to the millisecond."""
    return dt.datetime.now(tz=dt.UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
