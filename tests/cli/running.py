"""Run the program in this process and keep what it printed."""

from __future__ import annotations

import contextlib
import io
import json
from dataclasses import dataclass
from typing import Any

from journal.cli import main


@dataclass(frozen=True)
class Ran:
    """What one command printed, and its exit code."""

    code: int
    out: str
    err: str

    def json(self) -> Any:
        return json.loads(self.out) if self.out.strip() else None


def run(*arguments: object) -> Ran:
    """Run ``journal ARGUMENTS`` and return what came of it."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = main([str(argument) for argument in arguments])
        except SystemExit as stop:  # argparse: wrong options
            code = int(stop.code or 0)
    return Ran(code, out.getvalue(), err.getvalue())
