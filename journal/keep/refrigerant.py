"""The visits of a period in which refrigerant was moved, read only as far as a refrigerant log needs them.

A log over years would otherwise open every visit with all its words and readings.
"""

from __future__ import annotations

import json
import sqlite3
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from journal.domain.visit import Visit
from journal.keep import rows, search
from journal.keep.complete import moving_actions, scale_check

_PARTS = ("equipment", "work", "fields", "corrections")


def moved(
    connection: sqlite3.Connection, *, since: str | None, until: str | None, site: str | None
) -> tuple[Visit, ...]:
    """Return the visits whose work, its corrections, or the cylinder's scale tell of refrigerant, the oldest first.

    Each holds its frame, machines, work, named facts, corrections and what the last judging said of the scale, and
    nothing else.  Raises ``BadInput`` for a day that is none.
    """
    where, values = search.conditions(search.Wanted(since=since, until=until, site=site))
    actions = moving_actions()
    asked = (
        f"SELECT o.visit FROM overview o WHERE {where} AND ("
        "EXISTS (SELECT 1 FROM work w WHERE w.visit = o.visit AND w.blanked IS NULL"
        f" AND w.action IN ({', '.join('?' * len(actions))}))"
        " OR EXISTS (SELECT 1 FROM corrections c WHERE c.visit = o.visit AND c.field = 'action')"
        ' OR EXISTS (SELECT 1 FROM verdicts v WHERE v.visit = o.visit AND v."check" = ?))'
        " ORDER BY o.moment, o.visit"
    )
    numbers = [row[0] for row in connection.execute(asked, [*values, *actions, scale_check()])]
    return tuple(_read(connection, numbers))


def _read(connection: sqlite3.Connection, numbers: Sequence[int]) -> Iterator[Visit]:
    """Read many visits with one query for each table."""
    chosen = json.dumps(numbers)
    parts = {name: _by_visit(connection, rows.PARTS[name], chosen) for name in _PARTS}
    scales = _by_visit(connection, rows.VERDICT, chosen, _LAST, [scale_check()])
    frames = connection.execute("SELECT * FROM visits WHERE visit IN (SELECT value FROM json_each(?))", [chosen])
    found = {row["visit"]: rows.visit_frame(row) for row in frames}
    for number in numbers:
        own: dict[str, Any] = {name: held[number] for name, held in parts.items()}
        yield replace(found[number], **own, verdicts=scales[number])


#: of the verdicts those of a visit's last judging by one check
_LAST = ' AND "check" = ? AND assessment = (SELECT max(a.n) FROM assessments a WHERE a.visit = verdicts.visit)'


def _by_visit(
    connection: sqlite3.Connection, shape: rows.Shape[Any], chosen: str, also: str = "", values: Sequence[str] = ()
) -> dict[int, tuple[Any, ...]]:
    found: dict[int, tuple[Any, ...]] = defaultdict(tuple)
    asked = (
        f"SELECT * FROM {shape.table} WHERE visit IN (SELECT value FROM json_each(?)) AND blanked IS NULL{also}"
        " ORDER BY visit, n"
    )
    for row in connection.execute(asked, [chosen, *values]):
        found[row["visit"]] += (shape.thing(row),)
    return found
