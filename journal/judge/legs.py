"""Three legs of one motor: unbalance of their currents, and a phase that is lost."""

from __future__ import annotations

from decimal import Decimal

from journal.judge.answers import judged, place, undetermined
from journal.judge.check import (
    WITHIN,
    Case,
    Check,
    Decision,
    Need,
    pairs,
)  # fmt: skip
from journal.judge.currents import COMPRESSORS, current
from journal.judge.formulas import unbalance
from journal.judge.numbers import show
from journal.judge.select import legs
from journal.judge.supply import MOTORS


def _leg(name: str) -> Need:
    return current(f"the current in {name.upper()}", points=pairs(name.upper(), name.upper().replace("L", "T")))


_LEGS = {"l1": _leg("l1"), "l2": _leg("l2"), "l3": _leg("l3")}


def _current_unbalance(case: Case) -> Decision | None:
    amps = [case.number(slot) for slot in _LEGS]
    average = sum(amps, Decimal(0)) / 3
    if average <= 0:
        return undetermined(case, "the three currents with the compressor running")
    if place(min(amps) / max(amps) * 100, case.limit("lost-phase.dead-leg").limit)[0] is not WITHIN:
        return None  # the check of a lost phase speaks
    percent = unbalance(amps)
    entry = case.best("current-unbalance") or case.limit("current-unbalance.compressor")
    farthest = max(amps, key=lambda a: abs(a - average))
    return judged(
        case, percent, entry, f"100 x |{show(farthest)} - {show(average)}| / {show(average)} = {show(percent, 3)} %"
    )


UNBALANCE = Check(
    name="current-unbalance",
    title="Current unbalance at the compressor's leads",
    needs=_LEGS,
    each=(*COMPRESSORS, "pump"),
    stands_for="compressor",
    decide=_current_unbalance,
    gather=legs,
    subject="the current unbalance between the legs",
    means={
        "high": "move all three leads one place on: what stays with the line is the supply, what moves with the "
        "lead is the "
        "motor; single-phase fans or controls on one leg fake it",
    },
    limits=("current-unbalance.compressor", "current-unbalance.carlyle", "current-unbalance.pump"),
    cautions=("live measuring",),
)


def _lost_phase(case: Case) -> Decision | None:
    amps = {slot: case.number(slot) for slot in _LEGS}
    largest = max(amps.values())
    if largest <= 1:
        return None
    lost = min(amps, key=lambda slot: amps[slot])
    share = amps[lost] / largest * 100
    entry = case.limit("lost-phase.dead-leg")
    if place(share, entry.limit)[0] is WITHIN:
        return None
    others = [show(a) for slot, a in amps.items() if slot != lost]
    return judged(
        case,
        share,
        entry,
        f"{lost.upper()} {show(amps[lost])} A, the others {' and '.join(others)} A",
        subject=f"the current in {lost.upper()}, as a share of the largest leg,",
    )


LOST_PHASE = Check(
    name="lost-phase",
    title="Lost phase",
    needs=_LEGS,
    each=(*COMPRESSORS, *MOTORS),
    stands_for="compressor",
    decide=_lost_phase,
    gather=legs,
    subject="the weakest leg",
    means={
        "low": "a phase is lost and the others carry about 1.7 times their share; stop it and look at fuses, "
        "contacts and wires"
    },
    limits=("lost-phase.dead-leg",),
    cautions=("live measuring",),
)

CHECKS = (
    UNBALANCE,
    LOST_PHASE,
)
