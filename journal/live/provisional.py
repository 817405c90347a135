"""Which words of an utterance still being spoken have settled: shown grey, never stored, never spoken back."""

from __future__ import annotations

from dataclasses import dataclass, field

SETTLED = 0.2  # seconds a word has to stand unchanged


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
