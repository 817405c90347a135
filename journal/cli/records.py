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
from journal.errors import BadInput, NotFound

FORMATS = {"html": ".html", "json": ".json", "csv": ".csv", "vtt": ".vtt"}


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    visits = commands.add_parser("visits", help="list the visits in the store")
    add_store_options(visits)
    add_json_option(visits)
    visits.set_defaults(run=run_visits)

    show = commands.add_parser("show", help="one visit's record, in the terminal")
    show.add_argument("visit", metavar="VISIT")
    add_store_options(show)
    add_json_option(show)
    show.set_defaults(run=run_show)

    export = commands.add_parser("export", help="one visit's record as a file")
    export.add_argument("visit", metavar="VISIT")
    export.add_argument("-f", "--format", choices=tuple(FORMATS), default="html")
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
        summaries = store.visits()
    if arguments.json:
        print_json([summary_json(summary) for summary in summaries])
    else:
        show_summaries(console(), summaries)
    return 0


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
    out = arguments.out or Path(f"{visit.code}{FORMATS[arguments.format]}")
    if str(out) == "-":
        print(text, end="")
        return 0
    write_whole(out, text)
    print(out)
    return 0


def write_whole(path: Path, text: str) -> None:
    """Write a file whole or not at all: an interrupted export never leaves half a record under its name."""
    part = path.with_name(path.name + ".part")
    try:
        part.write_text(text, encoding="utf-8", newline="")
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)
        raise
