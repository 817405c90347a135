"""Tab completion, where argcomplete is installed; it costs nothing when nobody presses Tab."""

from __future__ import annotations

import argparse


def complete(parser: argparse.ArgumentParser) -> None:
    """Answer the shell and end the process; without argcomplete, do nothing."""
    try:
        import argcomplete
    except ModuleNotFoundError:
        return
    argcomplete.autocomplete(parser)
