"""Visits, readings and verdicts in the terminal: made for 80 columns, legible without colour.

Nothing of a visit is ever read as markup or as a control sequence of the terminal.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Protocol

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from journal.domain.reading import Reading
from journal.domain.verdict import Outcome, Verdict
from journal.domain.visit import Visit
from journal.keep.learning import Suggestion
from journal.present.compose import page_of, plain_lines, reading_lines, verdict_lines
from journal.present.page import Audience, Machine, ReadingLine, VerdictLine
from journal.present.terminal_parts import (
    ACCENT,
    OUTCOME_STYLES,
    QUIET,
    cause_block,
    fact_rows,
    machine_block,
    missing_rows,
    plain,
    reading_rows,
    sentence_rows,
    title_block,
    to_hear_rows,
    verdict_block,
    verdict_blocks,
)

if TYPE_CHECKING:
    from journal.pipeline import Understanding

WIDEST = 100  # a line longer than this is hard to follow on paper and on glass


class Summary(Protocol):
    """One line of a list of visits."""

    @property
    def code(self) -> str: ...
    @property
    def started(self) -> str | None: ...
    @property
    def made(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def site(self) -> str | None: ...
    @property
    def status(self) -> str: ...
    @property
    def readings(self) -> int: ...
    @property
    def doubtful(self) -> int: ...
    @property
    def worst(self) -> Outcome | None: ...


class CheckCard(Protocol):
    """What is shown of a check in the list of checks."""

    @property
    def name(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def needs(self) -> Mapping[str, object]: ...


def show_visit(
    console: Console,
    visit: Visit,
    *,
    suggestions: Sequence[Suggestion] = (),
    released: Collection[str] = (),
    audience: Audience = "office",
) -> None:
    """Print a visit's whole record, in the order of the pages, with the numbers by which parts are corrected."""
    page = page_of(visit, audience, released=released, suggestions=suggestions)
    _print(console, title_block(page))
    _section(console, "Complaint", sentence_rows(page.complaint))
    _section(console, "Machine", [machine_block(machine) for machine in page.machines])
    found = [reading_rows(plain_lines(page.found))] if page.found else []
    if page.nothing_read:
        spoken = "It is still being spoken: its readings are stored when it is finished."
        found = [plain(spoken if page.status == "open" else "No reading was understood in this visit.")]
    _section(console, "Readings as found", [*found, *sentence_rows(page.findings)])
    causes: list[RenderableType] = [cause_block(cause) for cause in page.causes]
    _section(console, "Verdicts", [*(verdict_block(line, console) for line in page.verdicts), *causes])
    _section(console, "Work done", [*sentence_rows(page.work), *fact_rows(page.work_facts)])
    left = [reading_rows(plain_lines(page.left))] if page.left else []
    _section(console, "As left", [*left, *fact_rows(page.left_facts)])
    for topic, sentences in page.notes:
        _section(console, topic.capitalize(), sentence_rows(sentences))
    _section(console, "Follow-up", [*sentence_rows(page.follow_up), *sentence_rows(page.to_do, "to do: ")])
    _section(console, "For the invoice", fact_rows(page.invoice))
    _section(console, "Cautions", [plain(caution) for caution in page.cautions])
    open_ends: list[RenderableType] = [verdict_block(line, console) for line in page.undetermined]
    _section(console, "What is undetermined", [*open_ends, *to_hear_rows(page.to_hear)])
    _section(console, "Missing from the record", missing_rows(page))
    _section(console, "Photographs and papers", [plain(attachment) for attachment in page.attachments])
    history: list[RenderableType] = [
        plain(f"{c.at}, {c.by}: {c.what} from {c.before or 'nothing'} to {c.after or 'nothing'}, because {c.why}")
        for c in page.history
    ]
    _section(console, "History of changes", history + sentence_rows(page.blanked))


