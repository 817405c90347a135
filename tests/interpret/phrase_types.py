"""What a phrase table says, as frozen types: the sentence, and all that must come out of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reference, Role, State, Trend
from journal.domain.speech import Utterance, Word, utterance_of


@dataclass(frozen=True, slots=True)
class ExpectedReading:
    """One reading that must come out; ``None`` is not compared, save where the field says otherwise."""

    kind: Kind | None = None
    value: Fraction | None = None
    low: Fraction | None = None
    high: Fraction | None = None
    state: State | None = None
    unit: str | None = None
    role: Role | None = Role.MEASURED
    points: tuple[str, ...] | None = ()
    component: str | None = None
    phase: Phase | None = None
    trend: Trend | None = None
    reference: Reference | None = None
    conditions: frozenset[str] | None = None
    equipment: str | None = None
    hedged: bool | None = None
    held_for: Fraction | None = None  # seconds
    withdrawn: bool = False
    doubted: bool | None = None
    alternatives: tuple[Fraction, ...] = ()
    optional: bool = False


@dataclass(frozen=True, slots=True)
class ExpectedFinding:
    what: str
    component: str | None = None
    negated: bool = False


@dataclass(frozen=True, slots=True)
class ExpectedWork:
    action: str
    component: str | None = None
    amount: Fraction | None = None
    unit: str | None = None
    done: bool = True


@dataclass(frozen=True, slots=True)
class Phrase:
    """One row: what was said or typed, and what must come out of it."""

    table: str
    said: tuple[str, ...]
    readings: tuple[ExpectedReading, ...]
    typed: bool = False
    findings: tuple[ExpectedFinding, ...] | None = None
    work: tuple[ExpectedWork, ...] | None = None
    refrigerant: str | None = None  # 'none': no refrigerant may be named
    complaint: str | None = None
    model: str | None = None
    serial: str | None = None
    path: Path = field(default=Path(), compare=False)
    always: frozenset[str] = frozenset()  # keys of readings that the table gives wherever there is something to give

    @property
    def text(self) -> str:
        """The sentence, pauses shown: what a test is called by."""
        return " / ".join(self.said)

    @property
    def yields_nothing(self) -> bool:
        return not self.readings

    def utterances(self) -> tuple[Utterance, ...]:
        """Return the row as the language stage gets it: words 0.4 s apart, two seconds between utterances."""
        if self.typed:
            return tuple(utterance_of(line, index=index) for index, line in enumerate(self.said))
        spoken, now = [], 0.0
        for index, line in enumerate(self.said):
            words = []
            for text in line.split():
                words.append(Word(text, now, now + 0.35))
                now += 0.4
            spoken.append(Utterance("r1", index, tuple(words)))
            now += 2.0
        return tuple(spoken)
