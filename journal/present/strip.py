"""The strip: the narration as a thin band over a recording's time, each reading a mark on it.

Geometry only, in shares 0..1 of the recording's length.
"""

from __future__ import annotations

from dataclasses import dataclass

from journal.domain.visit import Visit
from journal.present.page import Page, ReadingLine
from journal.present.wording import clock

LABELS = 6  # times written below the band, about
_STEPS = (5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)  # seconds between two of them


@dataclass(frozen=True, slots=True)
class Strip:
    """One recording and its length in seconds; speech as (from, to), marks as (at, reading), times as (at, words)."""

    recording: str
    seconds: float
    speech: tuple[tuple[float, float], ...]
    marks: tuple[tuple[float, ReadingLine], ...]
    times: tuple[tuple[float, str], ...]


def strips_of(visit: Visit, page: Page, *, sound: bool = False) -> tuple[Strip, ...]:
    """Return a strip for each recording that holds sound; a customer's copy only with words or ``sound``."""
    lines = [line for machine in page.machines for line in machine.plate] + [*page.found, *page.left]
    strips = []
    for name in dict.fromkeys([r.name for r in visit.recordings] + [u.recording for u in visit.utterances]):
        spoken = [u for u in visit.utterances if u.recording == name and u.end > 0]
        known = max((r.seconds for r in visit.recordings if r.name == name), default=0.0)
        seconds = max([known, *(u.end for u in spoken)])
        if seconds <= 0 or (page.audience == "customer" and not page.narration and not sound):
            continue
        marks = [
            (min(line.moment.start / seconds, 1.0), line)
            for line in lines
            if line.moment and line.moment.recording == name and not line.moment.typed
        ]
        strips.append(
            Strip(
                recording=name,
                seconds=seconds,
                speech=tuple((u.start / seconds, u.end / seconds) for u in spoken),
                marks=tuple(sorted(marks, key=lambda mark: mark[0])),
                times=_times(seconds),
            )
        )
    return tuple(strips)


def _times(seconds: float) -> tuple[tuple[float, str], ...]:
    step = next((step for step in _STEPS if seconds / step <= LABELS), _STEPS[-1])
    return tuple((n * step / seconds, clock(n * step)[:-2]) for n in range(int(seconds // step) + 1))
