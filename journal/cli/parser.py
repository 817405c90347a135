"""Every command and its options; the work itself is imported only when a command runs, so that help is instant."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

import journal
from journal.cli import adding, blanking, filling, hearing, judging, keeping, looking_back, records, revising, serving

_EPILOG = """\
first steps:
  journal demo                        hear three demo visits and see what comes out
  journal ingest walk-in.wav          a recording becomes a visit in the store
  journal show VISIT                  the record, in the terminal
  journal export VISIT -f html        the record, to print or send
  journal fill VISIT                  what the record still lacks

VISIT is the short code printed by ingest, or the beginning of the visit's id.
Exit codes: 0 done, 1 the asked thing is not so, 2 bad input or surroundings.
Tab completion: pip install argcomplete, then eval "$(register-python-argcomplete journal)".
"""


def build_parser() -> argparse.ArgumentParser:
    """Return the whole command line."""
    parser = argparse.ArgumentParser(
        prog="journal",
        description="An offline field journal: it hears what you measured, judges it, and leaves a record.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"journal {journal.__version__}")
    commands = parser.add_subparsers(title="commands", dest="command", metavar="COMMAND", required=True)
    hearing.add_commands(commands)
    judging.add_commands(commands)
    records.add_commands(commands)
    adding.add_commands(commands)
    filling.add_commands(commands)
    revising.add_commands(commands)
    blanking.add_commands(commands)
    looking_back.add_commands(commands)
    keeping.add_commands(commands)
    serving.add_commands(commands)
    return parser


def parsed(parser: argparse.ArgumentParser, argv: Sequence[str] | None) -> argparse.Namespace:
    """Read the command line; words after options still belong to the command's list of words.

    argparse gives up on 'correct VISIT --why x 7 value=1': it closes an open list at the first option.
    """
    arguments, rest = parser.parse_known_args(argv)
    if not rest:
        return arguments
    name = getattr(arguments, "more", None)
    words = getattr(arguments, name) if name else None
    if any(word.startswith("-") for word in rest) or name is None:
        parser.error(f"unrecognized arguments: {' '.join(rest)}")
    if isinstance(words, list):
        words += [Path(word) for word in rest] if name == "files" else rest
    elif words is None and len(rest) == 1:
        setattr(arguments, name, rest[0])
    else:
        parser.error(f"unrecognized arguments: {' '.join(rest)}")
    return arguments
