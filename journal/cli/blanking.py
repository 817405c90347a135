"""Command ``blank``: words and sound that must not stay."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from journal.cli.options import (
    Commands,
    add_person,
    add_shared,
    add_visit,
    judge_of,
    open_store,
    person,
    print_visit,
    recording_of,
    settings_of,
)
from journal.cli.revising import part_of, reason_of
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.domain.visit import Visit
    from journal.keep import Place

_BLANK = """\
journal blank VISIT --from 1:02 --to 1:09 --why "a private call"
journal blank VISIT --note 3 --words 2-4 --why "an access code"
journal blank VISIT --part 7 --why ...                   reading 7; also W, F, N, D and a1 for a photograph

Words and sound of those seconds are taken out, and with them what was read from them.  A marker stays, and 'verify'
still passes.  Backups, bundles and copies made earlier are not touched.
"""


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    raw = argparse.RawDescriptionHelpFormatter
    blank = commands.add_parser(
        "blank", help="take out words and sound that must not stay; a marker stays", epilog=_BLANK, formatter_class=raw
    )
    add_visit(blank)
    blank.add_argument("--from", dest="start", metavar="TIME", help="seconds, or minutes as 1:02.5")
    blank.add_argument("--to", dest="end", metavar="TIME", help="seconds, or minutes as 1:09")
    blank.add_argument("--recording", metavar="NAME", help="which one, when the visit has several (r1, r2...)")
    blank.add_argument("--note", type=int, metavar="LINE", help="a typed line, counted from 1")
    blank.add_argument("--words", metavar="A-B", help="with --note: only these words of it, counted from 1")
    blank.add_argument("--part", action="append", default=[], metavar="NUMBER", help="a part by its number")
    add_person(blank, why="the reason; it stays readable")
    add_shared(blank)
    blank.set_defaults(run=run_blank)


def run_blank(arguments: argparse.Namespace) -> int:
    from journal.hear.silence import SUFFIX, silence

    settings = settings_of(arguments)
    why = reason_of(arguments, "A blanking says why; the reason stays readable")
    with open_store(settings) as store:
        visit = store.visit(arguments.visit)
        place = _place(visit, arguments)
        parts = [_attachment(visit, part) or part_of(visit, part) for part in arguments.part]
        visit = store.blank(
            visit.code,
            place,
            parts=parts,
            by=person(arguments, settings),
            why=why,
            silence=silence,
            suffix=SUFFIX,
            judge=judge_of(settings),
        )
        if arguments.json:
            print_visit(store, visit)
            return 0
    made = visit.blankings[-1]
    print(f"{visit.code}: {made.what} taken out, judged again; the marker stays. Earlier backups still hold it.")
    return 0


def _place(visit: Visit, arguments: argparse.Namespace) -> Place | None:
    from journal.keep import Place

    if arguments.note is not None:
        lines = sorted({u.index for u in visit.utterances if u.recording == "note"})
        if not 1 <= arguments.note <= len(lines):
            raise BadInput(f"{visit.code} has {len(lines)} typed lines.")
        index = lines[arguments.note - 1]
        count = max(len(u.words) for u in visit.utterances if (u.recording, u.index) == ("note", index))
        first, last = _span(arguments.words, count)
        return Place("note", utterance=index, first=first, last=last)
    if arguments.start is None and arguments.end is None:
        if not arguments.part:
            raise BadInput("Say what to blank: --from 1:02 --to 1:09, --note LINE, or --part NUMBER.")
        return None
    if arguments.start is None or arguments.end is None:
        raise BadInput("Say both ends: --from 1:02 --to 1:09.")
    name = recording_of(visit, arguments.recording)
    return Place(name, start=seconds(arguments.start), end=seconds(arguments.end))


def _span(words: str | None, count: int) -> tuple[int, int]:
    if words is None:
        return 0, count - 1
    match = re.fullmatch(r"(\d+)(?:-(\d+))?", words)
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
    if not 1 <= first <= last <= count:
        raise BadInput(f"'{words}' names no words of that line; it has {count}: write 2-4.")
    return first - 1, last - 1


def seconds(text: str) -> float:
    """Return a moment of a recording, ``62.5``, ``1:02.5`` or ``1:01:02``, in seconds.  Raises ``BadInput``."""
    if not re.fullmatch(r"(\d+:){0,2}\d+(\.\d+)?", text):
        raise BadInput(f"'{text}' is no moment of a recording; write 62.5 or 1:02.5.")
    total = 0.0
    for part in text.split(":"):
        total = total * 60 + float(part)
    return total


def _attachment(visit: Visit, name: str) -> str | None:
    return next((attachment.id for attachment in visit.attachments if attachment.name == name), None)
