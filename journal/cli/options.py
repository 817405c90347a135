"""Options that several commands share, and the opening of what they name."""

from __future__ import annotations

import argparse
import getpass
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.config import Settings, load_settings
from journal.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from journal.domain.visit import Visit
    from journal.keep import Store
    from journal.keep.corrections import Judge
    from journal.pipeline import Frame, Rules

Commands = argparse._SubParsersAction  # argparse gives the type of add_subparsers() no public name


def add_store_options(parser: argparse.ArgumentParser) -> None:
    """Add the options of every command that opens the store."""
    parser.add_argument(
        "--store", type=Path, metavar="FOLDER", help="the store's folder (else JOURNAL_STORE, settings)"
    )
    parser.add_argument("--settings", type=Path, metavar="FILE", help="settings in TOML (else JOURNAL_SETTINGS)")


def add_json_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON for another program to read")


def add_visit(parser: argparse.ArgumentParser) -> None:
    """Add the argument VISIT, whose codes tab completion knows."""
    action: Any = parser.add_argument("visit", metavar="VISIT", help="short code, or the beginning of the visit's id")
    action.completer = visit_codes  # argcomplete looks for it there


def add_person(parser: argparse.ArgumentParser, *, why: str = "") -> None:
    """Add who does it, and with ``why`` the option for the reason, explained like that."""
    parser.add_argument("--by", help="who does it (else the settings' technician, else the log-in name)")
    if why:
        parser.add_argument("--why", help=why)


def add_shared(parser: argparse.ArgumentParser) -> None:
    """Add what every command on the store has."""
    add_store_options(parser)
    add_json_option(parser)


def visit_codes(prefix: str, parsed_args: argparse.Namespace, **_: object) -> dict[str, str]:
    """Return the codes that begin with what was typed, with the visits' titles; nothing when no store is there."""
    from journal.errors import JournalError

    try:
        with open_store(settings_of(parsed_args)) as store:
            visits = store.visits(limit=200)
    except JournalError:
        return {}
    return {visit.code: visit.title or visit.site or "" for visit in visits if visit.code.startswith(prefix.upper())}


def add_model_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--model", metavar="NAME|FOLDER", help="the speech model: a name of 'journal models', or a folder"
    )


def settings_of(arguments: argparse.Namespace) -> Settings:
    """Read the settings that the command's options point to."""
    return load_settings(getattr(arguments, "settings", None), store=getattr(arguments, "store", None))


def open_store(settings: Settings, *, create: bool = False) -> Store:
    """Open the store; commands that only look never make one."""
    from journal.keep import Store

    return Store.open(settings.store, create=create)


def rules_of(settings: Settings) -> Rules:
    """Turn the settings into what the judging needs."""
    from journal.judge import LimitBook, Surroundings
    from journal.pipeline import Rules

    limits = LimitBook.default()
    if settings.limits:
        limits = limits.with_settings(settings.limits, source=str(settings.source))
    return Rules(limits=limits, surroundings=Surroundings(settings.altitude_m, settings.barometer_kpa))


def console() -> Console:
    """Return where people read: colours only on a terminal, and the terminal's own width."""
    from rich.console import Console

    class Printing(Console):
        def on_broken_pipe(self) -> None:
            raise BrokenPipeError  # rich would end the program with 1, which says 'not so'

    return Printing(highlight=False)


def judge_of(settings: Settings) -> Judge:
    """Return what makes the verdicts of a visit again, as its readings stand after corrections."""
    from journal.pipeline import judge_again

    rules = rules_of(settings)
    return lambda visit: judge_again(visit, rules)


def person(arguments: argparse.Namespace, settings: Settings) -> str:
    """Return who does what is done."""
    return str(arguments.by or settings.technician or getpass.getuser())


def frame_of(arguments: argparse.Namespace, settings: Settings) -> Frame:
    """Return what was typed of a visit before it is heard.  Raises ``BadInput`` for what cannot be meant."""
    from journal.keep import typed
    from journal.pipeline import Frame

    title = typed.line("The title", arguments.title)
    technician = typed.line("The technician's name", arguments.technician or settings.technician or "") or None
    site = typed.line("The site", arguments.site or "") or None
    started = getattr(arguments, "started", None)
    return Frame(title, technician, site, typed.moment(started) if started is not None else None)


def recording_of(visit: Visit, name: str | None) -> str:
    """Return the recording that is meant: the one named, or the only one.  Raises ``BadInput``."""
    names = [recording.name for recording in visit.recordings]
    chosen = name or (names[0] if len(names) == 1 else None)
    if chosen not in names:
        raise BadInput(f"Say which recording: --recording {', '.join(names) or '(the visit has none)'}.")
    return str(chosen)


def print_json(value: object) -> None:
    """Print a value as JSON; decimals keep their digits, characters of other scripts stay readable."""
    from journal.present.as_json import json_text

    emit(json_text(value) + "\n")


def print_visit(store: Store, visit: Visit) -> None:
    """Print a visit as it stands as JSON: the same document as 'journal export -f json'."""
    from journal.keep import current
    from journal.present.export import handed_on

    print_json(handed_on(current(visit), head=store.head()))


def emit(text: str | bytes) -> None:
    """Write a whole document to the output, exactly: files are UTF-8, whatever the terminal speaks."""
    data = text.encode("utf-8") if isinstance(text, str) else text
    raw = getattr(sys.stdout, "buffer", None)
    if raw is None or (isinstance(text, str) and sys.stdout.isatty()):
        sys.stdout.write(data.decode("utf-8"))
        return
    sys.stdout.flush()
    raw.write(data)
    raw.flush()
