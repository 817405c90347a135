"""How long the store takes on a technician's working life: 20,000 visits with 1,000,000 readings, made here.

``python -m tests.benchmarks.bench_store`` makes the store in a temporary folder (``--folder`` keeps it, or uses the one
there) and prints median and 95th percentile of opening a visit, searching, a machine's history, and adding a
correction.
"""

from __future__ import annotations

import argparse
import random
import shutil
import statistics
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

from journal.domain.ids import new_id
from journal.domain.kind import Kind
from journal.domain.reading import Doubt, Evidence, Reading
from journal.domain.speech import Utterance, Word
from journal.domain.verdict import Authority, Limit, Outcome, Verdict
from journal.domain.visit import Equipment, Finding, Note, Visit, WorkDone
from journal.keep import Machine, Store, ledger, overview, visits

VISITS = 20_000
READINGS_EACH = 50
MACHINES = 2_000
_BATCH = 200
_PLACES = (
    ("compressor", ("common", "run"), Kind.RESISTANCE, "ohm", 2),
    ("compressor", ("common", "start"), Kind.RESISTANCE, "ohm", 5),
    ("supply", ("L1", "L2"), Kind.VOLTAGE, "volt", 230),
    ("condenser fan motor", (), Kind.CURRENT, "ampere", 3),
    ("suction line", (), Kind.TEMPERATURE, "degF", 40),
    ("run capacitor", (), Kind.CAPACITANCE, "microfarad", 40),
    ("evaporator", (), Kind.SUPERHEAT, "delta_degF", 9),
)
_WORDS = [
    "common",
    "to",
    "run",
    "start",
    "compressor",
    "suction",
    "line",
    "discharge",
    "two",
    "three",
    "four",
    "point",
    "five",
    "ohms",
    "volts",
    "amps",
    "the",
    "fan",
    "is",
    "running",
    "iced",
    "coil",
    "clean",
    "contactor",
    "pitted",
    "door",
    "gasket",
    "torn",
    "drain",
    "clear",
    "charge",
    "low",
    "leak",
    "at",
    "flare",
    "tightened",
    "replaced",
]


def a_visit(number: int, dice: random.Random) -> Visit:
    """An invented visit: fifty readings in fifty utterances of eight words, ten verdicts."""
    machine = f"unit {number % MACHINES}"
    readings, utterances, verdicts = [], [], []
    for index in range(READINGS_EACH):
        component, points, kind, unit, size = _PLACES[index % len(_PLACES)]
        text = dice.choices(_WORDS, k=8)
        at = index * 12.0
        words = tuple(Word(word, at + n / 2, at + n / 2 + 0.4, 0.97) for n, word in enumerate(text))
        utterances.append(Utterance("r1", index, words))
        readings.append(
            Reading(
                kind,
                value=Decimal(size * dice.randint(900, 1100)).scaleb(-3),
                unit=unit,
                component=component,
                points=points,
                equipment=machine,
                doubts=(Doubt("confusable", "thirty and thirteen sound alike"),) if dice.random() < 0.05 else (),
                evidence=Evidence("r1", index, 0, 7, at, at + 3.9, " ".join(text), 0.97),
                id=new_id(),
            )
        )
    for index in range(10):
        outcome = dice.choice([Outcome.WITHIN, Outcome.WITHIN, Outcome.MARGINAL, Outcome.OUTSIDE])
        limits = (Limit("volt", Decimal(207), Decimal(253), source="made for this measurement"),)
        plain = "It is as it is."
        verdict = Verdict("supply voltage", 1, "Supply voltage", outcome, Authority.STANDARD, plain, limits=limits)
        verdicts.append(replace(verdict, readings=(readings[index].id,), id=new_id()))
    started = datetime(2018, 1, 2, 8, tzinfo=UTC) + timedelta(hours=3 * number)
    return Visit(
        id=new_id(),
        code="",
        started=started.isoformat(),
        made=started.isoformat(),
        title=f"{dice.choice(_WORDS)} {dice.choice(_WORDS)}",
        technician=f"technician {number % 12}",
        site=f"site {number % MACHINES // 4}",
        utterances=tuple(utterances),
        equipment=(Equipment(machine, serial=f"SN-{number % MACHINES:05d}"),),
        readings=tuple(readings),
        findings=(Finding("iced over", "coil", machine, id=new_id()),),
        work=(WorkDone("cleaned", "coil", equipment=machine, id=new_id()), *_refrigerant(number, machine)),
        notes=(Note("complaint", " ".join(dice.choices(_WORDS, k=6)), id=new_id()),),
        verdicts=tuple(verdicts),
    )


def _refrigerant(number: int, machine: str) -> tuple[WorkDone, ...]:
    """On every tenth visit some is added."""
    if number % 10:
        return ()
    return (WorkDone("added", "refrigerant", Decimal("2.5"), "pound", equipment=machine, id=new_id()),)