def show_outcome(console: Console, visit: Visit) -> None:
    """Print what came out of a visit just heard: its readings and verdicts, and where to read on."""
    page = page_of(visit)
    _print(console, title_block(page))
    _show_lines(console, [*_plates(page.machines), *page.found, *page.left], [*page.verdicts, *page.undetermined])
    _print(console, plain(f"The whole record: journal show {page.code}", QUIET))


def show_understanding(console: Console, understanding: Understanding) -> None:
    """Print the readings and verdicts of a narration that belongs to no visit."""
    readings = understanding.interpretation.readings
    verdicts = verdict_lines(understanding.judgement.verdicts, readings)
    _show_lines(console, reading_lines(readings), verdicts)


def show_verdict(console: Console, verdict: Verdict) -> None:
    """Print one verdict with its arithmetic, its limits and their sources."""
    _print(console, verdict_block(verdict_lines((verdict,))[0], console))


def show_summaries(console: Console, summaries: Sequence[Summary], *, found: bool = False) -> None:
    """Print a list of visits, one each line, each with its worst verdict; ``found``: they were asked for by filters."""
    if not summaries:
        nothing = "No visit fits all of that." if found else "No visits are here yet: journal ingest FILE makes one."
        _print(console, plain(nothing))
        return
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style=QUIET)
    for name in ("visit", "begun", "title and site", "readings", "worst verdict"):
        table.add_column(name, no_wrap=name in ("visit", "begun"), justify="right" if name == "readings" else "left")
    for summary in summaries:
        worst = summary.worst
        heard = f"{summary.readings}" + (f", {summary.doubtful} doubted" if summary.doubtful else "")
        table.add_row(
            plain(summary.code, "bold"),
            plain((summary.started or summary.made)[:16].replace("T", " ")),
            plain(", ".join(part for part in (summary.title, summary.site) if part)),
            plain(heard),
            plain(worst.words, OUTCOME_STYLES[worst.value]) if worst else plain("none", QUIET),
        )
    _print(console, table)


def show_checks(console: Console, checks: Mapping[str, CheckCard] | Iterable[CheckCard]) -> None:
    """Print the list of checks with the values each one takes."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style=QUIET)
    for name in ("check", "what it judges", "values"):
        table.add_column(name, no_wrap=name == "check")
    for check in checks.values() if isinstance(checks, Mapping) else checks:
        values = " ".join(f"--{need.replace(' ', '-')}" for need in check.needs)
        table.add_row(plain(check.name, "bold"), plain(check.title), plain(values))
    _print(console, table)


def readings_table(readings: Sequence[Reading]) -> RenderableType:
    """Return readings as a table: amount, place and kind, seconds, words; doubts in words below."""
    return reading_rows(plain_lines(reading_lines(tuple(readings))))


def verdicts_table(
    verdicts: Sequence[Verdict], readings: Sequence[Reading] = (), console: Console | None = None
) -> RenderableType:
    """Return verdicts one below the other, each with its word, its bar and its sentence."""
    return verdict_blocks(verdict_lines(tuple(verdicts), tuple(readings)), console or Console())


def _show_lines(console: Console, readings: Sequence[ReadingLine], verdicts: Sequence[VerdictLine]) -> None:
    if readings:
        _section(console, "Readings", [reading_rows(plain_lines(tuple(readings)))])
    else:
        _section(console, "Readings", [plain("No reading was understood.")])
    _section(console, "Verdicts", [verdict_blocks(verdicts, console)] if verdicts else [])


def _plates(machines: Iterable[Machine]) -> list[ReadingLine]:
    return [line for machine in machines for line in machine.plate]


def _print(console: Console, what: RenderableType) -> None:
    console.print(what, width=min(console.width, WIDEST))


def _section(console: Console, name: str, parts: Sequence[RenderableType]) -> None:
    if not parts:
        return
    _print(console, Group(Text(""), plain(name, f"bold {ACCENT}"), Padding(Group(*parts), (0, 0, 0, 2))))
