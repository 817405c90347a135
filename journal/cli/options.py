"""Options that several commands share, and the opening of what they name."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from journal.config import Settings, load_settings

if TYPE_CHECKING:
    from rich.console import Console

    from journal.keep import Store
    from journal.pipeline import Rules

Commands = argparse._SubParsersAction  # argparse gives the type of add_subparsers() no public name


def add_store_options(parser: argparse.ArgumentParser) -> None:
    """Add the options of every command that opens the store."""
    parser.add_argument(
        "--store", type=Path, metavar="FOLDER", help="the store's folder (else JOURNAL_STORE, settings)"
    )
    parser.add_argument("--settings", type=Path, metavar="FILE", help="settings in TOML (else JOURNAL_SETTINGS)")


def add_json_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print JSON for another program to read")


def add_model_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--model", metavar="NAME|FOLDER", help="the speech model: a name of 'journal models', or a folder"
    )


def settings_of(arguments: argparse.Namespace) -> Settings:
    """Read the settings that the command's options point to."""
    return load_settings(arguments.settings, store=getattr(arguments, "store", None))


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

    return Console(highlight=False)


def print_json(value: object) -> None:
    """Print a value as JSON; decimals keep their digits, characters of other scripts stay readable."""
    from journal.present.as_json import json_text

    print(json_text(value))
