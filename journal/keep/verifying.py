"""Has anything been changed behind the journal's back?  Every line, row, trigger and file is looked at again.

It detects, it does not prevent: whoever can write the file can also write a whole new chain.  That shows only against a
digest kept elsewhere, such as the one printed on an export (``against``).
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from journal.errors import BadInput
from journal.keep import rows
from journal.keep.files import sha256_of
from journal.keep.guards import covered_tables, missing_guards
from journal.keep.plain import NotPlain
from journal.keep.seals import genesis, line_hash, rows_digest, seal_of

_MOST = 200
_SHORTEST_DIGEST = 12
#: rows the ledger does not name; sorts after every line
_NO_LINE = 1 << 60


@dataclass(frozen=True, slots=True)
class Problem:
    """Something that is not as it was written: the ledger's line it belongs to, the place, and what is wrong."""

    line: int | None
    visit: str | None
    place: str
    what: str

    def __str__(self) -> str:
        line = f"line {self.line}: " if self.line is not None else ""
        visit = f"visit {self.visit}, " if self.visit else ""
        return f"{line}{visit}{self.place}: {self.what}"


@dataclass(frozen=True, slots=True)
class VerifyReport:
    """What ``verify`` found.  ``problems`` are sorted by line: the first is the first change; at most 200 are kept."""

    head: str
    lines: int
    rows: int
    files: int
    problems: tuple[Problem, ...]
    against: str | None = None
    against_line: int | None = None  # the line that had the digest given; everything up to it is as it was then

    @property
    def ok(self) -> bool:
        return not self.problems


@dataclass(slots=True)
class _Search:
    connection: sqlite3.Connection
    folder: Path
    problems: list[Problem] = field(default_factory=list)
    codes: dict[int, str] = field(default_factory=dict)
    written: dict[int, dict[str, tuple[int, bytes]]] = field(default_factory=dict)
    rows: int = 0
    files: int = 0

    def report(self, line: int | None, visit: int | None, place: str, what: str) -> None:
        code = self.codes.get(visit) if visit is not None else None
        self.problems.append(Problem(line, code, place, what))


def verify(connection: sqlite3.Connection, folder: Path, against: str | None = None) -> VerifyReport:
    """Check the whole store; needs one consistent look at it.

    ``against`` is a head's digest kept from earlier (at least twelve of its hexadecimal digits).
    """
    search = _Search(connection, folder)
    for name in missing_guards(connection):
        search.report(None, None, name, "the guard of an append-only table is missing or changed")
    search.codes = {row["visit"]: row["code"] for row in connection.execute("SELECT visit, code FROM visits")}
    hashes: list[tuple[int, bytes]] = []
    for table in covered_tables(connection):
        with _readable(search, table):
            _look_at_rows(search, table)
    with _readable(search, "words"):
        _look_for_loose_words(search)
    with _readable(search, "ledger"):
        _look_at_lines(search, hashes)
    with _readable(search, "files"):
        _look_at_files(search)
    found = _find_digest(search, hashes, against)
    problems = sorted(search.problems, key=lambda problem: _NO_LINE if problem.line is None else problem.line)
    return VerifyReport(
        head=hashes[-1][1].hex() if hashes else "",
        lines=len(hashes),
        rows=search.rows,
        files=search.files,
        problems=tuple(problems[:_MOST]),
        against=against,
        against_line=found,
    )


@contextmanager
def _readable(search: _Search, place: str) -> Iterator[None]:
    """A value of a kind the journal never writes is a change too, and ends the look at that place."""
    try:
        yield
    except (NotPlain, TypeError, ValueError) as error:
        search.report(None, None, place, f"it holds something no journal writes ({error})")


def _look_at_rows(search: _Search, table: str) -> None:
    """Check each row's seal, and gather the seals each line of the ledger answers for."""
    blanked = _blanked(search, table)
    running: dict[int, Any] = {}
    counts: dict[int, int] = {}
    for row, content in _rows(search.connection, table):
        event, place = row["event"], f"{table} {content.get('n', 0)}"
        search.rows += 1
        if event not in running:
            running[event], counts[event] = hashlib.sha256(), 0
        running[event].update(bytes(row["seal"]))
        counts[event] += 1
        key = (content["visit"], content.get("n", 0))
        number, seal = blanked.pop(key, (None, bytes(row["seal"])))
        if row["blanked"] != number:
            search.report(event, content["visit"], place, "its blanking was undone or invented")
        elif not _holds(table, content, row["salt"], seal):
            search.report(event, content["visit"], place, "its content was changed")
    for visit, n in blanked:
        search.report(None, visit, f"{table} {n}", "a blanked row is gone")
    for event, digest in running.items():
        search.written.setdefault(event, {})[table] = (counts[event], digest.digest())


def _holds(table: str, content: dict[str, Any], salt: object, seal: bytes) -> bool:
    try:
        return isinstance(salt, bytes) and seal_of(table, content, salt) == seal
    except (NotPlain, TypeError):
        return False


