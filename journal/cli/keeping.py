"""Commands that prove and keep safe: ``verify``, ``backup``, ``restore``, ``import``."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from journal.cli.options import Commands, add_person, add_shared, open_store, person, print_json, settings_of


def add_commands(commands: Commands[argparse.ArgumentParser]) -> None:
    verify = commands.add_parser("verify", help="find what was changed behind the journal's back")
    verify.add_argument("--against", metavar="DIGEST", help="a digest from an earlier export or verify")
    verify.add_argument(
        "--rebuild", action="store_true", help="first make the lists and the search index again from what is covered"
    )
    add_shared(verify)
    verify.set_defaults(run=run_verify)

    backup = commands.add_parser("backup", help="copy the whole store, while in use, and verify the copy")
    backup.add_argument("folder", type=Path, metavar="FOLDER", help="a new folder for the copy")
    add_shared(backup)
    backup.set_defaults(run=run_backup)

    restore = commands.add_parser("restore", help="bring a backup back as the store")
    restore.add_argument("folder", type=Path, metavar="BACKUP")
    restore.add_argument("--replace", action="store_true", help="set an existing store aside, under another name")
    add_shared(restore)
    restore.set_defaults(run=run_restore)

    import_ = commands.add_parser("import", help="bring in bundles of another journal; twice changes nothing")
    import_.add_argument("bundles", nargs="+", type=Path, metavar="BUNDLE")
    add_person(import_)
    add_shared(import_)
    import_.set_defaults(run=run_import)


def run_verify(arguments: argparse.Namespace) -> int:
    with open_store(settings_of(arguments)) as store:
        rebuilt = store.rebuild_caches() if arguments.rebuild else None
        report = store.verify(arguments.against)
    if arguments.json:
        problems = [{"line": p.line, "visit": p.visit, "place": p.place, "what": p.what} for p in report.problems]
        print_json({"ok": report.ok, "head": report.head, "lines": report.lines, "rows": report.rows,
                    "files": report.files, "rebuilt": rebuilt, "problems": problems})  # fmt: skip
        return 0 if report.ok else 1
    if rebuilt is not None:
        print(f"Lists and search index made again for {rebuilt} visits.")
    if report.ok:
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
            reports.append(store.import_bundle(bundle, by=person(arguments, settings)))
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


def _say_copy(report: Any, as_json: bool, what: str) -> int:
    if as_json:
        print_json({"ok": report.ok, "path": str(report.path), "head": report.head, "visits": report.visits,
                    "files": report.files, "problems": [str(problem) for problem in report.problems]})  # fmt: skip
    else:
        print(f"{what}: {report.visits} visits, {report.files} files, verified.\ndigest {report.head}")
        for problem in report.problems:
            print(problem)
    return 0 if report.ok else 1
