"""Commands on stored visits: ``visits``, ``show``, ``export``."""

from __future__ import annotations

import argparse
from pathlib import Path

from journal.cli.options import (
    Commands,
    add_json_option,
    add_store_options,
    console,
    open_store,
    print_json,
    settings_of,
)
from journal.domain.verdict import Outcome
from journal.errors import BadInput, NotFound

FORMATS = {"html": ".html", "json": ".json", "csv": ".csv", "vtt": ".vtt", "bundle": ".zip"}


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    visits = commands.add_parser("visits", help="list the visits in the store")
    _add_filters(visits)
    visits.set_defaults(run=run_visits, text=None)

    search = commands.add_parser("search", help="find visits by words of narration, findings and work")
    search.add_argument("text", metavar="WORDS", help="every word must occur; the last may be unfinished")
    _add_filters(search)
    search.set_defaults(run=run_visits)

    show = commands.add_parser("show", help="one visit's record, in the terminal")
    show.add_argument("visit", metavar="VISIT")
    add_store_options(show)
    add_json_option(show)
    show.set_defaults(run=run_show)

    export = commands.add_parser("export", help="one visit's record as a file")
    export.add_argument("visit", metavar="VISIT")
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
        help="whose copy (HTML)",
    )
    export.add_argument(
        "--with-sound", action="store_true", help="put the recording into the HTML, so that a reading plays its seconds"
    )
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
        show_summaries(console(), summaries)
    return 0 if summaries or arguments.text is None else 1


def run_show(arguments: argparse.Namespace) -> int:
    from journal.present.export import visit_text
    from journal.present.terminal import show_visit

    with open_store(settings_of(arguments)) as store:
        visit = store.visit(arguments.visit)
    if arguments.json:
        print(visit_text(visit))
    else:
        show_visit(console(), visit)
    return 0


def run_export(arguments: argparse.Namespace) -> int:
    from journal.present.export import readings_csv, visit_text, visit_vtt
    from journal.present.record import visit_html

    with open_store(settings_of(arguments)) as store:
        visit = store.visit(arguments.visit)
        out = arguments.out or Path(f"{visit.code}{FORMATS[arguments.format]}")
        if arguments.format == "bundle":
            extras = {"record.html": visit_html(visit).encode(), "narration.vtt": visit_vtt(visit).encode()}
            print(store.export_bundle(visit.code, out, extras))
            return 0
        sound = None
        if arguments.with_sound:
            if not visit.recordings:
                raise NotFound(f"Visit {visit.code} has no recording to put into its record.")
            if arguments.format != "html" or arguments.audience == "customer":
                raise BadInput("Sound goes into the HTML of the technician or the office only; leave --with-sound out.")
            sound = store.sound_path(visit, visit.recordings[0].name)
        if arguments.format == "html":
            text = visit_html(visit, audience=arguments.audience, sound=sound)
        elif arguments.format == "json":
            text = visit_text(visit)
        elif arguments.format == "csv":
            text = readings_csv(visit)
        else:
            text = visit_vtt(visit)
    if str(out) == "-":
        print(text, end="")
        return 0
    write_whole(out, text)
    print(out)
    return 0


def _add_filters(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--since", metavar="DATE", help="from this day on, e.g. 2026-03-02")
    parser.add_argument("--until", metavar="DATE", help="up to this day")
    parser.add_argument("--site", help="a part of the site's name")
    parser.add_argument("--technician", help="a part of the technician's name")
    parser.add_argument("--machine", help="a part of a machine's name, serial, maker or model")
    parser.add_argument("--outcome", choices=tuple(Outcome), help="at least one verdict came out like that")
    parser.add_argument("--doubtful", action="store_true", help="with readings that need listening")
    parser.add_argument("--open", action="store_true", help="not signed off")
    add_store_options(parser)
    add_json_option(parser)


def write_whole(path: Path, text: str) -> None:
    """Write a file whole or not at all: an interrupted export never leaves half a record under its name."""
    part = path.with_name(path.name + ".part")
    try:
        part.write_text(text, encoding="utf-8", newline="")
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)
        raise