def _rows(connection: sqlite3.Connection, table: str) -> Iterator[tuple[sqlite3.Row, dict[str, Any]]]:
    """Yield the rows of a table in the order of their keys, with what their seal covers."""
    keys = "visit" if table == "visits" else "visit, n"
    words = _words(connection) if table == "utterances" else iter(())
    ahead = next(words, None)
    for row in connection.execute(f"SELECT * FROM {table} ORDER BY {keys}"):
        content = dict(row)
        if table == "utterances":
            own = []
            while ahead is not None and (ahead["visit"], ahead["utterance"]) <= (row["visit"], row["n"]):
                if (ahead["visit"], ahead["utterance"]) == (row["visit"], row["n"]):
                    own.append(ahead)
                ahead = next(words, None)
            content |= rows.words_part(own)
            if [word["n"] for word in own] != list(range(len(own))):
                content["gap"] = 1  # a word was numbered anew; this breaks the seal
        yield row, content


def _words(connection: sqlite3.Connection) -> Iterator[sqlite3.Row]:
    yield from connection.execute("SELECT * FROM words ORDER BY visit, utterance, n")


def _blanked(search: _Search, table: str) -> dict[tuple[int, int], tuple[int | None, bytes]]:
    """The last blanking of each row of a table, and the seal it left."""
    if table in ("blankings", "blanked_rows") or "blanked_rows" not in covered_tables(search.connection):
        return {}
    found: dict[tuple[int, int], tuple[int | None, bytes]] = {}
    for row in search.connection.execute("SELECT * FROM blanked_rows WHERE tab = ? ORDER BY visit, n", [table]):
        found[row["visit"], row["row"]] = (row["blanking"], bytes.fromhex(row["seal_after"]))
    return found


def _look_for_loose_words(search: _Search) -> None:
    loose = search.connection.execute(
        "SELECT DISTINCT w.visit, w.utterance FROM words w"
        " LEFT JOIN utterances u ON u.visit = w.visit AND u.n = w.utterance WHERE u.n IS NULL"
    )
    for row in loose:
        search.report(None, row["visit"], f"words of utterance {row['utterance']}", "their utterance is gone")


def _look_at_lines(search: _Search, hashes: list[tuple[int, bytes]]) -> None:
    """Walk the chain; ``hashes`` gets each line's number and hash."""
    about = dict(search.connection.execute("SELECT name, value FROM about").fetchall())
    if set(about) != {"id"}:
        search.report(None, None, "about", "what the store says of itself was changed")
    previous = genesis(str(about.get("id", "")))
    for line in search.connection.execute("SELECT * FROM ledger ORDER BY seq"):
        seq, visit = line["seq"], line["visit"]
        if seq != (hashes[-1][0] if hashes else 0) + 1:
            search.report(seq, visit, "ledger", "the line before it is missing")
        elif line["previous"] != previous:
            search.report(seq, visit, "ledger", "it does not follow the line before it: one of the two was changed")
        if line_hash(line, bytes(line["previous"])) != line["hash"]:
            search.report(seq, visit, "ledger", "the line was changed")
        if seq == 1 and line["why"] != about.get("id"):
            search.report(seq, visit, "about", "the store's id was changed")
        _compare(search, line)
        previous = bytes(line["hash"])
        hashes.append((seq, previous))
    for event, tables in sorted(search.written.items(), key=lambda item: str(item[0])):
        search.report(None, None, ", ".join(sorted(tables)), f"rows of a line {event} that the ledger does not have")


def _compare(search: _Search, line: sqlite3.Row) -> None:
    """Compare what a line says it wrote with the rows that are there."""
    there = search.written.pop(line["seq"], {})
    counts = _counts(line["counts"])
    for table in sorted(counts.keys() | there.keys()):
        said, held = counts.get(table, 0), there.get(table, (0, b""))[0]
        if said != held:
            search.report(line["seq"], line["visit"], table, f"{said} rows were written, {held} are there")
    if rows_digest({table: digest for table, (_, digest) in there.items()}) != line["rows"]:
        search.report(line["seq"], line["visit"], "ledger", "the rows are not those that were written")


def _counts(text: object) -> dict[str, int]:
    try:
        counts = json.loads(str(text))
    except ValueError:
        return {}
    return {str(table): number for table, number in counts.items() if number} if isinstance(counts, dict) else {}


def _look_at_files(search: _Search) -> None:
    for table in tables_with_files(search.connection):
        for row in search.connection.execute(f"SELECT * FROM {table} ORDER BY visit, n"):
            if row["blanked"] is not None and not row["file"]:
                continue  # a photograph that was taken out; its row is checked with the others
            search.files += 1
            path = search.folder / row["file"]
            if not path.is_file():
                search.report(row["event"], row["visit"], row["file"], "the file is missing")
            elif sha256_of(path) != row["sha256"]:
                search.report(row["event"], row["visit"], row["file"], "the file was changed")


def tables_with_files(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Return the tables whose rows name a file; a store of an older schema has fewer."""
    return tuple(table for table in ("attachments", "recordings") if table in covered_tables(connection))


def _find_digest(search: _Search, hashes: list[tuple[int, bytes]], against: str | None) -> int | None:
    if against is None:
        return None
    wanted = against.strip().lower()
    if len(wanted) < _SHORTEST_DIGEST or set(wanted) - set("0123456789abcdef"):
        raise BadInput(f"A digest is at least {_SHORTEST_DIGEST} hexadecimal digits, as printed on an export.")
    for seq, digest in hashes:
        if digest.hex().startswith(wanted):
            return seq
    search.report(
        None,
        None,
        f"digest {wanted[:12]}",
        "no line of this store has it: lines were cut off, or the store was rewritten",
    )
    return None
