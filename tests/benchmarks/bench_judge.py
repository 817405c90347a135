"""How long judging takes: a visit of 300 readings, and how it grows to 3,000.

    python tests/benchmarks/bench_judge.py [--repeat 20]

Readings are invented: rooftop and walk-in machines, ten readings of the circuit and twenty electrical ones each, so
that nearly every reading meets a check.  Times are the processor's, of one process on one core, warm (tables read), the
median of the repeats; other work on the machine makes them longer.
"""

from __future__ import annotations

import argparse
import statistics
import time
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role
from journal.domain.visit import Equipment
from journal.judge import judge, plausibility

TARGET_MS = 50.0
PER_MACHINE = 30


def a_machine(number: int) -> tuple[Equipment, list[Reading]]:
    """Return an invented machine with thirty readings, their figures moved a little by its number."""
    name = f"walk-in cooler {number}"
    move = Decimal(number % 7) / 10

    def one(
        kind: Kind,
        value: str,
        unit: str,
        component: str | None = None,
        *points: str,
        role: Role = Role.MEASURED,
        conditions: tuple[str, ...] = (),
    ) -> Reading:
        number_said = Decimal(value) + (move if role is Role.MEASURED else 0)
        return Reading(
            kind,
            role,
            number_said,
            unit=unit,
            component=component,
            points=points,
            equipment=name,
            conditions=conditions,
            id=f"{name}/{kind}/{component}/{'-'.join(points)}/{role}/{value}",
        )

    plate, setting = Role.NAMEPLATE, Role.SETTING
    readings = [
        one(Kind.VOLTAGE, "230", "volt", "compressor", role=plate),
        one(Kind.CURRENT, "17.9", "ampere", "compressor", role=plate, conditions=("rated load",)),
        one(Kind.CURRENT, "105", "ampere", "compressor", role=plate, conditions=("locked rotor",)),
        one(Kind.CURRENT, "1.6", "ampere", "condenser fan motor", role=plate),
        one(Kind.CAPACITANCE, "40", "microfarad", "run capacitor", role=plate),
        one(Kind.TEMPERATURE, "35", "degF", "thermostat", role=setting),
        one(Kind.PRESSURE, "30", "psi", "low pressure control", role=setting, conditions=("cut in",)),
        one(Kind.PRESSURE, "10", "psi", "low pressure control", role=setting, conditions=("cut out",)),
        one(Kind.VOLTAGE, "231", "volt", "supply", "L1", "L2"),
        one(Kind.VOLTAGE, "229", "volt", "supply", "L2", "L3"),
        one(Kind.VOLTAGE, "232", "volt", "supply", "L1", "L3"),
        one(Kind.CURRENT, "12.1", "ampere", "compressor", "L1"),
        one(Kind.CURRENT, "12.4", "ampere", "compressor", "L2"),
        one(Kind.CURRENT, "12.0", "ampere", "compressor", "L3"),
        one(Kind.CURRENT, "1.2", "ampere", "condenser fan motor"),
        one(Kind.CAPACITANCE, "39.5", "microfarad", "run capacitor"),
        one(Kind.RESISTANCE, "1.1", "ohm", "compressor", "common", "run"),
        one(Kind.RESISTANCE, "3.9", "ohm", "compressor", "common", "start"),
        one(Kind.RESISTANCE, "5.0", "ohm", "compressor", "run", "start"),
        one(Kind.RESISTANCE, "500", "megaohm", "compressor", "common", "ground"),
        one(Kind.VOLTAGE, "0.1", "volt", "contactor", "L1", "T1"),
        one(Kind.PRESSURE, "51", "psi", "suction"),
        one(Kind.PRESSURE, "212", "psi", "discharge"),
        one(Kind.TEMPERATURE, "47", "degF", "suction line"),
        one(Kind.TEMPERATURE, "82", "degF", "liquid line"),
        one(Kind.TEMPERATURE, "160", "degF", "discharge line"),
        one(Kind.TEMPERATURE, "80", "degF", "ambient"),
        one(Kind.TEMPERATURE, "36", "degF", "box"),
        one(Kind.TEMPERATURE, "29", "degF", "discharge air"),
        one(Kind.TEMPERATURE, "37.5", "degF", "product"),
    ]
    assert len(readings) == PER_MACHINE
    return Equipment(name, type="walk-in cooler", refrigerant="R-448A"), readings


def a_visit(count: int) -> tuple[list[Equipment], list[Reading]]:
    machines, readings = [], []
    for number in range(-(-count // PER_MACHINE)):
        machine, found = a_machine(number)
        machines.append(machine)
        readings.extend(found)
    return machines, readings[:count]


def milliseconds(count: int, repeat: int) -> tuple[float, float, int]:
    """Return the median times of judge and plausibility in ms, and how many verdicts came out."""
    machines, readings = a_visit(count)
    verdicts = len(judge(readings, machines).verdicts)
    plausibility(readings, machines)
    judging, doubting = [], []
    for _ in range(repeat):
        start = time.process_time()
        judge(readings, machines)
        judging.append(time.process_time() - start)
        start = time.process_time()
        plausibility(readings, machines)
        doubting.append(time.process_time() - start)
    return statistics.median(judging) * 1e3, statistics.median(doubting) * 1e3, verdicts


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("--repeat", type=int, default=20)
    arguments = parser.parse_args()
    start = time.process_time()
    machines, readings = a_visit(30)
    judge(readings, machines)
    print(f"first visit of 30 readings, tables unread: {(time.process_time() - start) * 1e3:.0f} ms")
    print(f"{'readings':>8} {'judge ms':>9} {'doubts ms':>9} {'verdicts':>8}")
    missed = False
    for count in (30, 100, 300, 1000, 3000):
        judging, doubting, verdicts = milliseconds(count, arguments.repeat)
        print(f"{count:>8} {judging:>9.1f} {doubting:>9.1f} {verdicts:>8}")
        missed |= count == 300 and judging > TARGET_MS
    print(f"target: 300 readings in under {TARGET_MS:.0f} ms: {'missed' if missed else 'kept'}")
    return 1 if missed else 0


if __name__ == "__main__":
    raise SystemExit(main())
