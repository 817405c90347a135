"""Lists in the terminal that are no record: readings by number, and a machine's readings over time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Protocol

from rich.console import Console, Group
from rich.padding import Padding
from rich.table import Table

from journal.domain.reading import Reading
from journal.domain.unit_table import unit_table
from journal.domain.verdict import Limit
from journal.domain.visit import Visit, WorkDone
from journal.keep.learning import Suggestion
from journal.keep.ledger import Line
from journal.present.compose import page_of
from journal.present.record_fields import known_fields
from journal.present.terminal_parts import ACCENT, QUIET, missing_rows, plain, reading_rows
from journal.present.wording import amount_text, limit_text, measure_text, moment_text, remark


class Point(Protocol):
    """One reading of a machine with the visit it was taken on, as the store gives it."""

    @property
    def visit(self) -> str: ...
    @property
    def moment(self) -> str: ...
    @property
    def reading(self) -> Reading: ...


def show_numbered(console: Console, visit: Visit, suggestions: Sequence[Suggestion] = ()) -> None:
    """Print what of a visit can be corrected, with the numbers by which it is; below, what earlier ones suggest."""
    page = page_of(visit, suggestions=suggestions)
    lines = sorted((*page.found, *page.left, *(p for m in page.machines for p in m.plate)), key=lambda line: line.n)
    console.print(reading_rows(lines))
    table = _table("", "", "")
    for letter, name, parts in (
        ("V", "verdict", [f"{v.title or v.check}: {v.outcome.words}" for v in visit.verdicts]),
        ("C", "cause", [d.title for d in visit.diagnoses]),
        ("W", "work", [_work(w) for w in visit.work]),
        ("F", "finding", [_joined(f.component, "not so:" if f.negated else "", f.what) for f in visit.findings]),
        ("N", "note", [f"{n.topic}: {n.text}" for n in visit.notes]),
        ("D", "fact", [f"{d.name}: {d.value}" for d in visit.fields]),
    ):
        for number, text in enumerate(parts, start=1):
            table.add_row(plain(f"{letter}{number}", QUIET), plain("" if number > 1 else name, QUIET), plain(text))
    if table.row_count:
        console.print(table)
    console.print(plain(f"journal correct {visit.code} NUMBER FIELD=VALUE --why ...; V and C: journal overrule", QUIET))


def show_facts(console: Console, visit: Visit, *, listed: bool) -> None:
    """Print the named facts of a visit and what its record lacks; ``listed``: every known name with an example too."""
    page = page_of(visit)
    held = {fact.name: fact.value for fact in visit.fields}
    table = _table("name", "value")
    for name, known in known_fields().items():
        if name in held:
            table.add_row(plain(name), plain(held.pop(name), "bold"))
        elif listed:
            table.add_row(plain(name), plain(f"e.g. {known.example}", QUIET))
    for name, value in held.items():
        table.add_row(plain(name), plain(value, "bold"))
    if table.row_count:
        console.print(table)
    if page.missing:
        console.print(plain("Missing from the record", f"bold {ACCENT}"))
        console.print(Padding(Group(*missing_rows(page)), (0, 0, 0, 2)))
    else:
        console.print(plain("Nothing is missing from the record."))


def _work(work: WorkDone) -> str:
    amount = measure_text(work.amount, work.unit)
    return _joined(work.action, amount, work.component, work.part, "" if work.done else "(to do)")


def _joined(*parts: str | None) -> str:
    return " ".join(part for part in parts if part)


def show_history(console: Console, machine: str, series: Mapping[Any, Sequence[Point]], drifts: Sequence[str]) -> None:
    """Print what was read on one machine over time, a place each line, the oldest first; drifts below, in words."""
    console.print(plain(machine, "bold"))
    remarks = {id(p): remark(p.reading) for points in series.values() for p in points}
    table = _table("place", "when", "visit", "reading", *([""] if any(remarks.values()) else []))
    for place, points in series.items():
        for row, point in enumerate(points):
            table.add_row(
                plain("" if row else str(place)),
                plain(point.moment[:10]),
                plain(point.visit),
                plain(amount_text(point.reading), "bold"),
                *([plain(remarks[id(point)], QUIET)] if any(remarks.values()) else []),
            )
    console.print(table)
    for drift in drifts:
        console.print(plain(f"drift: {drift}"))


def show_log(console: Console, code: str, lines: Sequence[Line]) -> None:
    """Print what was done to a visit, the first line first."""
    console.print(plain(f"What was done to {code}", "bold"))
    table = _table("when", "by", "what", "why", "digest")
    table.columns[3].overflow = "fold"  # a hash is longer than the column
    for line in lines:
        what, why = plain(line.action, "bold"), plain(line.why)
        table.add_row(plain(moment_text(line.at)), plain(line.by), what, why, plain(line.digest[:12], QUIET))
    console.print(table)


def show_units(console: Console) -> None:
    """Print every unit: its code, what stands on paper, what it measures."""
    table = _table("unit", "on paper", "UCUM", "measures")
    for unit in unit_table().values():
        table.add_row(plain(unit.code, "bold"), plain(unit.symbol), plain(unit.ucum), plain(", ".join(unit.kinds)))
    console.print(table)


def show_limits(console: Console, limits: Mapping[str, Limit]) -> None:
    """Print every limit with the names by which the settings change it."""
    table = _table("limit", "permitted", "on whose word")
    for key, limit in sorted(limits.items()):
        table.add_row(plain(key, "bold"), plain(limit_text(limit)), plain(limit.authority.value, QUIET))
    console.print(table)
    console.print(plain("In the settings: [limits.SUBJECT.NAME] with low, high, marginal_low or marginal_high.", QUIET))


def _table(*names: str) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style=QUIET)
    for name in names:
        table.add_column(name)
    return table
