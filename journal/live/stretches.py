"""Stretches of unbroken sound: one recording each, with the gaps between them and their times.

A gap is told by the device (a gap frame with its reason), or shows in the device's own clock: the next sound begins
more than a second after the last one ended.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from journal.live.frames import RATE, Flag, Frame, Kind

UNTOLD = 1000.0  # milliseconds between two chunks from which on sound is missing
SILENT_DEVICE = "no sound came from the device"


@dataclass(slots=True)
class Stretch:
    """Unbroken sound; becomes the recording ``name``.  ``began`` is milliseconds since 1970, UTC."""

    name: str
    began: float
    samples: int = 0
    spoken: list[tuple[float, float]] = field(default_factory=list)  # the device itself spoke: seconds from the start
    paused: list[tuple[float, float]] = field(default_factory=list)

    @property
    def seconds(self) -> float:
        return self.samples / RATE

    @property
    def ends(self) -> float:
        return self.began + 1000 * self.seconds


@dataclass(frozen=True, slots=True)
class Gap:
    """No sound from ``since`` to ``until`` (milliseconds since 1970, UTC), before recording ``before``."""

    since: float
    until: float
    why: str
    before: str

    @property
    def sentence(self) -> str:
        """The gap as the record tells it."""
        length = (self.until - self.since) / 1000
        return f"No sound from {_clock(self.since)} to {_clock(self.until)} UTC ({length:.0f} s): {self.why}."


class Stretches:
    """Sorts frames into stretches, in the order of their numbers."""

    def __init__(self) -> None:
        self.all: list[Stretch] = []
        self.gaps: list[Gap] = []
        self._why: str | None = None

    @property
    def current(self) -> Stretch | None:
        return self.all[-1] if self.all else None

    def take(self, frame: Frame) -> tuple[Stretch | None, bool]:
        """Return the stretch a frame belongs to and whether it begins with it; ``None`` for what is no sound."""
        if frame.kind is Kind.GAP:
            self._why = str(frame.message.get("why") or SILENT_DEVICE)[:200]
        if frame.kind is not Kind.SOUND:
            return None, False
        current = self.current
        begins = current is None or self._why is not None or frame.at - current.ends > UNTOLD + self._drift(current)
        if begins:
            if current is not None:
                name = f"r{len(self.all) + 1}"
                self.gaps.append(Gap(current.ends, max(frame.at, current.ends), self._why or SILENT_DEVICE, name))
            self.all.append(Stretch(f"r{len(self.all) + 1}", frame.at))
        self._why = None
        stretch = self.all[-1]
        self._take_note(stretch, frame)
        return stretch, begins

    @staticmethod
    def _drift(stretch: Stretch) -> float:
        """Sound cards and clocks disagree by a few hundred parts in a million: that is no gap."""
        return stretch.seconds * 1000 * 5e-4

    @staticmethod
    def _take_note(stretch: Stretch, frame: Frame) -> None:
        start = stretch.seconds
        stretch.samples += len(frame.body) // 2
        for flag, spans in ((Flag.SPEAKING, stretch.spoken), (Flag.PAUSED, stretch.paused)):
            if frame.flags & flag:
                if spans and abs(spans[-1][1] - start) < 1e-6:
                    spans[-1] = (spans[-1][0], stretch.seconds)
                else:
                    spans.append((start, stretch.seconds))


def _clock(milliseconds: float) -> str:
    return dt.datetime.fromtimestamp(milliseconds / 1000, tz=dt.UTC).strftime("%H:%M:%S")
