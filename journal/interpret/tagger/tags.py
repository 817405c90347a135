"""What the words around a number make of it: a reading of which kind or none, in which role, of which part.

The tagger reads the utterance and the last words before it, and tells of each number word how likely every kind is and
whether a number starts there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from journal.domain.kind import Kind
from journal.interpret.tagger.encoder import LONGEST, Array, Encoder, learned
from journal.interpret.tagger.wordpieces import rows, vocabulary

NONE = "none"  # no reading
NOWHERE = "-"  # no part is spoken of
NO_TREND = "none"
STANDS = "stands"
TAKEN_BACK = "taken back"
PART_END = ";"  # stands between utterances
EARLIER = 30  # words looked at before the utterance
SURE_START = 0.9  # share from which on a number surely starts at a word
LIKELY_START = 0.5  # the same right behind a word that surely is no reading
PARTED_BY = 0.9  # share from which on a word beside another is a reading, or none, and parts the two
SURE_READ = 0.97  # share from which on a meter was surely read, whatever the rules say


def label_of(kind: Kind, unit: str | None) -> str:
    """The class of a reading: its kind, pressures by their unit too (microns and pounds are told about otherwise)."""
    return f"{kind.value} {unit}" if kind is Kind.PRESSURE else kind.value


@dataclass(frozen=True)
class Tags:
    """Probabilities by word of the utterance; words behind the encoder's reach have none."""

    outputs: dict[str, list[str]]
    shares: dict[str, Array]

    def over(self, name: str, first: int, last: int) -> dict[str, float]:
        """The mean probabilities of an output's classes over some words; empty where none was reached,
        or the weights know no such output."""
        if name not in self.shares or not len(self.shares[name][first : last + 1]):
            return {}
        part = self.shares[name][first : last + 1]
        return dict(zip(self.outputs[name], map(float, part.mean(0)), strict=True))

    def kinds(self, first: int, last: int) -> dict[str, float]:
        """How likely each kind of reading is, and none."""
        return self.over("kind", first, last)

    def roles(self, first: int, last: int) -> dict[str, float]:
        return self.over("role", first, last)

    def components(self, first: int, last: int) -> dict[str, float]:
        return self.over("component", first, last)

    def surely_read(self, first: int, last: int) -> bool:
        """Whether a meter was surely read at some words."""
        kinds = self.kinds(first, last)
        return bool(kinds) and 1 - kinds[NONE] >= SURE_READ

    def read_from(self, first: int, last: int) -> int | None:
        """The first word from which on a number is surely read: behind it no more names."""
        for at in range(first, last + 1):
            share = self.start(at)
            if share is None or self.kinds(at, at)[NONE] > 1 - PARTED_BY:
                continue
            named = at > first and self.kinds(at - 1, at - 1)[NONE] >= PARTED_BY  # no number is half a name
            if share >= (LIKELY_START if named else SURE_START):
                return at
        return None

    def start(self, place: int) -> float | None:
        """How likely a number starts at a word, if it is part of one."""
        shares = self.shares["start"]
        return float(shares[place][1]) if place < len(shares) else None


def tags_of(words: Sequence[str], earlier: Sequence[str], encoder: Encoder | None = None) -> Tags:
    """Ask the tagger about an utterance."""
    encoder = encoder or learned()
    pieces, parts, starts = rows(earlier[-EARLIER:], words, vocabulary())
    pieces, parts = pieces[:LONGEST], parts[:LONGEST]
    places = [start for start in starts if start < len(pieces)]
    if not places:
        empty = {name: np.zeros((0, len(classes)), np.float32) for name, classes in encoder.outputs.items()}
        return Tags(encoder.outputs, empty)
    return Tags(encoder.outputs, encoder(pieces, parts, places))
