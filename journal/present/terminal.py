"""Visits, readings and verdicts in the terminal: made for 80 columns, legible without colour.

Nothing of a visit is ever read as markup or as a control sequence of the terminal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Protocol

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from journal.domain.reading import Reading
from journal.domain.verdict import Outcome, Verdict
from journal.domain.visit import Visit
from journal.present.compose import page_of, plain_lines, reading_lines, verdict_lines
from journal.present.page import Machine, Moment, Page, ReadingLine, Said, VerdictLine
from journal.present.text_bar import text_bar
from journal.present.wording import printable

if TYPE_CHECKING:
    from journal.pipeline import Understanding

INDENT = (0, 0, 0, 19)
WIDEST = 100  # a line longer than this is hard to follow on paper and on glass
ACCENT = "dark_orange3"
QUIET = "bright_black"
OUTCOME_STYLES = {"within": "green", "marginal": "yellow", "outside": "bold red", "undetermined": "cyan"}


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


def show_visit(console: Console, visit: Visit) -> None:
    """Print a visit's whole record, in the order of the pages."""
    page = page_of(visit)
    _print(console, _title(page))
    _section(console, "Complaint", _sentences(page.complaint))
    _section(console, "Machine", [_machine(machine) for machine in page.machines])
    found = [_readings(plain_lines(page.found))] if page.found else []
    if page.nothing_read:
        found = [_text("No reading was understood in this visit.")]
    _section(console, "Readings as found", [*found, *_sentences(page.findings)])
    causes: list[RenderableType] = [_cause(*cause) for cause in page.causes]
    _section(console, "Verdicts", [*(_verdict(line, console) for line in page.verdicts), *causes])
    _section(console, "Work done", _sentences(page.work))
    _section(console, "As left", [_readings(plain_lines(page.left))] if page.left else [])
    for topic, sentences in page.notes:
        _section(console, topic.capitalize(), _sentences(sentences))
    _section(console, "Follow-up", [*_sentences(page.follow_up), *_sentences(page.to_do, "to do: ")])
    _section(console, "Cautions", [_text(caution) for caution in page.cautions])
    open_ends: list[RenderableType] = [_verdict(line, console) for line in page.undetermined]
    _section(console, "What is undetermined", [*open_ends, *(_to_hear(line) for line in page.to_hear)])
    _section(console, "Photographs and papers", [_text(attachment) for attachment in page.attachments])
    history: list[RenderableType] = [
        _text(f"{c.at}, {c.by}: {c.what} from {c.before or 'nothing'} to {c.after or 'nothing'}, because {c.why}")
        for c in page.history
    ]
    _section(console, "History of changes", history + _sentences(page.blanked))


def show_outcome(console: Console, visit: Visit) -> None:
    """Print what came out of a visit just heard: its readings and verdicts, and where to read on."""
    page = page_of(visit)
    _print(console, _title(page))
    _show_lines(console, [*_plates(page.machines), *page.found, *page.left], [*page.verdicts, *page.undetermined])
    _print(console, _text(f"The whole record: journal show {page.code}", QUIET))


def show_understanding(console: Console, understanding: Understanding) -> None:
    """Print the readings and verdicts of a narration that belongs to no visit."""
    readings = understanding.interpretation.readings
    verdicts = verdict_lines(understanding.judgement.verdicts, readings)
    _show_lines(console, reading_lines(readings), verdicts)


def show_verdict(console: Console, verdict: Verdict) -> None:
    """Print one verdict with its arithmetic, its limits and their sources."""
    _print(console, _verdict(verdict_lines((verdict,))[0], console))


def show_summaries(console: Console, summaries: Sequence[Summary]) -> None:
    """Print a list of visits, one each line, the one to look at first marked by its worst verdict."""
    if not summaries:
        _print(console, _text("No visits are here yet: journal ingest FILE makes one."))
        return
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style=QUIET)
    for name in ("visit", "begun", "title and site", "readings", "worst verdict"):
        table.add_column(name, no_wrap=name in ("visit", "begun"), justify="right" if name == "readings" else "left")
    for summary in summaries:
        worst = summary.worst
        heard = f"{summary.readings}" + (f", {summary.doubtful} doubted" if summary.doubtful else "")
        table.add_row(
            _text(summary.code, "bold"),
            _text((summary.started or summary.made)[:16].replace("T", " ")),
            _text(", ".join(part for part in (summary.title, summary.site) if part)),
            _text(heard),
            _text(worst.words, OUTCOME_STYLES[worst.value]) if worst else _text("none", QUIET),
        )
    _print(console, table)


