"""Commands that add to a visit: ``add`` (later recordings, typed notes) and ``attach`` (photographs, papers)."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from journal.cli.options import (
    Commands,
    add_model_option,
    add_person,
    add_shared,
    add_visit,
    console,
    open_store,
    person,
    print_visit,
    recording_of,
    rules_of,
    settings_of,
)
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.config import Settings

_ADD = """\
journal add VISIT more.wav                    a later recording
journal add VISIT notes.txt                   typed notes, a line each
journal add VISIT --say "box is at 36 F"      a typed line
journal add VISIT --say "box is at 36 F" --at 1:02 --why "not heard"      a reading by hand, at its moment

Readings in it are understood, doubted and judged together with the rest of the visit.
"""
_TEXT = (".txt", ".md", ".text")


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    raw = argparse.RawDescriptionHelpFormatter
    add = commands.add_parser(
        "add", help="add a later recording or typed notes to a visit", epilog=_ADD, formatter_class=raw
    )
    add_visit(add)
    add.add_argument("files", nargs="*", type=Path, metavar="FILE", help="recordings, or typed notes (.txt)")
    add.add_argument("--say", action="append", default=[], metavar="LINE", help="a typed line (may be repeated)")
    add.add_argument("--at", metavar="TIME", help="the line tells readings of this moment of the recording, e.g. 1:02")
    add.add_argument("--recording", metavar="NAME", help="with --at: which one, when the visit has several (r1, r2...)")
    add_model_option(add)
    add_person(add, why="with --at: why it is added by hand")
    add_shared(add)
    add.set_defaults(run=run_add, more="files")

    attach = commands.add_parser("attach", help="keep photographs or papers with a visit")
    add_visit(attach)
    attach.add_argument("files", nargs="+", type=Path, metavar="FILE")
    attach.add_argument("--caption", default="", help="what it shows")
    add_person(attach)
    add_shared(attach)
    attach.set_defaults(run=run_attach)


def run_add(arguments: argparse.Namespace) -> int:
    from journal.adding import add_to_visit
    from journal.cli.hearing import load_model, load_second_listener, progress_bar
    from journal.keep import current
    from journal.present.terminal import show_outcome

    settings = settings_of(arguments)
    if arguments.at is not None:
        return _by_hand(arguments, settings)
    sounds = [file for file in arguments.files if file.suffix.lower() not in _TEXT]
    lines = [line for file in arguments.files if file not in sounds for line in _lines(file)] + arguments.say
    model = load_model(arguments.model or settings.model) if sounds else None
    second = load_second_listener(settings.second_listener) if sounds else None
    with open_store(settings) as store, progress_bar(quiet=arguments.json or not sounds) as progress:
        visit = add_to_visit(
            arguments.visit,
            sounds,
            lines,
            store=store,
            rules=rules_of(settings),
            by=person(arguments, settings),
            model=model,
            second=second,
            progress=progress,
        )
        if arguments.json:
            print_visit(store, visit)
            return 0
    show_outcome(console(), current(visit))
    return 0


def _by_hand(arguments: argparse.Namespace, settings: Settings) -> int:
    from journal.adding import add_by_hand
    from journal.cli.blanking import seconds
    from journal.cli.revising import reason_of
    from journal.keep import current
    from journal.present.terminal import show_outcome

    if arguments.files or len(arguments.say) != 1:
        raise BadInput('With --at one line is added: --say "box is at 36 F" --at 1:02.')
    why = reason_of(arguments, "A reading added by hand says why")
    with open_store(settings) as store:
        visit = store.visit(arguments.visit)
        moment = (recording_of(visit, arguments.recording), seconds(arguments.at))
        by = person(arguments, settings)
        visit = add_by_hand(visit.id, arguments.say[0], moment, store=store, rules=rules_of(settings), by=by, why=why)
        if arguments.json:
            print_visit(store, visit)
            return 0
    show_outcome(console(), current(visit))
    return 0


def run_attach(arguments: argparse.Namespace) -> int:
    settings = settings_of(arguments)
    with open_store(settings) as store:
        for file in arguments.files:
            visit = store.attach(arguments.visit, file, by=person(arguments, settings), caption=arguments.caption)
        if arguments.json:
            print_visit(store, visit)
            return 0
    print(f"{visit.code}: {len(arguments.files)} kept with the visit.")
    return 0


def _lines(file: Path) -> list[str]:
    try:
        return [line for line in file.read_text(encoding="utf-8").splitlines() if line.strip()]
    except FileNotFoundError:
        raise BadInput(f"{file} is not there; name a text file or a recording.") from None
    except UnicodeDecodeError:
        raise BadInput(f"{file} is no text in UTF-8; save it again as UTF-8.") from None
