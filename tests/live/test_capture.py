"""A capture from the first chunk to the stored visit, with a listener that replays what was once heard."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from journal.domain.speech import Hypothesis, Utterance, Word
from journal.errors import BadInput, NotFound, StoreUnusable
from journal.hear.scripted import ScriptedRecogniser
from journal.keep import Store
from journal.keep.corrections import current
from journal.live import Capture, Captures
from journal.live.events import Event
from journal.live.frames import RATE, Flag, Kind, told
from journal.live.sound_log import read_frames
from journal.pipeline import Rules
from tests.live.sounds import START, chunks

Script = list[tuple[float, str]]


def spoken_at(script: Script, recording: str = "r1", confidence: float = 0.97) -> list[Utterance]:
    """Utterances with a third of a second for each word."""
    said = []
    for index, (at, text) in enumerate(script):
        words = tuple(Word(w, at + n / 3, at + (n + 1) / 3, confidence) for n, w in enumerate(text.split()))
        said.append(Utterance(recording, index, words))
    return said


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "store") as store:
        yield store


Begin = Callable[..., tuple[Captures, Capture, list[Event]]]


@pytest.fixture
def begin(store: Store) -> Iterator[Begin]:
    """Begin a capture whose listener hears a script (one for each recording)."""
    made: list[Captures] = []

    def go(
        *scripts: Script, listener: Callable[[str], ScriptedRecogniser] | None = None
    ) -> tuple[Captures, Capture, list[Event]]:
        heard = {f"r{n}": spoken_at(script, f"r{n}") for n, script in enumerate(scripts, start=1)}
        captures = Captures(
            store, Rules(), listener or (lambda name: ScriptedRecogniser(heard.get(name, []))), "scripted"
        )
        made.append(captures)
        capture = captures.begin(technician="Ines Okafor", title="Reach-in", owner="ines")
        events: list[Event] = []
        capture.watch(events.append)
        return captures, capture, events

    yield go
    for captures in made:
        captures.close()


def hear(capture: Capture, seconds: float, **how: object) -> None:
    """Send sound and wait until it was heard."""
    frames = chunks(seconds, first=capture.next_number, **how)  # type: ignore[arg-type]
    for first in range(0, len(frames), 10):
        capture.take(frames[first : first + 10])
    wait(lambda: capture.snapshot.seconds >= 0 and capture.hearing._now * 10 >= capture.next_number - 5)


def wait(done: Callable[[], bool], seconds: float = 60.0) -> None:
    until = time.monotonic() + seconds
    while not done():
        assert time.monotonic() < until, "waited in vain"
        time.sleep(0.01)


def said(events: list[Event], kind: str) -> list[str]:
    return [event.text for event in events if event.kind == kind]


def test_sound_becomes_a_stored_visit_and_no_sample_is_lost(begin: Begin, store: Store) -> None:
    captures, capture, events = begin(
        [(1.0, "common to run one point one ohms"), (5.0, "common to start three point nine ohms")]
    )
    hear(capture, 9.0)
    visit = captures.finish(capture.id)
    assert visit is not None
    assert [(r.value, r.points) for r in visit.readings] == [
        (Decimal("1.1"), ("common", "run")),
        (Decimal("3.9"), ("common", "start")),
    ]
    assert visit.technician == "Ines Okafor"
    assert "common to run one point one ohms" in said(events, "words")
    import soundfile

    kept, rate = soundfile.read(store.sound_path(visit, "r1"), dtype="int16")
    assert rate == RATE
    assert np.array_equal(kept, np.concatenate([frame.samples for frame in chunks(9.0)]))
    assert not (store.folder / "live" / capture.id).exists()


def test_provisional_readings_come_before_the_final_one_and_are_not_kept(begin: Begin) -> None:
    _, capture, events = begin([(1.0, "common to run one point one ohms")])
    hear(capture, 6.0)
    kinds = [event.kind for event in events if event.readings]
    assert "provisional" in kinds
    assert kinds.index("provisional") < kinds.index("understood")
    assert len(capture.snapshot.readings) == 1


def test_chunks_sent_twice_are_taken_once_and_nothing_is_taken_behind_a_hole(begin: Begin) -> None:
    _, capture, _ = begin([])
    frames = chunks(2.0)
    assert capture.take(frames[:10]) == 10
    assert capture.take(frames[5:15]) == 15
    assert capture.take(frames[17:]) == 15
    assert capture.take(frames[15:]) == 20
    assert list(read_frames(capture.log.folder)) == frames


def test_the_device_speaking_never_becomes_a_reading(begin: Begin) -> None:
    """The listener gets silence for the span in which the device spoke; the sound itself is kept."""
    heard: list[np.ndarray] = []

    class Noting(ScriptedRecogniser):
        def accept(self, chunk: np.ndarray) -> list[Utterance]:
            heard.append(chunk)
            return super().accept(chunk)

    _, capture, _ = begin(listener=lambda name: Noting([]))
    frames = [*chunks(1), *chunks(1, first=10, flags=Flag.SPEAKING), *chunks(1, first=20)]
    capture.take(frames)
    wait(lambda: len(heard) == 30)
    assert all(not chunk.any() for chunk in heard[10:20])
    assert all(chunk.any() for chunk in heard[:10] + heard[20:])
    assert [frame.samples.any() for frame in read_frames(capture.log.folder)] == [True] * 30


def test_strike_the_last_reading(begin: Begin, store: Store) -> None:
    captures, capture, events = begin([(1.0, "common to run one point one ohms"), (5.0, "strike the last reading")])
    hear(capture, 9.0)
    assert capture.snapshot.readings[0].withdrawn
    assert said(events, "say") == ["Struck: compressor, common to run, 1.1 ohms."]
    visit = captures.finish(capture.id)
    assert visit is not None
    assert not visit.readings[0].withdrawn, "the original stays"
    assert current(store.visit(visit.code)).readings[0].withdrawn
    assert visit.corrections[0].why == "struck while speaking"


def test_mark_read_back_and_what_is_missing(begin: Begin) -> None:
    captures, capture, events = begin(
        [
            (1.0, "suction sixty six psi"),
            (5.0, "mark this"),
            (8.0, "read it back"),
            (11.0, "what am i missing"),
        ]
    )
    hear(capture, 14.0)
    told_back = said(events, "say")
    assert told_back[0] == "Marked."
    assert told_back[1] == "suction: 66 p s i."
    assert told_back[2].startswith("Still needed: ")
    visit = captures.finish(capture.id)
    assert visit is not None
    assert [note.text for note in visit.notes if note.topic == "marked moment"] == ["Marked at 7 s of r1."]
    assert len(visit.utterances) == 4, "commands stay in the transcript"


@pytest.mark.parametrize(
    ("spoken", "name"),
    [
        ("bakery proofer", "bakery proofer"),
        ("a h u dash two", "AHU-2"),
        ("walk in freezer", "walk-in freezer"),
        ("", "unit 2"),
    ],
)
def test_a_new_machine_takes_any_name(begin: Begin, spoken: str, name: str) -> None:
    """Words the vocabulary does not know are a name too; spelled ones are written as they are spelled."""
    script = [
        (1.0, "compressor is pulling nine point six amps"),
        (6.0, f"new machine {spoken}".strip()),
        (11.0, "compressor is pulling seven point one amps"),
    ]
    captures, capture, events = begin(script)
    hear(capture, 16.0)
    assert f"New machine: {name}." in said(events, "say")
    visit = captures.finish(capture.id)
    assert visit is not None
    assert [(str(r.value), r.equipment) for r in visit.readings] == [("9.6", None), ("7.1", name)]
    assert name in [machine.name for machine in visit.equipment]
    assert not any("new machine" in finding.what for finding in visit.findings)


def test_a_pause_keeps_no_sound_until_somebody_says_carry_on(begin: Begin, store: Store) -> None:
    script = [
        (1.0, "pause the journal"),
        (5.0, "common to run one point one ohms"),
        (9.0, "carry on"),
        (12.0, "common to start two point two ohms"),
    ]
    captures, capture, _ = begin(script)
    for _ in range(16):  # second by second, as sound comes: what was sent before the pause is heard is kept
        hear(capture, 1.0)
    visit = captures.finish(capture.id)
    assert visit is not None
    assert [r.value for r in visit.readings] == [Decimal("2.2")]
    assert "one" not in " ".join(u.text for u in visit.utterances)
    import soundfile

    kept, _ = soundfile.read(store.sound_path(visit, "r1"), dtype="int16")
    assert not kept[5 * RATE : 8 * RATE].any()
    assert len(kept) == 16 * RATE
    assert any(note.topic == "pause" for note in visit.notes)


def test_a_gap_stands_in_the_record_with_its_times(begin: Begin, store: Store) -> None:
    captures, capture, events = begin(
        [(1.0, "common to run one point one ohms")], [(1.0, "common to start two point two ohms")]
    )
    hear(capture, 5.0)
    capture.take([told(50, Kind.GAP, START + 5000, why="the device stopped the microphone")])
    for frame in chunks(5.0, first=51, at=START + 60_000):
        capture.take([frame])
    visit = captures.finish(capture.id)
    assert visit is not None
    assert [r.name for r in visit.recordings] == ["r1", "r2"]
    assert [r.evidence.recording for r in visit.readings if r.evidence] == ["r1", "r2"]
    (gap,) = [note.text for note in visit.notes if note.topic == "gap in the sound"]
    assert gap.endswith("UTC (60 s): the device stopped the microphone.")
    assert len(said(events, "gap")) == 1


def test_finishing_is_asked_first(begin: Begin) -> None:
    _, capture, events = begin(
        [(1.0, "common to run one point one ohms"), (5.0, "finished"), (8.0, "no"), (11.0, "finished"), (14.0, "yes")]
    )
    hear(capture, 10.0)
    assert said(events, "question") == ["1 readings, 0 to listen to. Finished? Say yes."]
    assert not capture.snapshot.finish
    hear(capture, 8.0)
    wait(lambda: capture.snapshot.finish)


def test_two_captures_at_once_stay_apart(begin: Begin) -> None:
    scripts = iter([spoken_at([(1.0, "common to run one point one ohms")]), []])
    captures, one, _ = begin(listener=lambda name: ScriptedRecogniser(next(scripts)))
    hear(one, 0.5)
    other = captures.begin(technician="Sefa Lindqvist", owner="sefa")
    hear(one, 4.0)
    hear(other, 2.0)
    first, second = captures.finish(one.id), captures.finish(other.id)
    assert first is not None
    assert second is not None
    assert (len(first.readings), len(second.readings)) == (1, 0)
    assert (first.technician, second.technician) == ("Ines Okafor", "Sefa Lindqvist")


def test_finishing_twice_makes_one_visit(begin: Begin, store: Store) -> None:
    captures, capture, _ = begin([])
    hear(capture, 2.0)
    assert captures.finish(capture.id) == captures.finish(capture.id)
    assert len(store.visits()) == 1


def test_a_capture_without_a_sound_leaves_nothing(begin: Begin, store: Store) -> None:
    captures, capture, _ = begin([])
    assert captures.finish(capture.id) is None
    assert store.visits() == []
    assert list((store.folder / "live").iterdir()) == []


def test_after_a_restart_the_sound_is_heard_again(begin: Begin, store: Store) -> None:
    script = [
        (1.0, "common to run one point one ohms"),
        (5.0, "strike the last reading"),
        (9.0, "common to start two point two ohms"),
    ]
    captures, capture, _ = begin(script)
    hear(capture, 8.0)
    captures.close()
    stored = [utterance.text for utterance in store.visit(capture.id).utterances]
    assert stored == ["common to run one point one ohms", "strike the last reading"]  # what had ended, and no half
    again = Captures(store, Rules(), lambda name: ScriptedRecogniser(spoken_at(script, name)), "scripted")
    assert again.recover() == []
    found = again.get(capture.id)
    assert found.next_number == 80
    wait(lambda: len(found.snapshot.readings) == 1)
    for frame in chunks(6.0, first=80):
        found.take([frame])
    visit = again.finish(capture.id)
    assert visit is not None
    assert visit.recordings[0].seconds == 14.0
    assert [(r.value, r.withdrawn) for r in current(visit).readings] == [
        (Decimal("1.1"), True),
        (Decimal("2.2"), False),
    ]


def test_an_id_of_the_device_begins_once(begin: Begin) -> None:
    captures, _, _ = begin([])
    name = "0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c11"
    assert captures.begin(capture_id=name, owner="ines") is captures.begin(capture_id=name, owner="ines")
    with pytest.raises(BadInput, match="somebody else"):
        captures.begin(capture_id=name, owner="sefa")
    with pytest.raises(BadInput, match="UUID"):
        captures.begin(capture_id="../../etc", owner="ines")
    with pytest.raises(NotFound):
        captures.get("0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c12")


def test_two_journals_do_not_write_one_log(begin: Begin, store: Store) -> None:
    _, capture, _ = begin([])
    from journal.live.sound_log import SoundLog

    with pytest.raises(StoreUnusable, match="another journal"):
        SoundLog.reopen(capture.log.folder)


KILLED = textwrap.dedent("""
    import sys
    from pathlib import Path
    from journal.live.sound_log import SoundLog
    from tests.live.sounds import chunks
    log = SoundLog.create(Path(sys.argv[1]), {"id": "a"})
    for frame in chunks(600):
        log.append([frame])
        print(log.next_number, flush=True)
