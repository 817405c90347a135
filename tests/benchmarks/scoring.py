"""Counts what came out of spoken readings: right, missed, wrong; each with and without a doubt."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from journal.domain.reading import Reading
from journal.domain.visit import Interpretation
from journal.interpret import interpret
from journal.interpret.agreement import agree
from journal.judge import plausibility
from journal.pipeline import merge_doubts
from models.recipe.heard import Heard
from models.recipe.readings import RADIO, Truth

LISTENERS = ("first alone", "second alone", "both")


def same(truth: Truth, reading: Reading) -> bool:
    """True when number and unit are as spoken."""
    return reading.value is not None and reading.value == Decimal(truth.value) and reading.unit == truth.unit


def same_place(truth: Truth, reading: Reading) -> bool:
    """True when no points are shown, or those spoken."""
    return truth.points is None or not reading.points or set(reading.points) == set(truth.points)


@dataclass
class Tally:
    """Counts over readings.  A right number at a wrong place is wrong, and what was spoken is then missed."""

    spoken: int = 0
    right: int = 0
    right_doubted: int = 0
    place_unsaid: int = 0
    wrong_doubted: int = 0
    wrong_undoubted: int = 0
    undoubted: list[str] = field(default_factory=list)  # what was wrong without a doubt, for reading

    @property
    def shown(self) -> int:
        return self.right + self.wrong

    @property
    def wrong(self) -> int:
        return self.wrong_doubted + self.wrong_undoubted

    def add(self, truths: Sequence[Truth], readings: Sequence[Reading], text: str = "") -> list[tuple[Reading, bool]]:
        """Count one sentence; returns every reading with whether it was right (optional ones are left out)."""
        left = [reading for reading in readings if not reading.withdrawn]
        judged: list[tuple[Reading, bool]] = []
        for truth in truths:
            found = next((r for r in left if same(truth, r) and same_place(truth, r)), None)
            self.spoken += not truth.optional
            if found is None:
                continue
            left.remove(found)
            if not truth.optional:
                judged.append((found, True))
                self.right += 1
                self.right_doubted += found.needs_listening
                self.place_unsaid += bool(truth.points) and not found.points
        for reading in left:
            judged.append((reading, False))
            if reading.needs_listening:
                self.wrong_doubted += 1
            else:
                self.wrong_undoubted += 1
                self.undoubted.append(f"{reading.value} {reading.unit} {'-'.join(reading.points)} from '{text}'")
        return judged


def understood(heard: Heard) -> dict[str, Interpretation]:
    """What each listener's words come to, and both together, with the doubts of physics."""
    first, second = interpret(heard.first), interpret(heard.second)
    both = agree(first, second, heard.first, heard.second)
    return {name: doubted(one) for name, one in zip(LISTENERS, (first, second, both), strict=True)}


def doubted(one: Interpretation) -> Interpretation:
    """With the doubts of physics added, as the journal does it."""
    return replace(one, readings=merge_doubts(one.readings, plausibility(one.readings, one.equipment)))


def from_the_radio(heard: Heard, readings: Iterable[Reading]) -> int:
    """How many readings hold a number that only the radio said."""
    if heard.noise != "radio":
        return 0
    said = {Decimal(value) for values in RADIO.values() for value in values}
    said -= {Decimal(truth.value) for truth in heard.line.readings}
    return sum(reading.value in said and not reading.withdrawn for reading in readings)
