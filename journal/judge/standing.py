"""The standing-pressure test with dry nitrogen, and recovery before a circuit is opened."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Role
from journal.domain.verdict import Authority
from journal.judge.answers import judged, place, undetermined
from journal.judge.check import NAMEPLATE, WITHIN, Case, Check, Decision, Need
from journal.judge.entries import on_plate
from journal.judge.evacuation import _minutes
from journal.judge.formulas import pressure_at
from journal.judge.numbers import show
from journal.judge.records import recovery_rule
from journal.judge.select import Bench, fits


def _standing(case: Case) -> Decision:
    start = case.psia("start")
    minutes = _minutes(case, "end") if case.has("end") else _minutes(case, "start")
    if case.has("low side plate") and case.number("start") > case.number("low side plate"):
        bound = on_plate(
            "psi", high=case.number("low side plate"), source="low-side design or test pressure of the plate"
        )
        return judged(
            case,
            case.number("start"),
            bound,
            f"{show(case.number('start'))} psig of nitrogen",
            subject="the test pressure",
            means={"high": "more than the low side is made for"},
        )
    end = case.psia("end") if case.has("end") else start
    expected, note = start, ""
    if case.has("start temperature", "end temperature"):
        expected = pressure_at(start, case.number("start temperature"), case.number("end temperature"))
    else:
        note = "temperatures were not said"
    loss = (expected - end).quantize(Decimal("0.01"))
    air = case.psia("start") - case.number("start")
    formula = (
        f"{show(case.number('start'))} psig would be {show(expected - air)} psig now, reads "
        f"{show(end - air)}: {show(loss, 2)} psi lost"
    )
    if minutes is not None:
        formula += f" in {show(minutes, 3)} min"
    entry = case.limit("standing-test.loss")
    shortest = case.limit("standing-test.minutes").limit.low or Decimal(15)
    if place(loss, entry.limit)[0] is WITHIN and (minutes is None or minutes < shortest):
        return undetermined(
            case,
            f"the pressure after {show(shortest)} minutes or more",
            value=loss,
            unit="psi",
            formula=formula,
            why="how long it was held was not said" if minutes is None else "so short a hold proves big leaks only",
        )
    held = (
        ""
        if minutes is None
        else (
            f"held {show(minutes, 3)} min at {show(case.number('start'))} psig; the system's volume was not "
            f"said, and short holds prove big leaks only"
        )
    )
    return judged(case, loss, entry, formula, note="; ".join(part for part in (held, note) if part))


def _nitrogen(ask: str, *, said: tuple[str, ...] = (), unsaid: tuple[str, ...] = (), required: bool = True) -> Need:
    return Need(Kind.PRESSURE, "psi", ask, components=("nitrogen",), said=said, unsaid=unsaid, required=required)


def _standings(bench: Bench, check: Check) -> Iterator[Case]:
    for phase in bench.phases:
        pool = bench.by_key.get((Kind.PRESSURE, Role.MEASURED, "nitrogen"), ())
        found = [r for r in pool if r.phase is phase and fits(check.needs["start"], r)]
        if not found:
            continue
        slots = {"start": found[-1]}
        if len(found) > 1:
            slots["end"] = found[0]
        for slot in ("start temperature", "end temperature", "low side plate", "minutes"):
            other = next(bench.candidates(check.needs[slot], phase, None), None)
            if other is not None:
                slots[slot] = other
        yield bench.case(check, phase, None, slots)


STANDING = Check(
    name="standing-pressure",
    title="Standing-pressure test",
    needs={
        "start": _nitrogen("the pressure at the start"),
        "end": _nitrogen("the pressure at the end", required=False),
        "start temperature": Need(
            Kind.TEMPERATURE,
            "degF",
            "the temperature at the start",
            components=("nitrogen",),
            said=("start", "before"),
            required=False,
        ),
        "end temperature": Need(
            Kind.TEMPERATURE,
            "degF",
            "the temperature at the end",
            components=("nitrogen",),
            said=("end", "after"),
            required=False,
        ),
        "minutes": Need(Kind.DURATION, "minute", "how long it stood", components=("nitrogen",), required=False),
        "low side plate": Need(
            Kind.PRESSURE,
            "psi",
            "the low-side pressure on the plate",
            roles=(NAMEPLATE,),
            components=("suction", "evaporator", "suction line"),
            required=False,
        ),
    },
    decide=_standing,
    gather=_standings,
    subject="the loss of test pressure",
    means={
        "high": "it leaks; look with solution or an electronic detector",
        "low": "more than the temperature explains: it was not yet settled",
    },
    limits=("standing-test.loss", "standing-test.minutes"),
    cautions=("nitrogen",),
)


def _recovery(case: Case) -> Decision:
    charge = case.number("charge") if case.has("charge") else _plated(case)
    rule = recovery_rule(case.refrigerant or "", charge, old_machine=case.choices.get("machine", "").startswith("old"))
    if rule.required is None:
        return undetermined(case, rule.ask, why=rule.why, authority=Authority.REGULATION)
    air = case.psia("measured") - case.number("measured")
    vacuum = (air - case.psia("measured")) * Decimal("2.036")
    vacuum = vacuum.quantize(Decimal("0.1")) + 0
    bound = case.limit("recovery.level")
    bound = bound.bounded(low=max(rule.required, bound.limit.low or Decimal(0)))
    return judged(
        case,
        vacuum,
        bound,
        f"{show(vacuum)} inHg of vacuum; {rule.why} asks {show(rule.required)} inHg",
        note="the regulation in force at the place goes first",
    )


def _plated(case: Case) -> Decimal | None:
    machine = case.equipment
    if machine is None or machine.charge is None or machine.charge_unit is None:
        return None
    from journal.judge.numbers import in_unit

    return in_unit(machine.charge, machine.charge_unit, "pound")


RECOVERY = Check(
    name="recovery-level",
    title="Recovery before opening",
    needs={
        "measured": Need(
            Kind.PRESSURE,
            "psi",
            "the pressure of the system at the end of recovery",
            components=("system charge", "suction", "discharge", "vacuum", "condensing unit", "compressor", None),
            said=("recover",),
        ),
        "charge": Need(
            Kind.MASS,
            "pound",
            "the full charge",
            roles=(NAMEPLATE,),
            components=("system charge", None),
            required=False,
        ),
    },
    decide=_recovery,
    subject="the vacuum reached by recovery",
    means={"low": "recover on before the circuit is opened"},
    limits=("recovery.level",),
    facts=("refrigerant", "machine"),
    cautions=("refrigerant handling",),
)

CHECKS = (
    STANDING,
    RECOVERY,
)
