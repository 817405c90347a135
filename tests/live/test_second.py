"""The second listener behind a capture: later, never in the way, and told of when it has not finished."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from unittest import mock

import numpy as np
import pytest
from numpy.typing import NDArray

from journal.domain.speech import Utterance, Word
from journal.hear.scripted import ScriptedRecogniser
from journal.hear.second_listener import WhisperFolder, find_whisper
from journal.keep import Store
from journal.live import Capture, Captures, capture
from journal.live.events import Event
from journal.live.frames import RATE
from journal.live.second import Answer, Remembered, SecondEar
from journal.pipeline import Rules
from tests.conftest import Require
from tests.live.test_capture import Script, hear, said, spoken_at, wait


class Patient:
    """Hears what it is told to hear, and only when it is let."""

    name = "patient"

    def __init__(self, hears: dict[str, str], room: int = 100) -> None:
        self.hears = hears
        self.room = room
        self.waiting: list[tuple[NDArray[np.int16], Utterance, Answer]] = []

    def hear(self, samples: NDArray[np.int16], utterance: Utterance, answer: Answer) -> bool:
        if len(self.waiting) >= self.room:
            return False
        self.waiting.append((samples, utterance, answer))
        return True

    def let(self) -> None:
        for _, utterance, answer in self.waiting:
            text = self.hears.get(utterance.text, utterance.text)
            words = tuple(Word(word, utterance.start, utterance.end, 0.9) for word in text.split())
            answer(replace(utterance, words=words, heard_by="second", alternatives=()), True)
        self.waiting.clear()

    def close(self) -> None:
        pass


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "store") as store:
        yield store


def begin(store: Store, script: Script, second: Patient | SecondEar) -> tuple[Captures, Capture, list[Event]]:
    captures = Captures(store, Rules(), lambda name: ScriptedRecogniser(spoken_at(script, name)), "scripted", second)
    one = captures.begin(technician="Ines Okafor")
    events: list[Event] = []
    one.watch(events.append)
    return captures, one, events


COIL = "common to run one point one ohms"


def test_what_both_heard_is_confirmed_later_and_stands_in_the_record(store: Store) -> None:
    second = Patient({})
    captures, one, _ = begin(store, [(1.0, COIL)], second)
    hear(one, 6.0)
    (reading,) = one.snapshot.readings
    assert reading.heard_by == ("vosk",)
    assert not reading.doubts, "what the second has not come to yet is not doubted for it"
    assert one.snapshot.behind == 1
    second.let()
    wait(lambda: one.snapshot.behind == 0)
    (reading,) = one.snapshot.readings
    assert reading.heard_by == ("vosk", "second")
    visit = captures.finish(one.id)
    assert visit is not None
    assert visit.listened_with == ("scripted", "patient")
    assert [(u.heard_by, u.text) for u in visit.utterances] == [("vosk", COIL), ("second", COIL)]
    assert visit.readings[0].heard_by == ("vosk", "second")
    assert not [note for note in visit.notes if note.topic == "second listener"]
    captures.close()


def test_a_difference_is_doubted_and_asked_back(store: Store) -> None:
    second = Patient({"common to run fifty ohms": "common to run fifteen ohms"})
    captures, one, events = begin(store, [(1.0, "common to run fifty ohms")], second)
    hear(one, 6.0)
    before = len(said(events, "question"))
    second.let()
    wait(lambda: one.snapshot.behind == 0)
    hear(one, 1.0)
    wait(lambda: len(said(events, "question")) > before)
    assert "fifteen" in said(events, "question")[-1] or "15" in said(events, "question")[-1]
    visit = captures.finish(one.id)
    assert visit is not None
    (reading,) = visit.readings
    assert {reading.value, *(other.value for other in reading.alternatives)} >= {Decimal(15), Decimal(50)}
    assert any(doubt.code == "listeners differ" for doubt in reading.doubts)
    captures.close()


def test_it_never_holds_up_the_first_and_the_record_says_when_it_has_not_finished(store: Store) -> None:
    second = Patient({}, room=1)
    captures, one, _ = begin(store, [(1.0, COIL), (5.0, "common to start two point two ohms")], second)
    hear(one, 9.0)
    assert len(one.snapshot.readings) == 2, "both are there though the second listener has heard neither"
    with mock.patch.object(capture, "PATIENCE", 0.2):
        visit = captures.finish(one.id)
    assert visit is not None
    (note,) = [note.text for note in visit.notes if note.topic == "second listener"]
    assert note.startswith("The second listener had not heard 2 of")
    assert not any(doubt.code == "listeners differ" for reading in visit.readings for doubt in reading.doubts)
    captures.close()


def test_commands_and_answers_are_not_heard_again(store: Store) -> None:
    second = Patient({})
    captures, one, _ = begin(store, [(1.0, COIL), (5.0, "mark this"), (8.0, "read it back")], second)
    hear(one, 11.0)
    assert [utterance.text for _, utterance, _ in second.waiting] == [COIL]
    captures.close()


def test_it_gets_the_utterances_own_seconds() -> None:
    remembered = Remembered()
    sound = (np.arange(20 * RATE) % 30_000).astype(np.int16)
    for first in range(0, len(sound), 1600):
        remembered.add(sound[first : first + 1600])
    assert np.array_equal(remembered.cut(2.0, 3.0), sound[round(1.7 * RATE) : round(3.3 * RATE)])
    assert np.array_equal(remembered.cut(0.1, 1.0), sound[: round(1.3 * RATE)])


def test_a_process_that_cannot_listen_answers_that_it_did_not(tmp_path: Path) -> None:
    ear = SecondEar(WhisperFolder("none", tmp_path), "prompt")
    answers: list[tuple[Utterance | None, bool]] = []
    (utterance,) = spoken_at([(0.0, COIL)])
    assert ear.hear(np.zeros(RATE, np.int16), utterance, lambda again, heard: answers.append((again, heard)))
    wait(lambda: bool(answers), 120.0)
    assert answers == [(None, False)]
    wait(lambda: not ear.hear(np.zeros(RATE, np.int16), utterance, lambda again, heard: None))
    ear.close()


@pytest.mark.slow
def test_the_real_one_runs_niced_and_a_kill_is_told(require: Require) -> None:
    folder = find_whisper()
    require("speech", folder is not None, "needs the extra [second-listener]")
    assert folder is not None
    ear = SecondEar(folder, "Readings of a technician.")
    answers: list[bool] = []
    (utterance,) = spoken_at([(0.0, COIL)])
    ear.hear(np.zeros(3 * RATE, np.int16), utterance, lambda again, heard: answers.append(heard))
    wait(lambda: len(answers) == 1, 180.0)
    assert answers == [True]
    import multiprocessing

    (child,) = [one for one in multiprocessing.active_children() if one.name == "second listener"]
    assert child.pid
    assert os.getpriority(os.PRIO_PROCESS, child.pid) >= 15
    os.kill(child.pid, signal.SIGKILL)
    time.sleep(0.2)
    ear.hear(np.zeros(RATE, np.int16), utterance, lambda again, heard: answers.append(heard))
    wait(lambda: len(answers) == 2, 60.0)
    assert answers == [True, False]
    ear.close()
