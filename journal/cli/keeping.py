"""Commands that put right, look back and keep safe: ``correct``, ``sign-off``, ``attach``, ``history``, ``verify``,
``backup``, ``restore``, ``import``."""

from __future__ import annotations

import argparse
import getpass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.cli.options import (
    Commands,
    add_json_option,
    add_store_options,
    console,
    open_store,
    print_json,
    rules_of,
    settings_of,
)
from journal.config import Settings
from journal.errors import BadInput, NotFound

if TYPE_CHECKING:
    from journal.domain.visit import Visit
    from journal.keep import Machine, Store
    from journal.keep.corrections import Judge

_CORRECT = """\
journal correct VISIT                                    the readings, numbered
journal correct VISIT 7 value=1.4 --why "heard again"    the value of reading 7
journal correct VISIT 7 points=common-run component=compressor --why ...
journal correct VISIT 7 --confirm --why ...              it is right as it is
journal correct VISIT 7 --not-a-reading --why ...        it was no reading
journal correct VISIT site="Quillwort Bakery" --why ...  a field of the visit itself

Nothing is overwritten: the original stays, with who changed it, when and why.
"""


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    correct = commands.add_parser(
        "correct",
        help="put a misheard reading or a field right; the original stays",
        epilog=_CORRECT,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    correct.add_argument("visit", metavar="VISIT")
    correct.add_argument("changes", nargs="*", metavar="[READING] FIELD=VALUE")
    correct.add_argument("--confirm", action="store_true", help="the reading is right as it is")
    correct.add_argument("--not-a-reading", action="store_true", help="the words were no reading")
    _add_person(correct, why=True)
    _add_shared(correct)
    correct.set_defaults(run=run_correct)

    sign_off = commands.add_parser("sign-off", help="close a visit: afterwards only corrections, each with its reason")
    sign_off.add_argument("visit", metavar="VISIT")
    _add_person(sign_off)
    _add_shared(sign_off)
    sign_off.set_defaults(run=run_sign_off)

    attach = commands.add_parser("attach", help="keep photographs or papers with a visit")
    attach.add_argument("visit", metavar="VISIT")
    attach.add_argument("files", nargs="+", type=Path, metavar="FILE")
    attach.add_argument("--caption", default="", help="what it shows")
    _add_person(attach)
    _add_shared(attach)
    attach.set_defaults(run=run_attach)

    history = commands.add_parser("history", help="one machine over its visits: what did it draw last time")
    history.add_argument("visit", nargs="?", metavar="VISIT", help="the machine of this visit; or name it:")
    history.add_argument("--serial", help="the machine's serial number")
    history.add_argument("--machine", metavar="NAME", help="what the machine is called")
    history.add_argument("--site", help="where it stands, when the name alone is not enough")
    history.add_argument("--kind", help="only this quantity: voltage, current, superheat...")
    history.add_argument("--component", help="only this part: compressor, run capacitor...")
    _add_shared(history)
    history.set_defaults(run=run_history)

    verify = commands.add_parser("verify", help="find what was changed behind the journal's back")
    verify.add_argument("--against", metavar="DIGEST", help="a digest from an earlier export or verify")
    _add_shared(verify)
    verify.set_defaults(run=run_verify)

    backup = commands.add_parser("backup", help="copy the whole store, while in use, and verify the copy")
    backup.add_argument("folder", type=Path, metavar="FOLDER", help="a new folder for the copy")
    _add_shared(backup)
    backup.set_defaults(run=run_backup)

    restore = commands.add_parser("restore", help="bring a backup back as the store")
    restore.add_argument("folder", type=Path, metavar="BACKUP")
    restore.add_argument("--replace", action="store_true", help="set an existing store aside, under another name")
    _add_shared(restore)
    restore.set_defaults(run=run_restore)

    import_ = commands.add_parser("import", help="bring in bundles of another journal; twice changes nothing")
    import_.add_argument("bundles", nargs="+", type=Path, metavar="BUNDLE")
    _add_person(import_)
    _add_shared(import_)
    import_.set_defaults(run=run_import)


def run_correct(arguments: argparse.Namespace) -> int:
    from journal.keep import current
    from journal.present.export import visit_json
    from journal.present.lists import show_numbered

    settings = settings_of(arguments)
    with open_store(settings) as store:
        visit = store.visit(arguments.visit)
        number, changes = _changes(arguments)
        if number is None and not changes:
            show_numbered(console(), current(visit))
            return 0
        if not arguments.why:
            raise BadInput('A correction says why: add --why "...".')
        target = visit.id if number is None else _reading(visit, number)
        visit = store.correct(
            visit.code, target, changes, by=_person(arguments, settings), why=arguments.why, judge=judge_of(settings)
        )
    if arguments.json:
        print_json(visit_json(current(visit)))
    else:
        last = visit.corrections[-len(changes) :]
        for correction in last:
            print(f"{correction.field}: {correction.before or 'nothing'} -> {correction.after or 'nothing'}")
        print(f"{visit.code}: corrected, judged again; the original stays.")
    return 0


def run_sign_off(arguments: argparse.Namespace) -> int:
    settings = settings_of(arguments)
    with open_store(settings) as store:
        visit = store.sign_off(arguments.visit, by=_person(arguments, settings))
    print(f"{visit.code} is signed off; from now on it takes corrections only.")
    return 0


def run_attach(arguments: argparse.Namespace) -> int:
    settings = settings_of(arguments)
    with open_store(settings) as store:
        for file in arguments.files:
            visit = store.attach(arguments.visit, file, by=_person(arguments, settings), caption=arguments.caption)
    print(f"{visit.code}: {len(arguments.files)} kept with the visit.")
    return 0


def run_history(arguments: argparse.Namespace) -> int:
    from journal.domain.kind import Kind
    from journal.present.lists import show_history

    kind = None
    if arguments.kind:
        try:
            kind = Kind(arguments.kind)
        except ValueError:
            raise BadInput(f"'{arguments.kind}' is no kind of reading; the kinds are: {', '.join(Kind)}.") from None
    with open_store(settings_of(arguments)) as store:
        machine = _machine(store, arguments)
        series = store.machine_series(machine, kind=kind, component=arguments.component)
        drifts = store.machine_drifts(machine)
    if not series:
        raise NotFound(f"No such reading of {machine} is in the store.")
    if arguments.json:
        from journal.present.as_json import as_json

        rows = [
            {"place": str(place), "visit": p.visit, "moment": p.moment, "reading": as_json(p.reading)}
            for place, points in series.items()
            for p in points
        ]
        print_json({"machine": str(machine), "readings": rows, "drifts": [drift.sentence for drift in drifts]})
        return 0
    show_history(console(), str(machine), series, [drift.sentence for drift in drifts])
    return 0


def run_verify(arguments: argparse.Namespace) -> int:
    with open_store(settings_of(arguments)) as store:
        report = store.verify(arguments.against)
    if arguments.json:
        problems = [{"line": p.line, "visit": p.visit, "place": p.place, "what": p.what} for p in report.problems]
        print_json({"ok": report.ok, "head": report.head, "lines": report.lines, "rows": report.rows,
                    "files": report.files, "problems": problems})  # fmt: skip
    elif report.ok:
        looked_at = f"{report.lines} lines, {report.rows} rows, {report.files} files"
        print(f"Nothing was changed behind the journal's back: {looked_at}.")
        print(f"digest {report.head}")
    else:
        for problem in report.problems:
            print(problem)
    return 0 if report.ok else 1


def run_backup(arguments: argparse.Namespace) -> int:
    with open_store(settings_of(arguments)) as store:
        report = store.backup(arguments.folder)
    return _say_copy(report, arguments.json, f"Backup in {report.path}")


def run_restore(arguments: argparse.Namespace) -> int:
    from journal.keep import restore

    settings = settings_of(arguments)
    report = restore(arguments.folder, settings.store, replace=arguments.replace)
    return _say_copy(report, arguments.json, f"Store in {report.path}")


def run_import(arguments: argparse.Namespace) -> int:
    settings = settings_of(arguments)
    reports = []
    with open_store(settings, create=True) as store:
        for bundle in arguments.bundles:
            reports.append(store.import_bundle(bundle, by=_person(arguments, settings)))
    if arguments.json:
        print_json(
            [{"outcome": r.outcome, "code": r.code, "id": r.visit_id, "differences": r.differences} for r in reports]
        )
    else:
        for report in reports:
            print(f"{report.code}: {report.outcome}")
            for difference in report.differences:
                print(f"  {difference}")
    return 1 if any(report.outcome == "conflict" for report in reports) else 0


def judge_of(settings: Settings) -> Judge:
    """Return what makes the verdicts of a visit again, as its readings stand after corrections."""
    from journal.pipeline import judge_again

    rules = rules_of(settings)
    return lambda visit: judge_again(visit, rules)


def _changes(arguments: argparse.Namespace) -> tuple[int | None, dict[str, str]]:
    words = list(arguments.changes)
    number = int(words.pop(0)) if words and words[0].isdigit() else None
    changes = {}
    for word in words:
        field, equals, value = word.partition("=")
        if not equals:
            raise BadInput(f"'{word}' says nothing; write FIELD=VALUE, e.g. value=1.4.")
        changes[field.replace("-", "_")] = value
    for flag, field in ((arguments.confirm, "confirmed"), (arguments.not_a_reading, "not a reading")):
        if flag:
            if number is None:
                raise BadInput("Say which reading: journal correct VISIT lists them with their numbers.")
            changes[field] = "yes"
    return number, changes


def _reading(visit: Visit, number: int) -> str:
    if not 1 <= number <= len(visit.readings):
        raise BadInput(
            f"{visit.code} has readings 1 to {len(visit.readings)}: journal correct {visit.code} lists them."
        )
    return visit.readings[number - 1].id


def _machine(store: Store, arguments: argparse.Namespace) -> Machine:
    from journal.keep import Machine, current, machine_of

    if arguments.visit:
        return machine_of(current(store.visit(arguments.visit)), arguments.machine)
    if arguments.serial or arguments.machine:
        return Machine(
            serial=arguments.serial, name=None if arguments.serial else arguments.machine, site=arguments.site
        )
    raise BadInput("Say which machine: journal history VISIT, --serial, or --machine with --site.")


def _person(arguments: argparse.Namespace, settings: Settings) -> str:
    return str(arguments.by or settings.technician or getpass.getuser())


def _say_copy(report: Any, as_json: bool, what: str) -> int:
    if as_json:
        print_json({"ok": report.ok, "path": str(report.path), "head": report.head, "visits": report.visits,
                    "files": report.files, "problems": [str(problem) for problem in report.problems]})  # fmt: skip
    else:
        print(f"{what}: {report.visits} visits, {report.files} files, verified.\ndigest {report.head}")
        for problem in report.problems:
            print(problem)
    return 0 if report.ok else 1


def _add_person(parser: argparse.ArgumentParser, *, why: bool = False) -> None:
    parser.add_argument("--by", help="who does it (else the settings' technician, else the log-in name)")
    if why:
        parser.add_argument("--why", help="the reason, kept with the correction")


def _add_shared(parser: argparse.ArgumentParser) -> None:
    add_store_options(parser)
    add_json_option(parser)
