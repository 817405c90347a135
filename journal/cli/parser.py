"""Every command and its options; the work itself is imported only when a command runs, so that help is instant."""

from __future__ import annotations

import argparse

import journal
from journal.cli import hearing, judging, keeping, records, serving

_EPILOG = """\
first steps:
  journal demo                        hear three demo visits and see what comes out
  journal ingest walk-in.wav          a recording becomes a visit in the store
  journal show VISIT                  the record, in the terminal
  journal export VISIT -f html        the record, to print or send

VISIT is the short code printed by ingest, or the beginning of the visit's id.
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
    keeping.add_commands(commands)
    serving.add_commands(commands)
    return parser
