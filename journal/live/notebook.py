"""What has been understood of a visit so far, with what was struck, settled and answered on top.

The narration itself is never changed: an amendment says which reading (by its words), what changes, and why.  When the
visit is stored, amendments become its corrections; when a capture is heard again, the same words make them again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from journal.domain.ids import new_id
from journal.domain.reading import Reading
from journal.domain.speech import Utterance, Word
from journal.domain.verdict import Verdict
from journal.domain.visit import Correction, Equipment, Interpretation
from journal.pipeline import Rules, Understanding, merge_doubts

#: recording, utterance, first and last word, and the how-manyeth reading of those words
Place = tuple[str, int, int, int, int]


class Narration(Protocol):
    """The language stage, utterance by utterance."""

    def accept(self, utterance: Utterance) -> Interpretation: ...


@dataclass(frozen=True, slots=True)
class Amendment:
    """One change to one reading.  ``settles`` drops its doubts; ``changes`` are fields of ``Reading``."""

    place: Place
    why: str
    changes: tuple[tuple[str, Any], ...] = ()
    settles: bool = False
    at: str = ""


@dataclass(slots=True)
class Notebook:
    """Readings, amendments and verdicts of one visit in the making."""

    rules: Rules
    narration: Narration
    by: str = ""
    utterances: list[Utterance] = field(default_factory=list)
    amendments: list[Amendment] = field(default_factory=list)
    heard: Interpretation = field(default_factory=Interpretation)
    understanding: Understanding | None = None

    def hear(self, utterance: Utterance) -> tuple[Reading, ...]:
        """Take in narration; return the readings that are new or changed by it."""
        self.utterances.append(utterance)
        before = dict(self.placed())
        self.heard = self.narration.accept(utterance)
        self._weigh()
        return tuple(reading for place, reading in self.placed() if before.get(place) != reading)

    def keep(self, utterance: Utterance) -> None:
        """Take words into the transcript that are no narration: commands and answers."""
        self.utterances.append(utterance)

    def amend(self, reading: Reading, why: str, *, settles: bool = False, **changes: Any) -> None:
        """Change one reading and judge again."""
        place = next(place for place, one in self.placed() if one.id == reading.id)
        self.amendments.append(Amendment(place, why, tuple(changes.items()), settles, _now()))
        self._weigh()

    def preview(self, words: Iterable[str], recording: str, at: float) -> tuple[Reading, ...]:
        """Return the readings that words still being spoken would add; nothing is kept of it."""
        peek: Callable[[Utterance], Interpretation] | None = getattr(self.narration, "peek", None)
        if peek is None:
            return ()
        said = Utterance(recording, 10**6, tuple(Word(word, at, at) for word in words))
        return tuple(r for r in peek(said).readings if r.evidence and r.evidence.utterance == said.index)

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

    def settled(self) -> Understanding:
        """What stands at the end; also of a visit in which nothing was understood."""
        if self.understanding is None:
            self._weigh()
        assert self.understanding is not None
        return self.understanding

    def new_machine(self, name: str) -> str:
        """Let what follows belong to another machine; returns its name, made up when none was said."""
        known = {machine.name for machine in self.heard.equipment}
        name = name.strip() or next(f"machine {n}" for n in range(2, 10**6) if f"machine {n}" not in known)
        switch: Callable[[str], Interpretation] | None = getattr(self.narration, "switch", None)
        if switch is not None:
            self.heard = switch(name)
        return name

    def missing(self) -> tuple[str, ...]:
        """What the checks still need, each once, in the order of the verdicts."""
        return tuple(dict.fromkeys(need for verdict in self.verdicts for need in verdict.missing))

    def placed(self) -> list[tuple[Place, Reading]]:
        return _placed(self.readings)

    def corrections(self) -> tuple[Correction, ...]:
        """The amendments as the record keeps them: what the words gave, what it became, and why."""
        given = dict(_placed(self.heard.readings))
        found = []
        for one in self.amendments:
            reading = given[one.place]
            for name, after in one.changes or (("doubts", ()),):
                before = getattr(reading, name)
                found.append(
                    Correction(
                        reading.id,
                        name,
                        _text(before),
                        _text(after),
                        self.by or "technician",
                        one.at,
                        one.why,
                        new_id(),
                    )
                )
        return tuple(found)

    def _weigh(self) -> None:
        from journal.judge import judge, plausibility

        said = self.heard
        by_place = dict(_placed(said.readings))
        settled: set[str] = set()
        for one in self.amendments:
            if reading := by_place.get(one.place):
                changed = reading.with_(**dict(one.changes)) if one.changes else reading
                by_place[one.place] = changed.with_(doubts=(), alternatives=()) if one.settles else changed
                settled |= {reading.id} if one.settles else set()
        readings = tuple(by_place.values())
        doubts = plausibility(readings, said.equipment)
        readings = merge_doubts(readings, {key: value for key, value in doubts.items() if key not in settled})
        extra = {"surroundings": self.rules.surroundings} if self.rules.surroundings else {}
        judgement = judge(
            readings, said.equipment, steps=said.steps, findings=said.findings, limits=self.rules.limits, **extra
        )
        self.understanding = Understanding(replace(said, readings=readings), judgement)


def first_narration(equipment: tuple[Equipment, ...] = ()) -> Narration:
    """Return the language stage at the start of a visit."""
    from journal.interpret import Narration as Understands

    narration: Narration = Understands(equipment=equipment)
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


def _text(value: object) -> str:
    if isinstance(value, tuple):
        return "; ".join(getattr(part, "why", str(part)) for part in value)
    return "" if value is None else str(value)


def _now() -> str:
    return dt.datetime.now(tz=dt.UTC).isoformat(timespec="seconds")
