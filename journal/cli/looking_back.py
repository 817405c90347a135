"""Commands over many visits: ``history`` of one machine, ``refrigerant-log`` of a period."""

from __future__ import annotations

import argparse
import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

from journal.cli.options import (
    Commands,
    add_shared,
    console,
    emit,
    open_store,
    print_json,
    settings_of,
    visit_codes,
)
from journal.cli.records import write_whole
from journal.errors import BadInput, NotFound

if TYPE_CHECKING:
    from journal.keep import Machine, Store


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    history = commands.add_parser("history", help="one machine over its visits: what did it draw last time")
    visit: argparse.Action = history.add_argument(
        "visit", nargs="?", metavar="VISIT", help="the machine of this visit; or name it:"
    )
    visit.completer = visit_codes  # type: ignore[attr-defined]  # argcomplete looks for it there
    history.add_argument("--serial", help="the machine's serial number")
    history.add_argument("--machine", metavar="NAME", help="what the machine is called")
    history.add_argument("--site", help="where it stands, when the name alone is not enough")
    history.add_argument("--kind", help="only this quantity: voltage, current, superheat...")
    history.add_argument("--component", help="only this part: compressor, run capacitor...")
    history.add_argument("--points", metavar="A-B", help="only between these points: common-run, L1-L2...")
    history.add_argument("--svg", type=Path, metavar="FILE", help="draw it as a picture as well ('-' prints it)")
    history.add_argument("--html", type=Path, metavar="FILE", help="make a page of plots and tables ('-' prints it)")
    add_shared(history)
    history.set_defaults(run=run_history, more="visit")

    log = commands.add_parser(
        "refrigerant-log",
        help="every addition and recovery of a period, with what its record must hold and lacks",
        description="Without --since it is this calendar year. The regulation in force at the place goes first.",
    )
    log.add_argument("--since", metavar="DATE", help="from this day on, e.g. 2026-01-01")
    log.add_argument("--until", metavar="DATE", help="up to this day")
    log.add_argument("--site", help="a part of the site's name")
    log.add_argument("--csv", type=Path, metavar="FILE", help="write it as CSV ('-' prints it)")
    add_shared(log)
    log.set_defaults(run=run_log)


def run_history(arguments: argparse.Namespace) -> int:
    from journal.domain.kind import Kind
    from journal.present.lists import show_history
    from journal.present.plot import series_html, series_svg

    kind = None
    if arguments.kind:
        try:
            kind = Kind(arguments.kind)
        except ValueError:
            raise BadInput(f"'{arguments.kind}' is no kind of reading; the kinds are: {', '.join(Kind)}.") from None
    points = tuple(arguments.points.split("-")) if arguments.points else None
    with open_store(settings_of(arguments)) as store:
        machine = _machine(store, arguments)
        series = store.machine_series(machine, kind=kind, component=arguments.component, points=points)
        drifts = {drift.place: drift.sentence for drift in store.machine_drifts(machine) if drift.place in series}
        head = store.head()
    if not series:
        raise NotFound(f"No such reading of {machine} is in the store.")
    name = str(machine)
    if arguments.svg is not None:
        _write(arguments.svg, series_svg(name, series, drifts))
    if arguments.html is not None:
        _write(arguments.html, series_html(name, series, drifts, head))
    if arguments.json:
        from journal.present.as_json import as_json

        rows = [
            {"place": str(place), "visit": p.visit, "moment": p.moment, "reading": as_json(p.reading)}
            for place, found in series.items()
            for p in found
        ]
        print_json({"machine": name, "head": head, "readings": rows, "drifts": list(drifts.values())})
    elif arguments.svg is None and arguments.html is None:
        show_history(console(), name, series, list(drifts.values()))
    return 0


def run_log(arguments: argparse.Namespace) -> int:
    from journal.keep import current
    from journal.present.refrigerant import movements
    from journal.present.refrigerant_log import log_csv, log_json, show_log

    since = arguments.since or f"{dt.datetime.now(tz=dt.UTC).year}-01-01"
    with open_store(settings_of(arguments)) as store:
        found = store.refrigerant_visits(since=since, until=arguments.until, site=arguments.site)
        log = [movement for visit in found for movement in movements(current(visit))]
        head = store.head()
    if arguments.csv is not None:
        _write(arguments.csv, log_csv(log, head))
    elif arguments.json:
        print_json(log_json(log, since, arguments.until, head))
    else:
        until = f" to {arguments.until}" if arguments.until else ""
        show_log(console(), log, f"from {since}{until}" + (f", {arguments.site}" if arguments.site else ""))
    return 0


def _write(file: Path, text: str) -> None:
    if str(file) == "-":
        emit(text)
        return
    write_whole(file, text)
    print(file)


def _machine(store: Store, arguments: argparse.Namespace) -> Machine:
    from journal.keep import Machine, current, machine_of

    if arguments.visit:
        return machine_of(current(store.visit(arguments.visit)), arguments.machine)
    if arguments.serial or arguments.machine:
        return Machine(
            serial=arguments.serial, name=None if arguments.serial else arguments.machine, site=arguments.site
        )
    raise BadInput("Say which machine: journal history VISIT, --serial, or --machine with --site.")