def show_checks(console: Console, checks: Mapping[str, CheckCard] | Iterable[CheckCard]) -> None:
    """Print the list of checks with the values each one takes."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style=QUIET)
    for name in ("check", "what it judges", "values"):
        table.add_column(name, no_wrap=name == "check")
    for check in checks.values() if isinstance(checks, Mapping) else checks:
        table.add_row(
            _text(check.name, "bold"), _text(check.title), _text(" ".join(f"--{need}" for need in check.needs))
        )
    _print(console, table)


def readings_table(readings: Sequence[Reading]) -> RenderableType:
    """Return readings as a table: amount, place and kind, seconds, words; doubts in words below."""
    return _readings(plain_lines(reading_lines(tuple(readings))))


def verdicts_table(
    verdicts: Sequence[Verdict], readings: Sequence[Reading] = (), console: Console | None = None
) -> RenderableType:
    """Return verdicts one below the other, each with its word, its bar and its sentence."""
    return _verdicts(verdict_lines(tuple(verdicts), tuple(readings)), console or Console())


def _show_lines(console: Console, readings: Sequence[ReadingLine], verdicts: Sequence[VerdictLine]) -> None:
    if readings:
        _section(console, "Readings", [_readings(plain_lines(tuple(readings)))])
    else:
        _section(console, "Readings", [_text("No reading was understood.")])
    _section(console, "Verdicts", [_verdicts(verdicts, console)] if verdicts else [])


def _plates(machines: Iterable[Machine]) -> list[ReadingLine]:
    return [line for machine in machines for line in machine.plate]


def _print(console: Console, what: RenderableType) -> None:
    console.print(what, width=min(console.width, WIDEST))


def _section(console: Console, name: str, parts: Sequence[RenderableType]) -> None:
    if not parts:
        return
    _print(console, Group(Text(""), _text(name, f"bold {ACCENT}"), Padding(Group(*parts), (0, 0, 0, 2))))


def _title(page: Page) -> RenderableType:
    first = Text.assemble((printable(page.code), "bold"), "  ", (printable(page.title), "bold"))
    about = [
        page.when,
        *(text for name, text in page.people if name in ("Site", "Technician")),
        page.status if page.status != "complete" else "",
    ]
    return Group(Text(""), first, _text("; ".join(part for part in about if part), QUIET))


def _sentences(sentences: Iterable[Said], before: str = "") -> list[RenderableType]:
    return [_with_clock(_text(before + said.text), said.moment) for said in sentences]


def _with_clock(text: Text, moment: Moment | None) -> RenderableType:
    row = Table.grid(padding=(0, 2, 0, 0), expand=True)
    row.add_column(ratio=1)
    row.add_column(justify="right", no_wrap=True)
    row.add_row(text, _text(moment.clock if moment else "", QUIET))
    return row


def _machine(machine: Machine) -> RenderableType:
    parts: list[RenderableType] = []
    fields = "; ".join(f"{name.lower()} {text}" for name, text in machine.fields)
    parts.append(Text.assemble((printable(machine.name), "bold"), "  " if machine.name else "", printable(fields)))
    if machine.plate:
        parts.append(_readings(plain_lines(machine.plate)))
    parts += [_text(f"needs listening: {doubt}", "italic") for doubt in machine.doubts]
    return Group(*parts)


def _readings(lines: Sequence[ReadingLine]) -> RenderableType:
    return Group(*(part for line in lines for part in (_reading(line), *_doubt_notes(line))))


def _reading(line: ReadingLine) -> RenderableType:
    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    table.add_column(justify="right", ratio=5)
    table.add_column(ratio=8)
    table.add_column(ratio=8)
    table.add_column(justify="right", width=7, no_wrap=True)
    style = "strike" if line.withdrawn else "bold underline" if line.doubtful else "bold"
    where = _text(": ".join(part for part in (line.equipment, line.place) if part))
    for part in (line.kind, line.circumstances):
        if part:
            where.append(printable(f", {part}" if where else part), QUIET)
    said = _text(f"‘{line.moment.said}’" if line.moment else "", QUIET)
    table.add_row(_text(line.amount, style), where, said, _text(line.moment.clock if line.moment else "", QUIET))
    return table


def _doubt_notes(line: ReadingLine) -> list[RenderableType]:
    if line.withdrawn:
        return [Padding(_text("withdrawn by the speaker: no measurement", "italic"), INDENT)]
    if not line.doubtful:
        return []
    others = f"; may have been {' or '.join(line.others)}" if line.others else ""
    return [Padding(_text(f"needs listening: {'; '.join(line.doubts)}{others}", "italic"), INDENT)]


def _to_hear(line: ReadingLine) -> RenderableType:
    what = ", ".join(part for part in (line.amount, line.place or line.kind) if part)
    return _with_clock(_text(f"{what}: needs listening"), line.moment)


def _verdicts(lines: Sequence[VerdictLine], console: Console) -> RenderableType:
    return Group(*(_verdict(line, console) for line in lines))


def _verdict(line: VerdictLine, console: Console) -> RenderableType:
    head = Text.assemble(
        (printable(line.word), OUTCOME_STYLES.get(line.outcome, "bold")),
        "  ",
        (printable(line.title), "bold"),
        printable(f"  {line.value}" if line.value else ""),
        (printable(f"  {line.where}" if line.where else ""), QUIET),
    )
    parts: list[RenderableType] = []
    for span, whose, bar in line.limits:
        if bar is not None:
            parts.append(text_bar(bar, ascii_only=console.options.ascii_only))
        parts.append(_text(f"{span}, {whose}" if span else whose, QUIET))
    parts.append(_text(line.plain))
    if line.missing:
        parts.append(_text(f"need: {'; '.join(line.missing)}", "bold"))
    if line.formula:
        parts.append(_text(line.formula))
    if line.source and not any(line.source in whose for _, whose, _ in line.limits):
        parts.append(_text(f"source: {line.source}", QUIET))
    rests = ", ".join(
        f"{r.amount} {r.place}".strip() + (f" ({r.moment.clock})" if r.moment else "") for r in line.rests_on
    )
    if rests:
        parts.append(_text(f"rests on {rests}", QUIET))
    parts += [_text(text, "italic") for text in (line.doubt, line.overruled) if text]
    parts += [_text(f"caution: {caution}") for caution in line.cautions]
    return Group(head, Padding(Group(*parts), (0, 0, 1, 4)))


def _cause(title: str, because: str, confirm: str, proposed_by: str) -> RenderableType:
    text = Text.assemble(("points to ", QUIET), (printable(title), "bold"), printable(f": {because}"))
    return Group(
        text, Padding(_text(f"to confirm: {confirm} (proposed by {proposed_by}; the technician decides)"), (0, 0, 1, 4))
    )


def _text(text: str, style: str = "") -> Text:
    return Text(printable(text), style=style)
