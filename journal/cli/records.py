"""Commands on stored visits: ``visits``, ``search``, ``show``, ``export``."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from journal.cli.copies import MAKERS, Copy, bundle, record_release
from journal.cli.options import (
    Commands,
    add_person,
    add_shared,
    add_store_options,
    add_visit,
    console,
    emit,
    open_store,
    person,
    print_json,
    print_visit,
    settings_of,
)
from journal.domain.verdict import Outcome
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.keep import Line

FORMATS = {"html": ".html", "pdf": ".pdf", "json": ".json", "csv": ".csv", "vtt": ".vtt", "bundle": ".zip"}
RELEASES = ("transcript", "sound", "notes", "photographs")


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    visits = commands.add_parser("visits", help="list the visits in the store")
    _add_filters(visits)
    visits.set_defaults(run=run_visits, text=None)

    search = commands.add_parser("search", help="find visits by words of narration, findings and work")
    search.add_argument("text", metavar="WORDS", help="every word must occur; the last may be unfinished")
    _add_filters(search)
    search.set_defaults(run=run_visits)

    show = commands.add_parser(
        "show",
        help="one visit's record, in the terminal",
        description="The numbers before readings, verdicts (V) and causes (C) are those of 'correct' and 'overrule'.",
    )
    add_visit(show)
    show.add_argument("--log", action="store_true", help="what was done to it, by whom and when; each line's digest")
    add_shared(show)
    show.set_defaults(run=run_show)

    export = commands.add_parser("export", help="one visit's record as a file")
    add_visit(export)
    export.add_argument("-f", "--format", choices=tuple(FORMATS), default="html", help="html is the default")
    export.add_argument(
        "-o",
        "--out",
        type=Path,
        metavar="FILE",
        help="where to write it (else VISIT.html and so on, here; '-' prints it)",
    )
    export.add_argument(
        "--for",
        dest="audience",
        choices=("technician", "office", "customer"),
        default="office",
        help="whose copy; a customer's holds no transcript, sound or internal note",
    )
    export.add_argument(
        "--release",
        action="append",
        choices=RELEASES,
        default=[],
        help="with --for customer: let this out as well, which is written down (may be repeated)",
    )
    export.add_argument("--paper", choices=("a4", "letter"), default="a4", help="with -f pdf; a4 is the default")
    export.add_argument(
        "--with-sound",
        action="store_true",
        help="put the recordings into the HTML, so that a reading plays its seconds",
    )
    add_person(export)
    add_store_options(export)
    export.set_defaults(run=run_export)


def run_visits(arguments: argparse.Namespace) -> int:
    from journal.present.export import summary_json
    from journal.present.terminal import show_summaries

    with open_store(settings_of(arguments)) as store:
        summaries = store.visits(
            text=arguments.text,
            since=arguments.since,
            until=arguments.until,
            site=arguments.site,
            technician=arguments.technician,
            equipment=arguments.machine,
            outcome=Outcome(arguments.outcome) if arguments.outcome else None,
            doubtful=True if arguments.doubtful else None,
            open=True if arguments.open else None,
        )
    if arguments.json:
        print_json([summary_json(summary) for summary in summaries])
    else:
        show_summaries(console(), summaries, found=_wanted(arguments))
    return 0 if summaries or arguments.text is None else 1


def run_show(arguments: argparse.Namespace) -> int:
    from journal.keep import current
    from journal.present.terminal import show_visit

    with open_store(settings_of(arguments)) as store:
        visit = store.visit(arguments.visit)
        if arguments.log:
            _show_log(visit.code, store.history(visit.code), arguments.json)
        elif arguments.json:
            print_visit(store, visit)
        else:
            show_visit(console(), current(visit), suggestions=store.suggestions(visit))
    return 0


def _show_log(code: str, lines: tuple[Line, ...], as_json: bool) -> None:
    from journal.present.as_json import as_json as plain
    from journal.present.lists import show_log

    if as_json:
        print_json(plain(lines))
    else:
        show_log(console(), code, lines)


def run_export(arguments: argparse.Namespace) -> int:
    from journal.keep import current

    if arguments.release and arguments.audience != "customer":
        raise BadInput("--release lets something out to a customer: add --for customer.")
    if arguments.with_sound and arguments.format != "html":
        raise BadInput("Sound goes into the HTML; leave --with-sound out, or hand on a bundle: -f bundle.")
    settings = settings_of(arguments)
    with open_store(settings) as store:
        copy = Copy(store, current(store.visit(arguments.visit)), arguments, store.head())
        customers = "-customer" if copy.customer else ""
        out = arguments.out or Path(f"{copy.visit.code}{customers}{FORMATS[arguments.format]}")
        if arguments.format == "bundle":
            return bundle(copy, out)
        content = MAKERS[arguments.format](copy)
        if copy.released:
            record_release(copy, content, person(arguments, settings))
    if str(out) == "-":
        emit(content)
        return 0
    write_whole(out, content)
    print(out)
    return 0


def _wanted(arguments: argparse.Namespace) -> bool:
    names = ("text", "since", "until", "site", "technician", "machine", "outcome", "doubtful", "open")
    return any(getattr(arguments, name) for name in names)


def _add_filters(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--since", metavar="DATE", help="from this day on, e.g. 2026-03-02")
    parser.add_argument("--until", metavar="DATE", help="up to this day")
    parser.add_argument("--site", help="a part of the site's name")
    parser.add_argument("--technician", help="a part of the technician's name")
    parser.add_argument(
        "--machine", "--equipment", metavar="NAME", help="a part of a machine's name, serial, maker or model"
    )
    parser.add_argument("--outcome", choices=tuple(Outcome), help="at least one verdict came out like that")
    parser.add_argument("--doubtful", action="store_true", help="with readings that need listening")
    parser.add_argument("--open", action="store_true", help="not signed off")
    add_shared(parser)


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file whole or not at all: an interrupted export never leaves half a record under its name."""
    part = path.with_name(path.name + ".part")
    try:
        part.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)
        raise
