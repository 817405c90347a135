"""Delay of live readings, and what recognising costs the pages: python -m tests.benchmarks.bench_live

The three demo recordings are played in real time into captures, one after the other and all at once.  For every
reading: seconds from the end of its last word (as the recogniser timed it) until the provisional and the final reading
were told; the share of provisional ones whose value the final one does not have; how long the second listener took,
where it is installed; and the p95 of the visit page, idle and meanwhile.

``--simulated`` feeds the sound as fast as it is heard and counts seconds of sound plus the processor's own seconds
at each step: what the delays are made of, whatever else the machine is doing.  ``--as-recordings`` does it once more
with the ends of utterances of recordings, and says which readings come out otherwise.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import threading
import time
from pathlib import Path

from starlette.testclient import TestClient

from journal.carried import carried
from journal.domain.reading import Reading
from journal.hear.endpointer import EndRule
from journal.hear.model_files import find_model
from journal.hear.recogniser import Recogniser
from journal.hear.second_listener import find_whisper
from journal.interpret.prompt import listening_prompt
from journal.keep import Store
from journal.live import Captures, wording
from journal.live.events import Event
from journal.live.frames import RATE, sound
from journal.live.hearing import Hearing
from journal.live.late_model import LateModel
from journal.live.microphone import from_file
from journal.live.notebook import Notebook, first_narration
from journal.live.second import SecondEar
from journal.pipeline import Rules
from journal.present.web.app import build_app
from journal.present.web.people import People
from journal.present.web.sessions import Sessions
from journal.present.web.state import State

PAUSE = 0.1  # seconds between two looks at the page


class Simulated:
    """One recording heard as fast as possible; delays in seconds of sound plus seconds of processor."""

    def __init__(self, model: LateModel, recording: Path, rule: EndRule | None) -> None:
        self.clock = Clock()
        self.work: list[float] = []
        at = 0.0
        began = 0.0

        def told(event: Event) -> None:
            worked = time.thread_time() - began
            self.clock.heard(event, at + worked)
            if event.kind == "understood" and event.readings:
                self.work.append(worked)

        def listener(name: str) -> Recogniser:
            return model.listener(name) if rule is None else model.listener(name, rule)

        self.hearing = Hearing(listener, Notebook(Rules(), first_narration()), told)
        for number, (samples, moment) in enumerate(from_file(recording, fast=True)):
            frame = sound(number, samples, moment)
            at += len(samples) / RATE
            began = time.thread_time()
            self.hearing.take(frame, frame)
        self.hearing.finish()

    @property
    def readings(self) -> list[str]:
        kept = [one for one in self.hearing.notebook.readings if not one.withdrawn]
        return [f"{wording.place(one)}: {wording.amount(one)}" for one in kept]


def simulate(model: LateModel, recordings: list[Path], *, compare: bool) -> None:
    model.listener("r1")
    live = [Simulated(model, recording, None) for recording in recordings]
    tell("live", live)
    if compare:
        offline = [Simulated(model, recording, EndRule()) for recording in recordings]
        tell("ends as in recordings", offline)
        for recording, ours, theirs in zip(recordings, live, offline, strict=True):
            only = [one for one in ours.readings if one not in theirs.readings]
            lost = [one for one in theirs.readings if one not in ours.readings]
            name = recording.parent.name
            print(f"  {name}: {len(ours.readings)} against {len(theirs.readings)}; only live {only}; only there {lost}")


def tell(title: str, all_of: list[Simulated]) -> None:
    early = [value for one in all_of for value in one.clock.early]
    final = [value for one in all_of for value in one.clock.final]
    changed = sum(one.clock.changed for one in all_of)
    print(f"{title}, simulated: {len(all_of)} recordings")
    print(f"  provisional reading: {spread(early)}; changed: {changed} of {changed + len(early)}")
    print(f"  final reading:       {spread(final)}")
    print(f"  work in a final one: {spread([value for one in all_of for value in one.work])}")


class Clock:
    """When which second of sound was there, and when which reading was told."""

    def __init__(self) -> None:
        self.began = 0.0
        self.final: list[float] = []
        self.early: list[float] = []
        self.changed = 0
        self._seen: set[str] = set()
        self._greys: list[tuple[float, Reading]] = []

    def told(self, event: Event) -> None:
        self.heard(event, time.monotonic() - self.began)

    def heard(self, event: Event, now: float) -> None:
        """Take in an event at a second of the recording."""
        if event.kind == "provisional":
            self._greys += [(now, reading) for reading in event.readings]
        elif event.kind == "understood" and event.readings:
            for reading in event.readings:
                if reading.evidence is None or now - reading.evidence.end > 6:
                    continue  # an older one that was withdrawn or amended
                if reading.id in self._seen or len(reading.heard_by) > 1:
                    continue  # told before; now the second listener has come to it
                self._seen.add(reading.id)
                self.final.append(now - reading.evidence.end)
                self._match(reading)
            self._greys.clear()

    def _match(self, reading: Reading) -> None:
        assert reading.evidence
        same = [
            at
            for at, grey in self._greys
            if (grey.value, grey.unit, grey.low) == (reading.value, reading.unit, reading.low)
        ]
        if same:
            self.early.append(max(0.0, same[0] - reading.evidence.end))
        elif self._greys:
            self.changed += 1


def speak(captures: Captures, recording: Path, seconds: float, clock: Clock) -> None:
    capture = captures.begin()
    capture.watch(clock.told)
    clock.began = time.monotonic()
    heard = 0.0
    for samples, at in from_file(recording):
        capture.take([sound(capture.next_number, samples, at)])
        heard += len(samples) / 16_000
        if heard >= seconds:
            break
    visit = captures.finish(capture.id)
    assert visit is not None
    by = [utterance.heard_by for utterance in visit.utterances]
    late = [note.text for note in visit.notes if note.topic == "second listener"]
    print(f"  {recording.parent.name}: {len(by)} utterances, {by.count('second')} of the second listener; {late}")


def page_times(client: TestClient, path: str, stop: threading.Event, most: int) -> list[float]:
    found: list[float] = []
    while not stop.is_set() and len(found) < most:
        began = time.perf_counter()
        assert client.get(path).status_code == 200
        found.append(time.perf_counter() - began)
        time.sleep(PAUSE)
    return found


def spread(times: list[float]) -> str:
    if not times:
        return "none"
    ordered = sorted(times)
    p95 = ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))]
    return f"median {statistics.median(times):.3f} s, p95 {p95:.3f} s, of {len(times)}"


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=75.0, help="of each recording, in real time")
    parser.add_argument("--simulated", action="store_true")
    parser.add_argument("--as-recordings", action="store_true")
    parser.add_argument("--speakers", type=int, nargs="+", default=[1, 3])
    arguments = parser.parse_args()
    root = carried("demo")
    assert root
    recordings = sorted(root.glob("*/recording.opus"))
    model = LateModel(find_model(None))
    if arguments.simulated:
        simulate(model, recordings, compare=arguments.as_recordings)
        return
    folder_of_second = find_whisper()
    second = SecondEar(folder_of_second, listening_prompt()) if folder_of_second else None
    print(f"second listener: {second.name if second else 'none'}")
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder)) as store:
        captures = Captures(store, Rules(), model.listener, model.name, second)
        model.warm()
        time.sleep(6)
        state = State(store, captures, Rules(), People(Path(folder)), Sessions(Path(folder)))
        with TestClient(build_app(state)) as client:
            path = ""
            for speakers in arguments.speakers:
                clocks = [Clock() for _ in recordings]
                stop = threading.Event()
                most = int(arguments.seconds / PAUSE * 0.5)
                times: list[float] = []
                for first in range(0, len(recordings), speakers):
                    threads = [
                        threading.Thread(target=speak, args=(captures, recording, arguments.seconds, clock))
                        for recording, clock in list(zip(recordings, clocks, strict=True))[first : first + speakers]
                    ]
                    for thread in threads:
                        thread.start()
                    times += page_times(client, path, stop, most) if path else []
                    for thread in threads:
                        thread.join()
                    path = path or f"/visits/{store.visits()[0].code}"
                early = [value for clock in clocks for value in clock.early]
                final = [value for clock in clocks for value in clock.final]
                changed = sum(clock.changed for clock in clocks)
                print(f"{speakers} at once, {arguments.seconds:.0f} s each")
                print(f"  provisional reading: {spread(early)}; changed: {changed} of {changed + len(early)}")
                print(f"  final reading:       {spread(final)}")
                if times:
                    idle = page_times(client, path, threading.Event(), 60)
                    print(f"  visit page meanwhile: {spread(times)}\n  visit page idle:      {spread(idle)}")
        captures.close()


if __name__ == "__main__":
    main()
