"""Winding, heater and wire to ground.  An ohmmeter finds a dead ground; that there is none it cannot tell."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role, State
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated, undetermined, worst_of
from journal.judge.check import NAMEPLATE, OUTSIDE, OWN, WITHIN, Case, Check, Decision, Need
from journal.judge.entries import Entry
from journal.judge.formulas import insulation_at_40
from journal.judge.numbers import show, shown
from journal.judge.select import Bench, fits
from journal.judge.supply import MOTORS

HEATERS = ("defrost heater", "drain heater", "door heater", "crankcase heater", "heater")
PARTS = ("compressor", None, *MOTORS, *HEATERS)
_WINDING_POINTS = {"common", "run", "start", "L1", "L2", "L3", "T1", "T2", "T3"}
_TESTER = ("meg", "insulation", "hi-pot", "hipot", "500 v", "500v", "1000 v")


def _to_ground(reading: Reading) -> bool:
    return "ground" in reading.points


def _proving(case: Case, slot: str) -> bool:
    """Return whether a reading came from an insulation tester, by its instrument or conditions."""
    reading = case.readings[slot]
    text = " ".join((reading.instrument or "", *reading.conditions)).lower()
    return any(word in text for word in _TESTER)


def _gather(bench: Bench, check: Check) -> Iterator[Case]:
    for phase in bench.phases:
        for component in PARTS:
            pool = bench.by_key.get((Kind.RESISTANCE, Role.MEASURED, component), ())
            latest: dict[frozenset[str], Reading] = {}
            for reading in pool:
                if reading.phase is phase and _to_ground(reading) and fits(check.needs["measured"], reading):
                    latest.setdefault(frozenset(reading.points), reading)
            if not latest or (component is None and not any(p & _WINDING_POINTS for p in latest)):
                continue
            own = component or "compressor"
            slots = dict(zip(("measured", "second", "third"), latest.values(), strict=False))
            for slot in ("voltage", "temperature"):
                found = next(bench.candidates(check.needs[slot], phase, own), None)
                if found is not None:
                    slots[slot] = found
            yield bench.case(check, phase, own, slots)


def _entry(case: Case) -> Entry:
    entry = case.best("insulation") or case.limit("insulation.usual")
    if entry.key == "insulation.copeland" and case.has("voltage"):
        by_volt = case.high("voltage") / 1000
        entry = entry.bounded(low=max(entry.limit.low or Decimal(0), by_volt))
    return entry


def _insulation(case: Case) -> Decision:
    slots = [slot for slot in ("measured", "second", "third") if case.has(slot)]
    slots.sort(key=lambda slot: case.number(slot) if case.state(slot) is None else Decimal(0))
    decisions = [_one(case, slot) for slot in slots]
    worst = worst_of(decisions)
    formula = "; ".join(dict.fromkeys(d.formula for d in decisions if d.formula))
    return Decision(
        worst.outcome,
        worst.plain,
        worst.authority,
        worst.value,
        worst.unit,
        formula,
        worst.limits,
        worst.source,
        worst.missing,
        worst.cautions,
    )


def _one(case: Case, slot: str) -> Decision:
    reading = case.readings[slot]
    where = "-".join(reading.points)
    formula = f"{where} {case.show(slot)}".strip()
    if reading.state is not None:
        return _by_state(case, slot, reading.state, formula)
    ohm = case.number(slot)
    dead = case.limit("dead-ground.any")
    if dead.limit.low is not None and ohm < dead.limit.low:
        return judged(
            case, ohm, dead, formula, cautions=("compressor terminals",) if case.component == "compressor" else ()
        )
    megohm = ohm / 10**6
    entry = _entry(case)
    note = ""
    if entry.key == "insulation.open-motor" and case.has("temperature"):
        celsius = (case.number("temperature") - 32) / Decimal("1.8")
        megohm = insulation_at_40(megohm, celsius)
        formula += f" at {show(celsius, 3)} °C = {show(megohm)} MΩ at 40 °C"
    if entry.key == "insulation.copeland":
        note = "one reading does not condemn; disconnect everything else and watch it over months"
    decision = judged(case, megohm, entry, formula, note=note)
    if decision.outcome is not OUTSIDE and not _proving(case, slot):
        return undetermined(
            case,
            "the insulation at 500 V DC, and which instrument read this",
            value=megohm,
            unit="megaohm",
            why="no dead ground found; an ohmmeter does not prove insulation",
            formula=formula,
            limits=decision.limits,
            authority=entry.limit.authority,
        )
    return decision


def _by_state(case: Case, slot: str, state: State, formula: str) -> Decision:
    if state in (State.SHORT, State.CONTINUITY):
        return stated(
            case,
            OUTSIDE,
            "The {component} has a dead ground: its windings touch the metal.",
            Authority.PHYSICS,
            formula=formula,
            source="a sound winding does not touch its shell",
            cautions=("compressor terminals",) if case.component == "compressor" else (),
        )
    if _proving(case, slot):
        return stated(
            case,
            WITHIN,
            "The insulation of the {component} reads above the range of the tester.",
            _entry(case).limit.authority,
            formula=formula,
            source=_entry(case).limit.source,
            limits=(_entry(case).limit,),
        )
    return undetermined(
        case,
        "the insulation at 500 V DC",
        why="no dead ground found; insulation not proven",
        formula=formula,
        authority=Authority.PHYSICS,
    )


_GROUND = Need(Kind.RESISTANCE, "ohm", "the {component} to ground with an insulation tester", states=True)
TO_GROUND = Check(
    name="winding-to-ground",
    title="Insulation of the {component} to ground",
    needs={
        "measured": _GROUND,
        "second": Need(Kind.RESISTANCE, "ohm", "the next terminal to ground", required=False, states=True),
        "third": Need(Kind.RESISTANCE, "ohm", "the last terminal to ground", required=False, states=True),
        "voltage": Need(
            Kind.VOLTAGE,
            "volt",
            "the rated voltage",
            roles=(NAMEPLATE,),
            components=(OWN, None, "condensing unit"),
            required=False,
            spans=True,
        ),
        "temperature": Need(Kind.TEMPERATURE, "degF", "the winding's temperature", components=(OWN,), required=False),
    },
    each=PARTS,
    decide=_insulation,
    gather=_gather,
    subject="the insulation of the {component} to ground",
    means={
        "low": "current leaks to the metal; wires, contactor and relays off first, then measure again",
        "marginal": "watch it: moisture or dirt; oil and acid test, new drier",
    },
    remedy={"low": "do not put it back under power"},
    limits=(
        "insulation.usual",
        "insulation.copeland",
        "insulation.tecumseh",
        "insulation.carrier-centrifugal",
        "insulation.open-motor",
        "insulation.heater",
        "dead-ground.any",
    ),
    facts=("maker",),
    cautions=("insulation test",),
)


def _absorption(case: Case) -> Decision:
    ten, sixty = case.number("ten seconds"), case.number("sixty seconds")
    entry = case.limit("absorption.carrier-centrifugal")
    return judged(
        case, sixty / ten * 100, entry, f"{shown(sixty, 'megaohm')} / {shown(ten, 'megaohm')} = {show(sixty / ten, 3)}"
    )


ABSORPTION = Check(
    name="insulation-absorption",
    title="Insulation after ten and sixty seconds",
    needs={
        "ten seconds": Need(
            Kind.RESISTANCE, "megaohm", "the insulation after ten seconds", said=("10 s", "ten seconds")
        ),
        "sixty seconds": Need(
            Kind.RESISTANCE,
            "megaohm",
            "the insulation after sixty seconds",
            said=("60 s", "sixty seconds", "one minute", "1 minute"),
        ),
    },
    each=("compressor", *MOTORS),
    decide=_absorption,
    subject="the insulation after sixty seconds, as a share of that after ten,",
    means={"low": "it should not fall while the tester stays on: moisture"},
    limits=("absorption.carrier-centrifugal",),
    cautions=("insulation test",),
)

CHECKS = (TO_GROUND, ABSORPTION)