def fill(store: Store, count: int, dice: random.Random) -> None:
    """Write visits as ``add_visit`` does, two hundred to a transaction: a disk flush for each would take hours."""
    begun = time.perf_counter()
    for first in range(0, count, _BATCH):
        with store._database.write() as db:
            for number in range(first, min(first + _BATCH, count)):
                visit = visits.completed(a_visit(number, dice), {})
                event = ledger.next_event(db.conn)
                visit = visits.insert_visit(db.conn, visit, event)
                event.close("visit added", visit.technician or "", "")
                overview.refresh(db.conn, event.number, visit)
        if first % 2000 == 0:
            print(f"  {first} of {count} visits, {time.perf_counter() - begun:.0f} s", flush=True)


def timed(name: str, action: Callable[[], object], times: int) -> None:
    """Print median and 95th percentile of an action, in milliseconds; of the processor's time as well.

    On a machine that others use, only the processor's time says anything.
    """
    took, busy = [], []
    for _ in range(times):
        begun, worked = time.perf_counter(), time.process_time()
        action()
        took.append((time.perf_counter() - begun) * 1000)
        busy.append((time.process_time() - worked) * 1000)
    told = [(statistics.median(some), statistics.quantiles(some, n=20)[-1]) for some in (took, busy)]
    (median, p95), (cpu, cpu95) = told
    print(f"{name:<44} {median:7.1f} ms p95 {p95:7.1f}   cpu {cpu:7.1f} ms p95 {cpu95:7.1f}   n={times}", flush=True)


def measure(store: Store, dice: random.Random, times: int) -> None:
    codes = [summary.code for summary in store.visits()]
    machines = min(MACHINES, len(codes))

    def machine() -> Machine:
        return Machine(serial=f"SN-{dice.randrange(machines):05d}")

    def correct() -> None:
        visit = store.visit(dice.choice(codes))
        reading = dice.choice(visit.readings)
        value = str(dice.randint(1, 10**6))
        store.correct(visit.code, reading.id, {"value": value}, by="a measurement", why="to see how long it takes")

    def look_alike() -> None:
        store.suggestions(store.visit(dice.choice(codes)))

    def filtered() -> None:
        store.visits(outcome=Outcome.OUTSIDE, doubtful=True, limit=20)

    timed("open a visit", lambda: store.visit(dice.choice(codes)), times)
    timed("search a word of every visit, newest 20", lambda: store.visits(text=dice.choice(_WORDS), limit=20), times)
    timed("search three words, newest 20", lambda: store.visits(text=" ".join(dice.sample(_WORDS, 3)), limit=20), times)
    timed("search a serial, all", lambda: store.visits(text=f"SN-{dice.randrange(machines):05d}"), times)
    timed("search a word that is nowhere", lambda: store.visits(text="zeolite"), times)
    timed(
        "search a word of one site, all", lambda: store.visits(text="leak", site=f"site {dice.randrange(500)}"), times
    )
    timed("filter: outside and doubtful, newest 20", filtered, times)
    timed("filter: a serial", lambda: store.visits(equipment=f"SN-{dice.randrange(machines):05d}"), times)
    timed("history of a machine: its visits", lambda: store.machine_visits(machine()), times)
    timed("history of a machine: one kind", lambda: store.machine_series(machine(), kind=Kind.RESISTANCE), times)
    timed("history of a machine: everything", lambda: store.machine_series(machine()), times)
    timed("drifts of a machine", lambda: store.machine_drifts(machine()), times)
    timed(
        "refrigerant moved in a year", lambda: store.refrigerant_visits(since="2020-01-01", until="2020-12-31"), times
    )
    timed("known sites and customers", store.known_names, 10)
    timed("add a correction (with opening the visit)", correct, times)
    timed("suggestions for a visit", look_alike, times)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--visits", type=int, default=VISITS)
    parser.add_argument("--times", type=int, default=100)
    parser.add_argument("--folder", type=Path, help="keep the store here, and use it again")
    parser.add_argument("--verify", action="store_true", help="time 'verify' of the whole store too")
    arguments = parser.parse_args()
    folder = arguments.folder or Path(tempfile.mkdtemp(prefix="bench-store-"))
    dice = random.Random(20_000)
    try:
        with Store.open(folder) as store:
            if not store.visits(limit=1):
                fill(store, arguments.visits, dice)
            with store._database.read() as connection:
                (readings,) = connection.execute("SELECT count(*) FROM readings").fetchone()
                (held,) = connection.execute("SELECT count(*) FROM visits").fetchone()
            size = (folder / "journal.sqlite").stat().st_size / 2**20
            print(f"{held} visits, {readings} readings, {size:.0f} MiB")
            measure(store, dice, arguments.times)
            if arguments.verify:
                begun = time.perf_counter()
                report = store.verify()
                took = time.perf_counter() - begun
                print(f"verify: {report.rows} rows in {took:.0f} s, {len(report.problems)} problems")
    finally:
        if arguments.folder is None:
            shutil.rmtree(folder)


if __name__ == "__main__":
    main()
