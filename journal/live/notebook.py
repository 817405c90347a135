"""What has been understood of a visit so far, with what was struck, settled and answered on top.

The narration itself is never changed: an amendment names a reading (by its words), what changes and why, and is kept
as a correction of the visit.  When a capture is heard again, the same words make the same amendments.
"""

from __future__ import annotations

import pickle
from collections import deque
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


class Narration(Protocol):
    """The language stage, utterance by utterance."""

    def accept(self, utterance: Utterance) -> Interpretation: ...
    def new_machine(self, name: str) -> str: ...
    @property
    def interpretation(self) -> Interpretation: ...


@dataclass(slots=True)
class Notebook:
    """Readings, amendments and verdicts of one visit in the making; ``by`` is who speaks."""

    rules: Rules
    narration: Narration
    by: str = "technician"
    again: Narration | None = None  # the second listener's words, understood apart
    utterances: list[Utterance] = field(default_factory=list)
    heard: Interpretation = field(default_factory=Interpretation)
    understanding: Understanding | None = None
    _amendments: list[tuple[Place, Correction]] = field(default_factory=list)
    again_heard: list[Utterance] = field(default_factory=list)
    _also: Interpretation = field(default_factory=Interpretation)  # what the second listener's words mean
    _done: set[tuple[str, int]] = field(default_factory=set)  # utterances (recording, index) it has heard
    _turns: deque[tuple[str, int] | str] = field(default_factory=deque)  # utterances it will hear, machines between
    _frozen: bytes = b""  # the narration as it stands, to preview on

    def hear(self, utterance: Utterance) -> tuple[Reading, ...]:
        """Take in narration; return the readings that are new or changed by it."""
        self.utterances.append(utterance)
        before = dict(self._placed())
        self.heard = self.narration.accept(utterance)
        self._frozen = b""
        self._weigh()
        return tuple(reading for place, reading in self._placed() if before.get(place) != reading)

    def asked_again(self, utterance: Utterance) -> None:
        """The second listener was given an utterance."""
        self._turns.append((utterance.recording, utterance.index))

    def hear_again(self, utterance: Utterance, again: Utterance | None, *, heard: bool) -> tuple[Reading, ...]:
        """Take in what the second listener made of an utterance; return the readings that are changed by it.

        Readings it has not come to yet stay as the first listener left them.
        """
        place = (utterance.recording, utterance.index)
        before = dict(self._placed())
        while self._turns and self._turns[0] != place:
            self._turn(self._turns.popleft())
        if self._turns:
            self._turns.popleft()
        if heard and self.again is not None:
            self._done.add(place)
            if again is not None:
                self.again_heard.append(again)
                self._also = self.again.accept(again)
        while self._turns and isinstance(self._turns[0], str):
            self._turn(self._turns.popleft())
        self._weigh()
        return tuple(reading for where, reading in self._placed() if before.get(where) != reading)

    def _turn(self, turn: tuple[str, int] | str) -> None:
        if isinstance(turn, str) and self.again is not None:
            self.again.new_machine(turn)
            self._also = self.again.interpretation

    @property
    def unheard(self) -> int:
        """How many utterances the second listener still has before it."""
        return sum(not isinstance(turn, str) for turn in self._turns)

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
        if not self._frozen:
            self._frozen = pickle.dumps(self.narration)  # several times quicker to copy from than the original
        copied: Narration = pickle.loads(self._frozen)
        found = copied.accept(said).readings
        return tuple(reading for reading in found if reading.evidence and reading.evidence.utterance == _UNSAID)

    def new_machine(self, name: str) -> str:
        """Let what follows belong to another machine; returns what the journal calls it.

        A machine without a name is called 'unit 2', 'unit 3'...
        """
        known = {machine.name for machine in self.heard.equipment}
        if not name.strip():
            count = max(len(known), 1) + 1
            name = next(f"unit {n}" for n in range(count, count + len(known) + 1) if f"unit {n}" not in known)
        name = self.narration.new_machine(name)
        self.heard = self.narration.interpretation
        self._frozen = b""
        if self.again is not None:
            self._turns.append(name)
            if self.unheard == 0:
                self._turn(self._turns.pop())
        self._weigh()
        return name

    def _joined(self) -> Interpretation:
        """What both listeners' words mean; the first's alone where the second has not listened yet."""
        if not self._done:
            return self.heard
        from journal.interpret.agreement import agree

        own = [reading for reading in self.heard.readings if _utterance_of(reading) not in self._done]
        both = [reading for reading in self.heard.readings if _utterance_of(reading) in self._done]
        joined = agree(replace(self.heard, readings=tuple(both)), self._also, self.utterances, self.again_heard)
        readings = sorted((*joined.readings, *own), key=_utterance_of)
        return replace(joined, readings=tuple(readings))

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
            self.understanding, interpretation=replace(self._joined(), readings=visit.readings)
        ), visit.corrections

    def _weigh(self) -> None:
        from journal.judge import judge

        said = self._joined()
        readings = current(self._visit()).readings
        extra = {"surroundings": self.rules.surroundings} if self.rules.surroundings else {}
        judgement = judge(
            readings, said.equipment, steps=said.steps, findings=said.findings, limits=self.rules.limits, **extra
        )
        self.understanding = Understanding(replace(said, readings=readings), judgement)

    def _visit(self) -> Visit:
        """The readings as the words gave them, doubted by physics, with the corrections made so far."""
        from journal.judge import plausibility

        said = self._joined()
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


def _utterance_of(reading: Reading) -> tuple[str, int]:
    said = reading.evidence
    return (said.recording, said.utterance) if said else ("", 0)
