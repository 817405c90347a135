"""Kill a journal that is being spoken to, at random moments, and look at what is left.

``python -m tests.benchmarks.crash_live --kills 100`` feeds sound as fast as it is taken.  After every kill the store
has to open and verify, the visit has to be there as open with every utterance that was acknowledged, and, taken up
again, it becomes one whole visit with every utterance once.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path

from journal.domain.speech import Utterance, Word
from journal.errors import NotFound
from journal.hear.scripted import ScriptedRecogniser
from journal.keep import Store
from journal.keep.corrections import current
from journal.live import Captures
from journal.live.events import Event
from journal.pipeline import Rules
from tests.live.sounds import chunks

NAME = "0192f0c4-7c1e-7b7a-9a53-2f6d6a6f1c11"
SECONDS = 120.0
_DIGITS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
SAID = [f"common to run one point {word} ohms" for word in _DIGITS]
AFTER = 20  # acknowledged utterances, at most, after which the kill comes
WINDOW = 0.1  # seconds from there within which it comes


def script() -> list[Utterance]:
    said = []
    for index in range(int(SECONDS / 4) - 1):
        words = SAID[index % len(SAID)].split()
        said.append(
            Utterance(
                "r1", index, tuple(Word(w, 4 * index + n / 3, 4 * index + (n + 1) / 3) for n, w in enumerate(words))
            )
        )
    return said


def speak(folder: Path, pipe: int) -> None:
    """Be spoken to until killed; says 'stored N' when N utterances are in the store."""

    def told(event: Event) -> None:
        if event.kind == "stored":
            os.write(pipe, f"stored {event.text}\n".encode())

    with Store.open(folder) as store:
        captures = Captures(store, Rules(), lambda name: ScriptedRecogniser(script()), "scripted")
        capture = captures.begin(capture_id=NAME, technician="Ines Okafor")
        capture.watch(told)
        os.write(pipe, b"began\n")
        for frame in chunks(SECONDS):
            capture.take([frame])
        capture.finish()
        captures._shelf.settle()
        os.write(pipe, b"all\n")
        time.sleep(60)


def kill_once(folder: Path, dice: random.Random) -> tuple[int, int, list[str]]:
    """Return how many utterances were acknowledged, how many the store held, and what was wrong."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reads)
        try:
            speak(folder, writes)
        finally:
            os._exit(1)
    os.close(writes)
    with os.fdopen(reads, "rb") as told:
        least, acknowledged = dice.randint(0, AFTER), 0
        while acknowledged < least and (line := told.readline()).startswith((b"began", b"stored")):
            acknowledged = int(line.split()[1]) if line.startswith(b"stored") else 0
        time.sleep(dice.random() * WINDOW)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        for line in told.read().split(b"\n")[:-1]:
            acknowledged = int(line.split()[1]) if line.startswith(b"stored") else acknowledged
    return (acknowledged, *look(folder, acknowledged))


def look(folder: Path, acknowledged: int) -> tuple[int, list[str]]:
    wrong: list[str] = []
    all_said = [utterance.text for utterance in script()]
    with Store.open(folder) as store:
        if not store.verify().ok:
            wrong.append("does not verify after the kill")
        try:
            visit = store.visit(NAME)
            held = [utterance.text for utterance in visit.utterances]
            if visit.status != "open":
                wrong.append(f"is {visit.status}")
        except NotFound:
            held = []
        if len(held) < acknowledged or held != all_said[: len(held)]:
            wrong.append(f"{acknowledged} acknowledged, {len(held)} held")
        captures = Captures(store, Rules(), lambda name: ScriptedRecogniser(script()), "scripted")
        captures.recover()
        kept = captures.get(NAME).next_number
        whole = captures.finish(NAME)
        captures.close()
        if whole is not None:
            texts = [utterance.text for utterance in whole.utterances]
            # A listener ends what is open when the sound ends, so the scripted one says all it has left.
            if texts != all_said or len(current(whole).readings) != len(all_said) or whole.status != "complete":
                wrong.append(f"taken up again: {len(texts)} utterances, {len(whole.readings)} readings, {whole.status}")
            if round(whole.recordings[0].seconds * 10) != kept:
                wrong.append("sound is missing")
        if not store.verify().ok:
            wrong.append("does not verify after it was taken up again")
    return len(held), wrong


def main() -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=20)
    parser.add_argument("--seed", type=int, default=7)
    arguments = parser.parse_args()
    dice = random.Random(arguments.seed)
    for utterance in script()[:1]:  # what is slow to load is loaded before the children are made
        from journal.pipeline import understand

        understand([utterance], rules=Rules())
    told, held = [], []
    for number in range(arguments.kills):
        with tempfile.TemporaryDirectory() as folder:
            acknowledged, found, wrong = kill_once(Path(folder) / "store", dice)
        if wrong:
            print(f"kill {number}: {'; '.join(wrong)}", file=sys.stderr)
            return 1
        told.append(acknowledged)
        held.append(found)
    print(json.dumps({"kills": arguments.kills, "acknowledged": told, "held": held}))
    return 0


if __name__ == "__main__":
    sys.exit(main())
