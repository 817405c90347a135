"""From frames to understanding, in the capture's own thread: words, commands, answers, readings, questions.

Everything here depends on the frames alone, so that a capture heard again from the disk comes to the same state.
"""

from __future__ import annotations

import contextlib
import math
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from journal.domain.reading import Alternative, Reading
from journal.domain.speech import Utterance
from journal.errors import BadInput
from journal.live import wording
from journal.live.asking import Answer, Asking, Effect, Question, finish_question
from journal.live.events import Event
from journal.live.frames import RATE, Flag, Frame, Kind
from journal.live.notebook import Notebook
from journal.live.provisional import Provisional, complete, whole
from journal.live.second import Remembered
from journal.live.spoken import Command, spoken
from journal.live.stretches import Gap, Stretch, Stretches

if TYPE_CHECKING:
    from journal.hear.recogniser import Recogniser
    from journal.pipeline import Understanding

SETTLES = 1.0  # seconds after its last word that an utterance taken from the store is taken for ended


@dataclass(frozen=True, slots=True)
class Mark:
    """A moment somebody marked, to come back to."""

    recording: str
    second: float


@dataclass(frozen=True, slots=True)
class Snapshot:
    """All that is known at one moment; replaced, never changed.  ``seconds`` counts all sound heard."""

    understanding: Understanding | None = None
    utterances: tuple[Utterance, ...] = ()
    stretches: tuple[Stretch, ...] = ()
    gaps: tuple[Gap, ...] = ()
    marks: tuple[Mark, ...] = ()
    question: Question | None = None
    paused: bool = False
    silent: bool = False
    finish: bool = False
    seconds: float = 0.0
    again: tuple[Utterance, ...] = ()  # what the second listener heard
    behind: int = 0  # utterances it still has before it
    unheard: int = 0  # those it never heard

    @property
    def readings(self) -> tuple[Reading, ...]:
        return self.understanding.interpretation.readings if self.understanding else ()


