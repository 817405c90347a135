"""Evacuation and its decay."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reading, Role
from journal.domain.verdict import Authority
from journal.judge.answers import judged, place, stated, undetermined
from journal.judge.check import MARGINAL, OUTSIDE, Case, Check, Decision, Need
from journal.judge.numbers import show, shown
from journal.judge.select import Bench, fits

ISOLATED = ("isolated", "valved off", "after", "decay", "hold", "held", "standing")


_VACUUM = ("vacuum", "system charge", "suction", "condensing unit", None)


def _level(case: Case) -> Decision:
    microns = case.number("measured")
    entry = case.best("evacuation") or case.limit("evacuation.level")
    return judged(case, microns, entry, f"{show(microns)} microns = {show(microns / 25400, 3)} inHg absolute")


def micron(ask: str, *, said: tuple[str, ...] = (), unsaid: tuple[str, ...] = (), required: bool = True) -> Need:
    return Need(Kind.PRESSURE, "micron_Hg", ask, components=_VACUUM, said=said, unsaid=unsaid, required=required)


def _after(reading: Reading) -> bool:
    return reading.held_for is not None or any(word in c for c in reading.conditions for word in ISOLATED)


def _vacuums(bench: Bench, phase: Phase) -> list[Reading]:
    """Return the readings of a deep vacuum, the latest first."""
    found = []
    for component in _VACUUM:
        for reading in bench.by_key.get((Kind.PRESSURE, Role.MEASURED, component), ()):
            deep = reading.unit in ("micron_Hg", "mm_Hg") or component == "vacuum"
            if reading.phase is phase and deep and fits(LEVEL.needs["measured"], reading):
                found.append(reading)
    return sorted(found, key=lambda r: -bench.order[id(r)])


def _levels(bench: Bench, check: Check) -> Iterator[Case]:
    for phase in bench.phases:
        before = [r for r in _vacuums(bench, phase) if not _after(r)]
        if before:
            yield bench.case(check, phase, None, {"measured": before[0]})


LEVEL = Check(
    name="evacuation",
    title="Depth of the vacuum",
    needs={"measured": micron("the vacuum at the system, away from the pump")},
    decide=_level,
    gather=_levels,
    subject="the vacuum",
    means={
        "high": "keep pulling: moisture or a leak holds it up",
        "marginal": "deep enough for some makers, not for all; the gauge belongs far from the pump",
        "within": "the decay decides, not the depth",
    },
    limits=("evacuation.level", "evacuation.lennox", "evacuation.poe"),
    facts=("maker", "type"),
    cautions=("vacuum",),
)


def _decays(bench: Bench, check: Check) -> Iterator[Case]:
    for phase in bench.phases:
        found = _vacuums(bench, phase)
        after = next((r for r in found if _after(r)), None)
        if after is None:
            continue
        slots = {"after": after}
        start = next((r for r in found if not _after(r) and bench.order[id(r)] < bench.order[id(after)]), None)
        if start is not None:
            slots["isolated"] = start
        minutes = next(bench.candidates(check.needs["minutes"], phase, None), None)
        if minutes is not None:
            slots["minutes"] = minutes
        yield bench.case(check, phase, None, slots)


def _minutes(case: Case, slot: str) -> Decimal | None:
    held = case.readings[slot].held_for
    if held is not None:
        return held / 60
    return case.number("minutes") if case.has("minutes") else None


def _decay(case: Case) -> Decision:
    after = case.number("after")
    minutes = _minutes(case, "after")
    start = case.number("isolated") if case.has("isolated") else None
    formula = " -> ".join(
        part for part in (f"{show(start)} microns" if start is not None else "", f"{show(after)} microns") if part
    )
    if minutes is not None:
        formula += f" in {show(minutes, 3)} min"
    leak = case.limit("decay.leak")
    if place(after, leak.limit)[0] is OUTSIDE:
        return judged(case, after, leak, formula, means={"high": "it leaks; find it with nitrogen first"})
    shortest = case.limit("decay.minutes").limit.low or Decimal(10)
    if minutes is None or minutes < shortest:
        return undetermined(
            case,
            f"the vacuum after {show(shortest)} minutes of isolation",
            value=after,
            unit="micron_Hg",
            formula=formula,
            why="it was held for too short a time" if minutes is not None else "how long it was held was not said",
        )
    if after > 1000 and case.moving("after"):
        return judged(case, after, leak.bounded(high=Decimal(1000)), formula, means={"high": "it keeps rising: a leak"})
    entry = case.limit("decay.held")
    if after > (entry.limit.marginal_high or Decimal(1000)):
        return stated(
            case,
            MARGINAL,
            f"The vacuum rose to {shown(after, 'micron_Hg')}: moisture, gas leaving the oil or a small leak; a "
            f"pressure test with "
            "nitrogen tells them apart.",
            Authority.PRACTICE,
            value=after,
            unit="micron_Hg",
            formula=formula,
            limits=(leak.limit,),
        )
    return judged(case, after, entry, formula)


DECAY = Check(
    name="vacuum-decay",
    title="Rise of the vacuum after isolation",
    needs={
        "after": micron("the vacuum after ten minutes of isolation"),
        "isolated": micron("the vacuum when it was isolated", required=False),
        "minutes": Need(
            Kind.DURATION,
            "minute",
            "how long it was isolated",
            components=("vacuum", None),
            said=ISOLATED,
            required=False,
        ),
    },
    decide=_decay,
    gather=_decays,
    subject="the vacuum after isolation",
    means={
        "within": "tight and dry as far as this test can tell",
        "marginal": "gas leaving the oil after a repair does the same; a pressure test comes first",
    },
    limits=("decay.held", "decay.leak", "decay.minutes"),
    cautions=("vacuum",),
)

CHECKS = (
    LEVEL,
    DECAY,
)
