"""What has been understood of a visit so far, with what was struck, settled and answered on top.

The narration itself is never changed: an amendment names a reading (by its words), what changes and why, and is kept
as a correction of the visit.  When a capture is heard again, the same words make the same amendments.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Protocol

from journal.domain.ids import new_id
from journal.domain.reading import Reading
from journal.domain.speech import Utterance, Word
from journal.domain.verdict import Verdict
from journal.domain.visit import Correction, Equipment, Interpretation, Known, Visit
from journal.keep.corrections import current, plan
from journal.keep.ledger import now
from journal.pipeline import Rules, Understanding, merge_doubts

#: recording, utterance, first and last word, and the how-manyeth reading of those words
Place = tuple[str, int, int, int, int]
_UNSAID = 10**6  # the index of an utterance that is not in the transcript
_COUNT = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight", 9: "nine"}


class Narration(Protocol):
    """The language stage, utterance by utterance."""

    def accept(self, utterance: Utterance) -> Interpretation: ...


@dataclass(slots=True)
class Notebook:
    """Readings, amendments and verdicts of one visit in the making; ``by`` is who speaks."""

    rules: Rules
    narration: Narration
    by: str = "technician"
    utterances: list[Utterance] = field(default_factory=list)
    heard: Interpretation = field(default_factory=Interpretation)
    understanding: Understanding | None = None
    _amendments: list[tuple[Place, Correction]] = field(default_factory=list)

    def hear(self, utterance: Utterance) -> tuple[Reading, ...]:
        """Take in narration; return the readings that are new or changed by it."""
        self.utterances.append(utterance)
        before = dict(self._placed())
        self.heard = self.narration.accept(utterance)
        self._weigh()
        return tuple(reading for place, reading in self._placed() if before.get(place) != reading)

    def keep(self, utterance: Utterance) -> None:
        """Take words into the transcript that are no narration: commands and answers."""
        self.utterances.append(utterance)

    def amend(self, reading: Reading, changes: Mapping[str, str], why: str) -> None:
        """Change one reading (fields and texts as ``keep.corrections`` has them) and judge again."""
        place = next(place for place, one in self._placed() if one.id == reading.id)
        for made in plan(self._visit(), reading.id, changes, by=self.by, why=why, at=now()):
            self._amendments.append((place, made))
        self._weigh()

    def preview(self, words: Iterable[str], recording: str, at: float) -> tuple[Reading, ...]:
        """Return the readings that words still being spoken would add; nothing is kept of it."""
        said = Utterance(recording, _UNSAID, tuple(Word(word, at, at) for word in words))
        found = copy.deepcopy(self.narration).accept(said).readings
        return tuple(reading for reading in found if reading.evidence and reading.evidence.utterance == _UNSAID)

    def new_machine(self, name: str, recording: str, at: float) -> str:
        """Let what follows belong to another machine; returns what the journal calls it.

        A name that the vocabulary does not know becomes 'unit 2', 'unit 3'...
        """
        known = {machine.name for machine in self.heard.equipment}
        count = max(len(known), 1) + 1
        for text in (name, f"unit {_COUNT[count]}" if count in _COUNT else "", f"unit {count}"):
            if not text.strip():
                continue
            words = tuple(Word(word, at, at) for word in text.split())
            self.heard = self.narration.accept(Utterance(recording, _UNSAID, words))
            if new := [machine.name for machine in self.heard.equipment if machine.name not in known]:
                self._weigh()
                return new[-1]
        return name or "the next one"

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Every reading as it stands now, amendments applied."""
        return self.understanding.interpretation.readings if self.understanding else ()

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        return self.understanding.judgement.verdicts if self.understanding else ()

    @property
    def last(self) -> Reading | None:
        """The reading that was said last and still stands."""
        standing = [reading for reading in self.readings if not reading.withdrawn]
        return max(standing, key=_said_at, default=None)

    def missing(self) -> tuple[str, ...]:
        """What the checks still need, each once, in the order of the verdicts."""
        return tuple(dict.fromkeys(need for verdict in self.verdicts for need in verdict.missing))

    def told(self) -> tuple[Understanding, tuple[Correction, ...]]:
        """Return what the store keeps: readings as the words gave them, verdicts as they stand, and the corrections."""
        if self.understanding is None:
            self._weigh()
        assert self.understanding is not None
        visit = self._visit()
        return replace(
            self.understanding, interpretation=replace(self.heard, readings=visit.readings)
        ), visit.corrections

    def _weigh(self) -> None:
        from journal.judge import judge

        said = self.heard
        readings = current(self._visit()).readings
        extra = {"surroundings": self.rules.surroundings} if self.rules.surroundings else {}
        judgement = judge(
            readings, said.equipment, steps=said.steps, findings=said.findings, limits=self.rules.limits, **extra
        )
        self.understanding = Understanding(replace(said, readings=readings), judgement)

    def _visit(self) -> Visit:
        """The readings as the words gave them, doubted by physics, with the corrections made so far."""
        from journal.judge import plausibility

        said = self.heard
        readings = merge_doubts(said.readings, plausibility(said.readings, said.equipment))
        ids = {place: reading.id for place, reading in _placed(readings)}
        made = tuple(replace(one, target=ids[place]) for place, one in self._amendments if place in ids)
        return Visit(new_id(), "", readings=readings, corrections=made)

    def _placed(self) -> list[tuple[Place, Reading]]:
        return _placed(self.readings)


def first_narration(equipment: tuple[Equipment, ...] = (), known: Known | None = None) -> Narration:
    """Return the language stage at the start of a visit; sites and customers are chosen from the ``known``."""
    from journal.interpret import Narration as Understands

    narration: Narration = Understands(equipment=equipment, known=known)
    return narration


def _placed(readings: Iterable[Reading]) -> list[tuple[Place, Reading]]:
    seen: dict[tuple[str, int, int, int], int] = {}
    found = []
    for reading in readings:
        said = reading.evidence
        words = (said.recording, said.utterance, said.first, said.last) if said else ("", 0, 0, 0)
        seen[words] = seen.get(words, -1) + 1
        found.append(((*words, seen[words]), reading))
    return found


def _said_at(reading: Reading) -> tuple[str, float, int]:
    said = reading.evidence
    return (said.recording, said.end, said.last) if said else ("", 0.0, 0)
