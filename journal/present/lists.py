"""Lists in the terminal that are no record: readings by number, and a machine's readings over time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Protocol

from rich.console import Console
from rich.table import Table

from journal.domain.reading import Reading
from journal.domain.visit import Visit
from journal.present.compose import reading_lines
from journal.present.terminal_parts import QUIET, plain
from journal.present.wording import amount_text


class Point(Protocol):
    """One reading of a machine with the visit it was taken on, as the store gives it."""

    @property
    def visit(self) -> str: ...
    @property
    def moment(self) -> str: ...
    @property
    def reading(self) -> Reading: ...


def show_numbered(console: Console, visit: Visit) -> None:
    """Print a visit's readings with the numbers by which they are corrected."""
    table = _table("", "reading", "place", "when", "words", "doubt")
    for number, line in enumerate(reading_lines(visit.readings), start=1):
        table.add_row(
            str(number),
            plain(line.amount, "strike" if line.withdrawn else "bold"),
            plain(" ".join(part for part in (line.place, line.kind) if part)),
            plain(line.moment.clock if line.moment else ""),
            plain(line.moment.said if line.moment else "", QUIET),
            plain("; ".join(line.doubts)),
        )
    console.print(table)


def show_history(console: Console, machine: str, series: Mapping[Any, Sequence[Point]], drifts: Sequence[str]) -> None:
    """Print what was read on one machine over time, a place each line, the oldest first; drifts below, in words."""
    console.print(plain(machine, "bold"))
    table = _table("place", "when", "visit", "reading")
    for place, points in series.items():
        for row, point in enumerate(points):
            table.add_row(
                plain("" if row else str(place)),
                plain(point.moment[:10]),
                plain(point.visit),
                plain(amount_text(point.reading), "bold"),
            )
    console.print(table)
    for drift in drifts:
        console.print(plain(f"drift: {drift}"))


def _table(*names: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style=QUIET)
    for name in names:
        table.add_column(name)
    return table
