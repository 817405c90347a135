"""Which words of an utterance still being spoken have settled: shown grey, never stored, never spoken back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from journal.domain.reading import Reading

SETTLED = 0.09  # seconds a word has to stand unchanged: until the next look at the words, a tenth later


@dataclass(slots=True)
class Provisional:
    """Follows the partial results of one utterance."""

    _words: tuple[str, ...] = ()
    _since: list[float] = field(default_factory=list)
    _given: tuple[str, ...] = ()

    def changed(self, words: tuple[str, ...]) -> bool:
        """Return whether the words differ from those looked at before."""
        return words != self._words

    def stable(self, words: tuple[str, ...], now: float) -> tuple[str, ...]:
        """Take in what is heard now; return the settled words if there are others than last time, else nothing."""
        same = 0
        for before, after in zip(self._words, words, strict=False):
            if before != after:
                break
            same += 1
        self._since = self._since[:same] + [now] * (len(words) - same)
        self._words = words
        settled = 0
        while settled < len(words) and now - self._since[settled] >= SETTLED:
            settled += 1
        stable = words[:settled]
        if stable == self._given:
            return ()
        self._given = stable
        return stable

    def give(self, words: tuple[str, ...]) -> None:
        """Take note that words were shown before they settled."""
        self._given = words


def complete(words: tuple[str, ...], found: Iterable[Reading]) -> bool:
    """Return whether the last word closes a reading: its value and its unit (or a state) were said.

    A bare number is never complete: 'six point' may go on with 'five', 'one sixty' with 'two'.
    """
    return any(_closed(reading) and reading.evidence.last == len(words) - 1 for reading in found if reading.evidence)


def _closed(reading: Reading) -> bool:
    unsaid = {what for what, _ in reading.inferred}
    return reading.state is not None or (reading.unit is not None and "unit" not in unsaid)


def whole(words: tuple[str, ...], found: Iterable[Reading]) -> bool:
    """Return whether nothing is left open: a complete reading whose place was said or is carried on.

    Without a place it may still follow: 'thirty amps ... on the compressor'.
    """
    found = [reading for reading in found if reading.component or reading.points]
    return complete(words, found)