""")


@pytest.mark.parametrize("after", [1, 17, 60])
def test_what_was_acknowledged_survives_a_kill(tmp_path: Path, after: int) -> None:
    folder = tmp_path / "a"
    process = subprocess.Popen([sys.executable, "-c", KILLED, str(folder)], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    acknowledged = 0
    for line in process.stdout:
        acknowledged = int(line)
        if acknowledged >= after:
            os.kill(process.pid, signal.SIGKILL)
            break
    acknowledged = max([acknowledged, *(int(line) for line in process.stdout if line.endswith("\n"))])
    process.wait()
    process.stdout.close()
    kept = list(read_frames(folder))
    assert len(kept) >= acknowledged
    assert kept == chunks(600)[: len(kept)]


def ask_script(answer: str, *, heard_as: str = "fifty") -> list[Utterance]:
    """A doubted reading and an answer; the first may have been fifteen."""
    first = spoken_at([(1.0, f"common to run {heard_as} ohms")])[0]
    low = tuple(Word(w.text, w.start, w.end, 0.6 if w.text == heard_as else 0.97) for w in first.words)
    other = tuple(Word("fifteen" if w.text == heard_as else w.text, w.start, w.end, 0.0) for w in first.words)
    doubted = Utterance("r1", 0, low, (Hypothesis(other, 1.0),))
    return [doubted, Utterance("r1", 1, spoken_at([(7.0, answer)])[0].words)]


@pytest.mark.parametrize(
    ("answer", "value", "doubted"),
    [("one five", "15", False), ("five oh", "50", False), ("the second", "15", False), ("fifty", "50", True)],
)
def test_a_doubted_reading_is_asked_back_and_answered_by_voice(
    begin: Begin, answer: str, value: str, doubted: bool
) -> None:
    captures, capture, events = begin(listener=lambda name: ScriptedRecogniser(ask_script(answer)))
    hear(capture, 11.0)
    assert said(events, "question")[0] == "compressor, common to run: 50 or 15 ohms?"
    asked = next(event for event in events if event.kind == "question")
    assert asked.at - 7 / 3 <= 2.0, "within two seconds of the last word"
    (reading,) = capture.snapshot.readings
    assert reading.value == Decimal(value)
    assert reading.needs_listening is doubted
    visit = captures.finish(capture.id)
    assert visit is not None
    if value != "50":
        assert (visit.readings[0].value, current(visit).readings[0].value) == (Decimal(50), Decimal(15))
        assert f"answered '{answer}'" in visit.corrections[0].why


def test_a_plain_answer_that_may_be_misheard_too_is_asked_for_its_digits(begin: Begin) -> None:
    _, capture, events = begin(listener=lambda name: ScriptedRecogniser(ask_script("fifty")))
    hear(capture, 11.0)
    assert said(events, "question")[1] == "Say the digits, for compressor, common to run: five oh or one five?"


def test_an_answer_by_touch(begin: Begin) -> None:
    _, capture, _ = begin(listener=lambda name: ScriptedRecogniser(ask_script("")[:1]))
    hear(capture, 6.0)
    (reading,) = capture.snapshot.readings
    capture.take([told(60, Kind.REQUEST, START, do="change", reading=reading.id)])
    hear(capture, 0.5)
    wait(lambda: capture.snapshot.readings[0].value == Decimal(15))
    assert not capture.snapshot.readings[0].doubts
