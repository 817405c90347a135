"""Asking while the probe is still on: which reading deserves a question, when it is put, and what the answer means.

All times are seconds of sound, so that a capture that is heard again asks and understands the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from journal.domain.reading import Alternative, Reading, Role
from journal.domain.speech import Utterance
from journal.domain.verdict import Outcome, Verdict
from journal.live import wording
from journal.live.spoken import SaidNumber, said_numbers, spoken


class About(StrEnum):
    WHICH = "which"  # one of two values
    RIGHT = "right"  # a doubted value without a likely other
    OUTSIDE = "outside"  # a value whose verdict is out of limits
    FINISH = "finish"  # whether the visit is over


@dataclass(frozen=True, slots=True)
class Question:
    """One question.  ``others`` are the alternatives offered; ``since`` is when its reading was said, or it was put."""

    about: About
    text: str
    since: float
    reading: Reading | None = None
    others: tuple[Alternative, ...] = ()
    by_digits: bool = False
    times: int = 0


class Effect(StrEnum):
    KEEP = "keep"  # the value stands, its doubts are settled
    CHANGE = "change"  # the other value holds
    WRONG = "wrong"  # the value is not right and no other was given
    AGAIN = "again"  # the answer itself may be misheard: ask for the digits
    FINISH = "finish"
    GO_ON = "go on"


@dataclass(frozen=True, slots=True)
class Answer:
    effect: Effect
    question: Question
    other: Alternative | None = None


class Asking:
    """Holds the questions of one capture; at most one is open."""

    def __init__(self) -> None:
        self.rules = spoken().ask
        self.silent = False
        self.open: Question | None = None
        self._waiting: list[Question] = []
        self._asked: set[str] = set()

    def consider(self, changed: Iterable[Reading], verdicts: Sequence[Verdict], now: float) -> None:
        """Look at readings just understood and queue what should be asked about them."""
        for reading in changed:
            question = self._question(reading, verdicts, now)
            if question and reading.id not in self._asked:
                self._waiting = [one for one in self._waiting if one.reading is None or one.reading.id != reading.id]
                self._waiting.append(question)

    def due(self, now: float, quiet: float) -> Question | None:
        """Return the question to put now, after ``quiet`` seconds of nobody speaking."""
        if self.open and now - self.open.since > self.rules.within:
            self.open = None
        self._waiting = [one for one in self._waiting if now - one.since <= self.rules.stale]
        if self.open or self.silent or not self._waiting or quiet < self.rules.wait:
            return None
        return self.put(self._waiting.pop(0), now)

    def put(self, question: Question, now: float) -> Question:
        """Open a question at once."""
        self.open = replace(question, since=now, times=question.times + 1)
        if question.reading:
            self._asked.add(question.reading.id)
        return self.open

    def forget(self, reading_id: str) -> None:
        """Drop what waits about a reading that was settled otherwise."""
        self._waiting = [one for one in self._waiting if one.reading is None or one.reading.id != reading_id]
        if self.open and self.open.reading and self.open.reading.id == reading_id:
            self.open = None

    def answered(self, utterance: Utterance, now: float) -> Answer | None:
        """Return what an utterance answers, ``None`` when it is narration."""
        question = self.open
        if question is None or now - question.since > self.rules.within:
            return None
        answer = self._meaning(question, utterance)
        if answer is None:
            return None
        self.open = None
        if answer.effect is Effect.AGAIN:
            if question.times >= self.rules.times or question.reading is None:
                return Answer(Effect.AGAIN, question)
            text = spoken().sentence("digits", **_filling(question.reading, question.others, by_digits=True))
            self.put(replace(question, text=text, by_digits=True), now)
            return Answer(Effect.AGAIN, self.open or question)
        return answer

    def _question(self, reading: Reading, verdicts: Sequence[Verdict], now: float) -> Question | None:
        if reading.withdrawn or reading.role is Role.EXPECTED or reading.evidence is None:
            return None
        doubts = {doubt.code for doubt in reading.doubts} & self.rules.codes
        if doubts:
            others = tuple(one for one in reading.alternatives if _differs(reading, one))[:1]
            if others:
                by_digits = bool(doubts & {"confusable", "listeners differ"})
                text = spoken().sentence("which", **_filling(reading, others, by_digits=False))
                return Question(About.WHICH, text, now, reading, others, by_digits)
            text = spoken().sentence("right", place=wording.place(reading), amount=wording.amount(reading))
            return Question(About.RIGHT, text, now, reading)
        for verdict in verdicts:
            if verdict.outcome is Outcome.OUTSIDE and reading.id in verdict.readings and reading.role is Role.MEASURED:
                text = spoken().sentence(
                    "outside",
                    place=wording.place(reading), amount=wording.amount(reading), outcome=verdict.outcome.words,
                )  # fmt: skip
                return Question(About.OUTSIDE, text, now, reading)
        return None

    def _meaning(self, question: Question, utterance: Utterance) -> Answer | None:
        word = spoken().answer(utterance.text)
        if question.about is About.FINISH:
            return Answer(Effect.FINISH if word == "yes" else Effect.GO_ON, question) if word in ("yes", "no") else None
        if question.about is About.WHICH:
            if word in ("first", "second"):
                return _choice(question, 0 if word == "first" else 1)
        elif word in ("yes", "no"):
            return Answer(Effect.KEEP if word == "yes" else Effect.WRONG, question)
        return self._by_number(question, utterance) or _by_name(question, utterance)

    def _by_number(self, question: Question, utterance: Utterance) -> Answer | None:
        numbers = said_numbers(utterance)
        values = _values(question)
        for number in numbers:
            if number.value in values:
                sure = number.by_digits or not (question.by_digits or self._shaky(number, utterance, question))
                if not sure:
                    return Answer(Effect.AGAIN, question)
                return _choice(question, values.index(number.value))
        return None

    def _shaky(self, number: SaidNumber, utterance: Utterance, question: Question) -> bool:
        """Whether the answer may itself be one of the other options, misheard."""
        if any(word.confidence < self.rules.sure for word in utterance.words):
            return True
        rest = set(_values(question)) - {number.value}
        heard = [Utterance(utterance.recording, utterance.index, other.words) for other in utterance.alternatives]
        return any(said.value in rest for other in heard for said in said_numbers(other))


def finish_question(readings: int, doubtful: int, now: float) -> Question:
    """Return the question that stands before the end of a visit."""
    text = spoken().sentence("finish", readings=str(readings), doubtful=str(doubtful))
    return Question(About.FINISH, text, now)


def _choice(question: Question, which: int) -> Answer | None:
    if which == 0:
        return Answer(Effect.KEEP, question)
    if which - 1 < len(question.others):
        return Answer(Effect.CHANGE, question, question.others[which - 1])
    return None


def _by_name(question: Question, utterance: Utterance) -> Answer | None:
    """Choose by the name of the unit, kind or state that only one option has ('pressure', 'open')."""
    reading = question.reading
    if reading is None or question.about is not About.WHICH:
        return None
    names = [_names(reading, None), *(_names(reading, other) for other in question.others)]
    text = utterance.text
    hits = [n for n, own in enumerate(names) if text in own and sum(text in some for some in names) == 1]
    return _choice(question, hits[0]) if hits else None


def _names(reading: Reading, other: Alternative | None) -> set[str]:
    kind = (other.kind if other and other.kind else reading.kind).value
    unit = wording.unit_name(other.unit if other and other.unit else reading.unit)
    return {name for name in (kind, unit, wording.amount(reading, other)) if name}


def _values(question: Question) -> list[object]:
    reading = question.reading
    return [] if reading is None else [reading.value, *(other.value for other in question.others)]


def _differs(reading: Reading, other: Alternative) -> bool:
    return wording.amount(reading, other) != wording.amount(reading)


def _filling(reading: Reading, others: tuple[Alternative, ...], *, by_digits: bool) -> dict[str, str]:
    other = others[0]
    if by_digits and reading.value is not None and other.value is not None:
        first, second = wording.digits(reading.value), wording.digits(other.value)
    else:
        first, second = wording.amount(reading), wording.amount(reading, other)
        unit = wording.unit_name(reading.unit)
        if unit and first.endswith(unit) and second.endswith(unit):
            first = first.removesuffix(unit).strip()
    return {"place": wording.place(reading), "first": first, "second": second}