class Hearing:
    """Used by one thread; ``paused`` and ``snapshot`` may be read by any."""

    def __init__(
        self,
        listener_of: Callable[[str], Recogniser],
        notebook: Notebook,
        tell: Callable[[Event], None],
        *,
        known: Sequence[Utterance] = (),
        kept: Callable[[Utterance], None] | None = None,
        second: Callable[[NDArray[np.int16], Utterance], bool] | None = None,
    ) -> None:
        """``known`` are utterances that are in the store: heard again, they are taken from there.

        ``kept`` is called with every utterance of the transcript that is not; ``second`` hands an utterance and its
        sound to the second listener, and returns whether it will hear it.
        """
        self.notebook = notebook
        self.asking = Asking()
        self.stretches = Stretches()
        self.paused = False
        self.snapshot = Snapshot()
        self._listener_of = listener_of
        self._listener: Recogniser | None = None
        self._provisional = Provisional()
        self._previewed: tuple[tuple[str, ...], tuple[Reading, ...]] = ((), ())
        self._known = deque(known)
        self._known_until = {one.recording: one.end for one in known}
        self._kept = kept
        self._second = second
        self._remembered = Remembered()
        self._unheard = 0  # utterances the second listener could not take
        self._marks: list[Mark] = []
        self._now = 0.0
        self._spoke = 0.0
        self._index = 0
        self._finish = False
        self._replaying = False
        self._tell_out = tell

    def take(self, frame: Frame, heard: Frame, *, replaying: bool = False) -> None:
        """Hear one frame; ``heard`` has the sound as it came in, ``frame`` as it is on the disk."""
        self._replaying = replaying
        stretch, begins = self.stretches.take(frame)
        if frame.kind is Kind.REQUEST:
            self._request(frame)
        if stretch is None:
            return
        if replaying:
            self.paused = bool(frame.flags & Flag.PAUSED)
        if begins:
            self._begin(stretch)
        assert self._listener is not None
        samples = heard.samples
        if frame.flags & Flag.SPEAKING:
            samples = np.zeros_like(samples)  # the device hears itself: that must never become a reading
        self._now += len(samples) / RATE
        if self._second is not None:
            self._remembered.add(samples)
        for utterance in self._listener.accept(samples):
            self._utterance(utterance)
        if replaying:
            self._take_known(stretch.name, stretch.seconds - SETTLES)
        self._look()
        if question := self.asking.due(self._now, self._now - self._spoke):
            self._put(question)

    def caught_up(self) -> None:
        """Everything a crash left behind has been heard."""
        for stretch in self.stretches.all:
            self._take_known(stretch.name, math.inf)
        self._replaying = False
        self._show()
        if self._finish:
            self._tell(Event("finish", at=self._now))

    def finish(self) -> None:
        """Hear what is still open."""
        self._close_listener()
        self._show()

    def heard_again(self, utterance: Utterance, again: Utterance | None, heard: bool) -> None:
        """The second listener has come to an utterance, or will never (``heard`` is false)."""
        self._unheard += not heard
        changed = self.notebook.hear_again(utterance, again, heard=heard)
        for reading in changed:
            if not reading.doubts:
                self.asking.forget(reading.id)
        self.asking.consider(changed, self.notebook.verdicts, self._now)
        self._show(changed, recording=utterance.recording)

    def _begin(self, stretch: Stretch) -> None:
        self._close_listener()
        self._listener = self._listener_of(stretch.name)
        self._listener.end_sooner(self._whole)
        self._index = 0
        self._remembered = Remembered()
        self._provisional = Provisional()
        if self.stretches.gaps and self.stretches.gaps[-1].before == stretch.name:
            self._tell(Event("gap", text=self.stretches.gaps[-1].sentence))
            self._show()

    def _take_known(self, recording: str, until: float) -> None:
        """Take utterances from the store, in their turn, up to a second of the recording."""
        while self._known and self._known[0].recording == recording and self._known[0].end <= until:
            utterance = self._known.popleft()
            self._index = utterance.index
            self._take_in(utterance, known=True)

    def _close_listener(self) -> None:
        if self._known and len(self.stretches.all) > 1:
            self._take_known(self.stretches.all[-2].name, math.inf)
        if self._listener is not None:
            for utterance in self._listener.finish():
                self._utterance(utterance)
            self._listener = None

    def _look(self) -> None:
        """Show words and readings of what is still being spoken."""
        assert self._listener is not None
        words = self._listener.partial()
        if words:
            self._spoke = self._now
        if self.paused:
            return
        stretch = self.stretches.all[-1]
        new = self._provisional.changed(words)
        if new:
            self._tell(Event("words", " ".join(words), False, at=self._now, recording=stretch.name))
        stable = self._provisional.stable(words, self._now)
        if self._replaying:
            return
        found: tuple[Reading, ...] = ()
        if new and complete(words, heard := self._preview(words)):
            found = heard  # a number whose unit was said waits for nothing
            self._provisional.give(words)
        elif stable:
            found = self._preview(stable)
        if found:
            self._tell(Event("provisional", "", False, found, self._now, stretch.name))

    def _preview(self, words: tuple[str, ...]) -> tuple[Reading, ...]:
        """Return what words still being spoken would add; asked again about the same words it remembers."""
        stretch = self.stretches.all[-1]
        if self._previewed[0] != words:
            self._previewed = (words, self.notebook.preview(words, stretch.name, stretch.seconds) if words else ())
        return self._previewed[1]

    def _whole(self, words: tuple[str, ...]) -> bool:
        """Whether the listener may end an utterance sooner: a reading is complete, place and all."""
        return not self.paused and whole(words, self._preview(words))

    def _utterance(self, utterance: Utterance) -> None:
        if (utterance.start + utterance.end) / 2 > self._known_until.get(utterance.recording, -1.0):
            self._take_in(replace(utterance, index=self._index))

    def _take_in(self, utterance: Utterance, *, known: bool = False) -> None:
        """Do what was said or note it down; ``known``: it is in the store already."""
        self._provisional = Provisional()
        self._previewed = ((), ())
        command = spoken().command(utterance.text)
        if self.paused and not known:
            if command and command.name in ("resume", "finished"):
                self._obey(command)
            return
        self._index += 1
        self._tell(Event("words", utterance.text, True, at=self._now, recording=utterance.recording))
        answer = self.asking.answered(utterance, self._now)
        if answer is not None:
            self.notebook.keep(utterance)
            self._settle(answer, utterance.text)
        elif command is not None:
            self.notebook.keep(utterance)
            self._obey(command)
        else:
            changed = self.notebook.hear(utterance)
            self._ask_second(utterance)
            self.asking.consider(changed, self.notebook.verdicts, self._now)
            self._show(changed, recording=utterance.recording)

        if self._kept is not None and not known:
            self._kept(utterance)

    def _ask_second(self, utterance: Utterance) -> None:
        if self._second is None:
            return
        if self._second(self._remembered.cut(utterance.start, utterance.end), utterance):
            self.notebook.asked_again(utterance)
        else:
            self._unheard += 1

    def _request(self, frame: Frame) -> None:
        """Do what was touched; what makes no sense any more (a reading gone, a question answered) does nothing."""
        message = frame.message
        do = str(message.get("do", ""))
        if do in ("keep", "change", "wrong"):
            question = self.asking.open
            if question and question.reading and question.reading.id == message.get("reading"):
                other = question.others[0] if question.others and do == "change" else None
                self.asking.open = None
                self._settle(Answer(Effect(do), question, other), "touched")
        elif do == "finish":
            self._end(True)
        elif do in ("strike", "mark", "read_back", "pause", "resume", "machine", "missing", "quiet", "speak"):
            self._obey(Command(do, str(message.get("name", ""))[:80]))

    def _obey(self, command: Command) -> None:
        say = spoken().sentence
        match command.name:
            case "strike":
                self._strike()
            case "mark":
                stretch = self.stretches.current
                if stretch:
                    self._marks.append(Mark(stretch.name, round(stretch.seconds, 1)))
                self._say(say("marked"))
            case "read_back":
                last = self.notebook.last
                self._say(say("last", **_named(last)) if last else say("nothing_to_read"))
            case "pause" | "resume":
                self.paused = command.name == "pause" if not self._replaying else self.paused
                self._say(say("paused" if command.name == "pause" else "resumed"))
            case "machine":
                self._say(say("machine", name=self.notebook.new_machine(command.rest)))
            case "missing":
                missing = self.notebook.missing()
                self._say(say("missing", list="; ".join(missing)) if missing else say("nothing_missing"))
            case "quiet" | "speak":
                self.asking.silent = command.name == "quiet"
                self._say(say("quieter" if self.asking.silent else "louder"))
            case "finished":
                doubtful = sum(reading.needs_listening for reading in self.notebook.readings)
                standing = sum(not reading.withdrawn for reading in self.notebook.readings)
                self._put(self.asking.put(finish_question(standing, doubtful, self._now), self._now))
        self._show()

    def _strike(self) -> None:
        last = self.notebook.last
        if last is None:
            self._say(spoken().sentence("nothing_to_strike"))
            return
        self.asking.forget(last.id)
        self.notebook.amend(last, {"not a reading": "yes"}, "struck while speaking")
        self._say(spoken().sentence("struck", **_named(last)))

    def _settle(self, answer: Answer, said: str) -> None:
        reading, say = answer.question.reading, spoken().sentence
        match answer.effect:
            case Effect.FINISH:
                self._end(True)
            case Effect.GO_ON:
                self._say(say("finish_not"))
            case Effect.AGAIN:
                if self.asking.open:
                    self._put(self.asking.open)
            case Effect.KEEP if reading:
                self._amend(reading, {"confirmed": "yes"}, answer, said)
                self._say(say("kept", amount=wording.amount(reading)))
            case Effect.CHANGE if reading and answer.other:
                self._amend(reading, _changes(answer.other), answer, said)
                self._say(say("changed", amount=wording.amount(reading, answer.other)))
            case Effect.WRONG if reading:
                self._amend(reading, {"not a reading": "yes"}, answer, said)
                self._say(say("wrong"))
            case _:
                pass
        self._show()

    def _amend(self, reading: Reading, changes: dict[str, str], answer: Answer, said: str) -> None:
        """Keep an answer as a correction; one that changes nothing (no doubt left to settle) is none."""
        with contextlib.suppress(BadInput):
            self.notebook.amend(reading, changes, f"asked '{answer.question.text}', answered '{said}'")

    def _end(self, finish: bool) -> None:
        self._finish = finish
        self._show()
        self._tell(Event("finish", at=self._now))

    def _put(self, question: Question) -> None:
        self._show()
        self._tell(Event("question", question.text, at=self._now))

    def _say(self, sentence: str) -> None:
        self._tell(Event("say", sentence, at=self._now))

    def _show(self, changed: tuple[Reading, ...] = (), recording: str = "") -> None:
        self.snapshot = Snapshot(
            understanding=self.notebook.understanding,
            utterances=tuple(self.notebook.utterances),
            stretches=tuple(self.stretches.all),
            gaps=tuple(self.stretches.gaps),
            marks=tuple(self._marks),
            question=self.asking.open,
            paused=self.paused,
            silent=self.asking.silent,
            finish=self._finish,
            seconds=self._now,
            again=tuple(self.notebook.again_heard),
            behind=self.notebook.unheard,
            unheard=self._unheard,
        )
        self._tell(Event("understood", readings=changed, at=self._now, recording=recording))

    def _tell(self, event: Event) -> None:
        if not self._replaying:
            self._tell_out(event)


def _changes(other: Alternative) -> dict[str, str]:
    """What another value changes, as a correction writes it."""
    fields = {name: getattr(other, name) for name in ("value", "unit", "kind", "state")}
    return {name: str(value) for name, value in fields.items() if value is not None}


def _named(reading: Reading) -> dict[str, str]:
    return {"place": wording.place(reading), "amount": wording.amount(reading)}
