"""Kill a process that works on a store, at random moments, and look at what is left.

``python -m tests.benchmarks.crash_store --kills 200`` prints what was being done at each kill.  After every one the
store has to open and verify, everything acknowledged has to be there, and no file may be there that no row names.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import select
import signal
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from journal.domain.visit import Note, Visit
from journal.keep import Place, Store
from tests.keep.visits import a_sound, a_visit

#: big enough that copying it takes a moment
SOUND_BYTES = 3 << 20
#: what is done -> seconds from its beginning within which the kill comes: about three times what it takes
WINDOWS = {"ingest": 0.15, "correction": 0.1, "blanking": 0.15, "import": 0.3, "backup": 0.5}


class Worker:
    """Does one thing after the other to a store and says so: 'begin' before, 'done' when it was acknowledged."""

    def __init__(self, work: Path, say: Callable[[str], None], dice: random.Random) -> None:
        self.work = work
        self.say = say
        self.dice = dice
        self.store = Store.open(work / "store")
        self.sound = work / "sound.wav"

    def run(self, name: str) -> None:
        while True:
            self.say(f"begin {name}")
            self.say(f"done {name} {getattr(self, name)()}")

    def ingest(self) -> str:
        return self.store.add_visit(a_visit(), {"r1": self.sound}).id

    def _some(self) -> Visit:
        summaries = self.store.visits(limit=5)
        return self.store.visit(self.dice.choice(summaries).id) if summaries else self.store.visit(self.ingest())

    def correction(self) -> str:
        visit = self._some()
        value = str(self.dice.randint(1, 10**9))
        note = Visit("", "", notes=(Note("follow-up", f"look at {value}"),))
        self.store.extend(visit.code, note, by="Ola")
        self.store.correct(
            visit.code, "reading-2", {"value": value}, by="Ola", why="a test", judge=lambda judged: judged
        )
        return f"{visit.id} {value}"

    def blanking(self) -> str:
        visit = self._some()

        def silence(source: Path, target: Path, start: float, end: float) -> None:
            target.write_bytes(source.read_bytes()[:-1])

        place = Place("r1", 10.0, 10.4)
        self.store.blank(visit.code, place, by="Ola", why="private", silence=silence)
        return visit.id

    def _import(self) -> str:
        number = self.dice.randint(0, 10**9)
        with Store.open(self.work / f"other-{number}") as other:
            brought = other.add_visit(a_visit(), {"r1": self.sound})
            bundle = other.export_bundle(brought.id, self.work / f"{number}.zip")
        return self.store.import_bundle(bundle).visit_id

    def backup(self) -> str:
        target = self.work / f"backup-{self.dice.randint(0, 10**9)}"
        assert self.store.backup(target).ok
        return str(target)


setattr(Worker, "import", Worker._import)


def kill_once(work: Path, name: str, dice: random.Random) -> tuple[str, list[str]]:
    """Start a worker on one thing, kill it at a random moment; return where it was, and what it had acknowledged."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            Worker(work, lambda line: void(os.write(writing, f"{line}\n".encode())), dice).run(name)
        finally:
            os._exit(3)
    os.close(writing)
    select.select([reading], [], [], 10)
    time.sleep(dice.uniform(0, WINDOWS[name]))
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), "the worker ended by itself: look at its error above"
    with os.fdopen(reading, encoding="utf-8") as said:
        lines = said.read().splitlines()
    return (lines[-1] if lines else "opening"), [line for line in lines if line.startswith("done")]


def void(_: object) -> None:
    return None


def check(work: Path, acknowledged: list[str]) -> None:
    """Fail unless the store is whole and holds everything that was acknowledged."""
    with Store.open(work / "store") as store:
        report = store.verify()
        assert report.ok, [str(problem) for problem in report.problems]
        ids = {summary.id for summary in store.visits()}
        named = set()
        for visit_id in ids:
            visit = store.visit(visit_id)
            named |= {recording.file for recording in visit.recordings}
            assert visit.verdicts
        for line in acknowledged:
            _, what, *rest = line.split(" ")
            if what in ("ingest", "import", "blanking"):
                assert rest[0] in ids, line
            if what == "blanking":
                assert store.visit(rest[0]).blankings
            if what == "correction":
                after = store.visit(rest[0])
                assert rest[1] in [made.after for made in after.corrections], line
                assert any(rest[1] in note.text for note in after.notes), line
        there = {str(path.relative_to(store.folder)) for path in store.folder.glob("recordings/*/*")}
        assert there == named, there ^ named
        assert list((store.folder / "incoming").glob("*.json")) == [], "notes were left"
    for target in work.glob("backup-*"):
        if not target.name.endswith(".part"):
            with Store.open(target, create=False) as copy:
                assert copy.verify().ok


def run(work: Path, kills: int, seed: int) -> Counter[str]:
    """Kill ``kills`` workers on one store; return how often each thing was interrupted."""
    dice = random.Random(seed)
    a_sound(work, "sound.wav", dice.randbytes(SOUND_BYTES))
    at: Counter[str] = Counter()
    acknowledged: list[str] = []
    for number in range(kills):
        name = list(WINDOWS)[number % len(WINDOWS)]
        doing, done = kill_once(work, name, random.Random(dice.random()))
        at[name if doing.startswith("begin") else f"between two of {name}"] += 1
        acknowledged += done
        check(work, acknowledged)
    at["acknowledged"] = len(acknowledged)
    return at


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--each-store", type=int, default=20, help="kills before a new store is begun")
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    arguments = parser.parse_args()
    total: Counter[str] = Counter()
    for begun in range(0, arguments.kills, arguments.each_store):
        with tempfile.TemporaryDirectory() as folder:
            total += run(Path(folder), min(arguments.each_store, arguments.kills - begun), arguments.seed + begun)
    print(json.dumps({"kills": arguments.kills, "seed": arguments.seed, "interrupted while": total}))


if __name__ == "__main__":
    main()
