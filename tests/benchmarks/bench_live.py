"""Delay of live readings, and what recognising costs the pages: python -m tests.benchmarks.bench_live

Demo recordings are played in real time into captures, 1 and 3 at once.  For every reading: seconds from the end of its
last word (as the recogniser timed it) until the provisional and the final reading were told; the share of provisional
ones whose value the final one does not have; and the p95 of the visit page, idle and meanwhile.
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
from journal.hear.model_files import find_model
from journal.keep import Store
from journal.live import Captures
from journal.live.events import Event
from journal.live.frames import sound
from journal.live.late_model import LateModel
from journal.live.microphone import from_file
from journal.pipeline import Rules
from journal.present.web.app import build_app
from journal.present.web.people import People
from journal.present.web.sessions import Sessions
from journal.present.web.state import State

PAUSE = 0.1  # seconds between two looks at the page


class Clock:
    """When which second of sound was there, and when which reading was told."""

    def __init__(self) -> None:
        self.began = 0.0
        self.final: list[float] = []
        self.early: list[float] = []
        self.changed = 0
        self._greys: list[tuple[float, Reading]] = []

    def told(self, event: Event) -> None:
        now = time.monotonic() - self.began
        if event.kind == "provisional":
            self._greys += [(now, reading) for reading in event.readings]
        elif event.kind == "understood" and event.readings:
            for reading in event.readings:
                if reading.evidence is None or now - reading.evidence.end > 6:
                    continue  # an older one that was withdrawn or amended
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
    captures.finish(capture.id)


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
    parser.add_argument("--seconds", type=float, default=75.0)
    parser.add_argument("--speakers", type=int, nargs="+", default=[1, 3])
    arguments = parser.parse_args()
    root = carried("demo")
    assert root
    recordings = sorted(root.glob("*/recording.opus"))
    model = LateModel(find_model(None))
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder)) as store:
        captures = Captures(store, Rules(), model.listener, model.name)
        model.warm()
        time.sleep(6)
        state = State(store, captures, Rules(), People(Path(folder)), Sessions(Path(folder)))
        with TestClient(build_app(state)) as client:
            path = ""
            for speakers in arguments.speakers:
                clocks = [Clock() for _ in range(speakers)]
                threads = [
                    threading.Thread(
                        target=speak, args=(captures, recordings[n % len(recordings)], arguments.seconds, clock)
                    )
                    for n, clock in enumerate(clocks)
                ]
                for thread in threads:
                    thread.start()
                stop = threading.Event()
                times = page_times(client, path, stop, int(arguments.seconds / PAUSE * 0.5)) if path else []
                for thread in threads:
                    thread.join()
                early = [value for clock in clocks for value in clock.early]
                final = [value for clock in clocks for value in clock.final]
                changed = sum(clock.changed for clock in clocks)
                print(f"{speakers} at once, {arguments.seconds:.0f} s each")
                print(f"  provisional reading: {spread(early)}; changed: {changed} of {changed + len(early)}")
                print(f"  final reading:       {spread(final)}")
                if times:
                    idle = page_times(client, path, threading.Event(), 60)
                    print(f"  visit page meanwhile: {spread(times)}\n  visit page idle:      {spread(idle)}")
                path = path or f"/visits/{store.visits()[0].code}"
        captures.close()


if __name__ == "__main__":
    main()
