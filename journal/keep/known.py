"""The sites and customers the store knows: what a spoken name is chosen from."""

from __future__ import annotations

import sqlite3

from journal.domain.visit import Known

_CUSTOMER = "customer"


def known_names(connection: sqlite3.Connection) -> Known:
    """Return every site and every customer as they stand after corrections, in alphabetical order."""
    sites = connection.execute("SELECT DISTINCT site FROM overview WHERE site <> ''")
    customers = connection.execute(
        "SELECT DISTINCT coalesce((SELECT c.after FROM corrections c WHERE c.visit = f.visit AND c.target = f.id"
        " AND c.field = 'value' AND c.blanked IS NULL ORDER BY c.n DESC LIMIT 1), f.value)"
        # what was only heard and is still doubted is not known
        " FROM fields f WHERE f.name = ? AND f.blanked IS NULL AND json_extract(f.more, '$.doubts') IS NULL",
        [_CUSTOMER],
    )
    return Known(_sorted(sites), _sorted(customers))


def _sorted(found: sqlite3.Cursor) -> tuple[str, ...]:
    return tuple(sorted(row[0] for row in found if row[0]))
