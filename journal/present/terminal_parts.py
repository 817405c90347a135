"""The parts of a page in the terminal: rows of readings, blocks of verdicts.

All text of a visit passes ``printable`` and is never read as markup.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from journal.present.compose import plain_lines
from journal.present.page import CauseLine, Facts, Machine, Moment, Page, ReadingLine, Said, VerdictLine
from journal.present.text_bar import text_bar
from journal.present.wording import printable

ACCENT = "dark_orange3"
QUIET = "bright_black"
OUTCOME_STYLES = {"within": "green", "marginal": "yellow", "outside": "bold red", "undetermined": "cyan"}
NUMBERS, AMOUNTS = 3, 14  # columns of a reading's number and amount
INDENT = (0, 0, 0, NUMBERS + AMOUNTS + 4)  # notes on a reading stand below its place


def title_block(page: Page) -> RenderableType:
    first = Text.assemble((printable(page.code), "bold"), "  ", (printable(page.title), "bold"))
    about = [
        page.when,
        *(text for name, text in page.people if name in ("Site", "Technician")),
        page.status if page.status != "complete" else "",
    ]
    others = fact_rows(tuple(fact for fact in page.people if fact[0] not in ("Site", "Technician", "Heard by")))
    return Group(Text(""), first, plain("; ".join(part for part in about if part), QUIET), *others)


def sentence_rows(sentences: Iterable[Said], before: str = "") -> list[RenderableType]:
    return [with_clock(plain(before + said.text), said.moment) for said in sentences]


def with_clock(text: Text, moment: Moment | None) -> RenderableType:
    row = Table.grid(padding=(0, 2, 0, 0), expand=True)
    row.add_column(ratio=1)
    row.add_column(justify="right", no_wrap=True)
    row.add_row(text, plain(moment.clock if moment else "", QUIET))
    return row


def machine_block(machine: Machine) -> RenderableType:
    parts: list[RenderableType] = []
    fields = "; ".join(f"{name.lower()} {text}" for name, text in machine.fields)
    parts.append(Text.assemble((printable(machine.name), "bold"), "  " if machine.name else "", printable(fields)))
    if machine.plate:
        parts.append(reading_rows(plain_lines(machine.plate)))
    parts += [plain(f"needs listening: {doubt}", "italic") for doubt in machine.doubts]
    return Group(*parts)


def reading_rows(lines: Sequence[ReadingLine]) -> RenderableType:
    return Group(*(part for line in lines for part in (reading_row(line), *doubt_rows(line))))


def reading_row(line: ReadingLine) -> RenderableType:
    """Return number, amount, place and second on one line; the words and what has to be known below."""
    table = Table.grid(padding=(0, 2, 0, 0), expand=True)
    if line.n:
        table.add_column(justify="right", width=NUMBERS)
    table.add_column(justify="right", width=AMOUNTS if line.n else AMOUNTS + NUMBERS + 2)
    table.add_column(ratio=1)
    table.add_column(justify="right", width=7, no_wrap=True)
    style = "strike" if line.withdrawn else "bold underline" if line.doubtful else "bold"
    where = plain(": ".join(part for part in (line.equipment, line.place) if part))
    if line.kind:
        where.append(printable(f", {line.kind}" if where else line.kind), QUIET)
    cells = [plain(line.amount, style), where, plain(line.moment.clock if line.moment else "", QUIET)]
    table.add_row(*([plain(str(line.n), QUIET)] if line.n else []), *cells)
    said = f"‘{line.moment.said}’" if line.moment and line.moment.said else ""
    below = "; ".join(part for part in (said, line.circumstances) if part)
    return Group(table, Padding(plain(below, QUIET), INDENT)) if below else table


def doubt_rows(line: ReadingLine) -> list[RenderableType]:
    if line.withdrawn:
        return [Padding(plain("withdrawn: no measurement", "italic"), INDENT)]
    rows = []
    if line.doubtful:
        more = f" or {line.more} more" if line.more else ""
        others = f"; may have been {' or '.join(line.others)}{more}" if line.others else ""
        rows.append(plain(f"needs listening: {'; '.join(line.doubts)}{others}", "italic"))
    rows += [plain(f"earlier: {text}", "italic") for text in line.before_now]
    return [Padding(row, INDENT) for row in rows]


def fact_rows(facts: Facts) -> list[RenderableType]:
    """Return named facts, a line each."""
    return [Text.assemble((printable(name), QUIET), "  ", printable(text)) for name, text in facts]


def missing_rows(page: Page) -> list[RenderableType]:
    """Return what the record lacks: the demanded first and marked, the rest in one sentence; then the rules."""
    rows: list[RenderableType] = []
    for gap in page.missing:
        if gap.word:
            rows.append(Text.assemble((gap.word, "bold"), "  ", printable(gap.what), (f"  {gap.source}", QUIET)))
    usual = [gap.what for gap in page.missing if not gap.word]
    if usual:
        rows.append(plain("; ".join(usual)))
    rows += [plain(rule, QUIET) for rule in page.rules]
    return rows


def to_hear_rows(lines: Sequence[ReadingLine]) -> list[RenderableType]:
    """Return the readings that need listening in one sentence: they stand marked above."""
    if not lines:
        return []
    named = ", ".join(f"{line.n} ({line.moment.clock})" if line.moment else str(line.n) for line in lines)
    what = f"reading {named} needs" if len(lines) == 1 else f"{len(lines)} readings need"
    return [plain(f"{what} listening{'' if len(lines) == 1 else ': ' + named}")]


def verdict_blocks(lines: Sequence[VerdictLine], console: Console) -> RenderableType:
    return Group(*(verdict_block(line, console) for line in lines))


def verdict_block(line: VerdictLine, console: Console) -> RenderableType:
    head = Text.assemble(
        (f"V{line.n}  " if line.n else "", QUIET),
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
        parts.append(plain(f"{span}, {whose}" if span else whose, QUIET))
    parts.append(plain(line.plain))
    if line.missing:
        parts.append(plain(f"need: {'; '.join(line.missing)}", "bold"))
    if line.formula:
        parts.append(plain(line.formula))
    if line.source:
        parts.append(plain(f"source: {line.source}", QUIET))
    rests = ", ".join(
        f"{r.amount} {r.place}".strip() + (f" ({r.moment.clock})" if r.moment else "") for r in line.rests_on
    )
    if rests:
        parts.append(plain(f"rests on {rests}", QUIET))
    parts += [plain(text, "italic") for text in (line.doubt, line.overruled) if text]
    parts += [plain(f"caution: {caution}") for caution in line.cautions]
    return Group(head, Padding(Group(*parts), (0, 0, 1, 4)))


def cause_block(cause: CauseLine) -> RenderableType:
    head = Text.assemble(
        (f"C{cause.n}  " if cause.n else "", QUIET),
        ("points to ", QUIET),
        (printable(cause.title), "bold"),
        printable(f": {cause.because}"),
    )
    notes = [
        plain(f"to confirm: {cause.confirm.rstrip('.')} (proposed by {cause.proposed_by}; the technician decides)")
    ]
    if cause.overruled:
        notes.append(plain(cause.overruled, "italic"))
    return Group(head, Padding(Group(*notes), (0, 0, 1, 4)))


def plain(text: str, style: str = "") -> Text:
    return Text(printable(text), style=style)
