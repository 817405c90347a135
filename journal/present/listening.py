"""``journal listen``: a capture in a terminal; words as they are heard, readings as they are understood."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from journal.domain.verdict import Outcome
from journal.domain.visit import Visit
from journal.live.events import Event
from journal.live.frames import sound
from journal.live.microphone import Source
from journal.present.compose import reading_lines
from journal.present.page import ReadingLine

if TYPE_CHECKING:
    from rich.console import Console

    from journal.live import Capture, Captures

NUMBERS = 15  # columns for a number and its unit


class Listening:
    """Runs one capture and prints what comes of it."""

    def __init__(self, captures: Captures, console: Console, *, quiet: bool = False) -> None:
        self._captures = captures
        self._console = console
        self._quiet = quiet
        self._over = False
        self._capture: Capture | None = None

    def run(self, source: Source, *, technician: str | None, title: str, site: str | None) -> Visit | None:
        """Take sound until it ends, somebody says 'finished' and 'yes', or Ctrl+C; return the stored visit."""
        capture = self._captures.begin(technician=technician, title=title, site=site)
        self._capture = capture
        capture.watch(self._told)
        with contextlib.suppress(KeyboardInterrupt):
            self._take(capture, source)
        return self._captures.finish(capture.id)

    def _take(self, capture: Capture, source: Source) -> None:
        for samples, at in source:
            capture.take([sound(capture.next_number, samples, at)])
            if self._over:
                return

    def _told(self, event: Event) -> None:
        self._over = self._over or event.kind == "finish"
        if self._quiet:
            return
        if event.kind == "words" and event.final:
            self._console.print(f"  {event.text}", style="dim", markup=False)
        elif event.kind == "understood":
            for line in reading_lines(event.readings):
                self._show(line)
        elif event.kind in ("say", "question", "gap", "trouble"):
            self._console.print(event.text, style="bold" if event.kind == "question" else "", markup=False)

    def _show(self, line: ReadingLine) -> None:
        """A reading as in the record: the number in its column, its place, what is doubted, what it was judged."""
        doubt = ", needs listening" if line.doubtful else ""
        withdrawn = ", withdrawn" if line.withdrawn else ""
        self._console.print(f"{line.amount:>{NUMBERS}}", style="bold", end="", markup=False, highlight=False)
        self._console.print(f"  {line.place or line.kind}{doubt}{withdrawn}", markup=False, highlight=False)
        known = self._capture.snapshot.understanding if self._capture else None
        if known is None or line.withdrawn:
            return
        for verdict in known.judgement.verdicts:
            if line.id in verdict.readings and verdict.outcome in (Outcome.OUTSIDE, Outcome.MARGINAL):
                told = f"{verdict.outcome.words}: {verdict.title}"
                self._console.print(f"{'':>{NUMBERS}}  {told}", style="bold", markup=False, highlight=False)
