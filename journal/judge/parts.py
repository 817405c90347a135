"""An old part against its replacement, and a company's own rules on single quantities."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reading, Role
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated, undetermined
from journal.judge.capacitors import ALL as CAPACITORS
from journal.judge.check import ANY, NAMEPLATE, OUTSIDE, WITHIN, Case, Check, Decision, Need
from journal.judge.entries import Entry, on_plate
from journal.judge.numbers import clean, in_unit, pressure_in, show, shown
from journal.judge.select import Bench


def _pairs(bench: Bench, check: Check) -> Iterator[Case]:
    """Yield plates said as found and as left, or called old and new, of the same capacitor."""
    for component in CAPACITORS:
        pool = bench.by_key.get((check.needs["old"].kind, Role.NAMEPLATE, component), ())
        old = next((r for r in pool if _is_old(r)), None)
        new = next((r for r in pool if _is_new(r)), None)
        if old is not None and new is not None and old.points == new.points:
            yield bench.case(check, Phase.AS_LEFT, component, {"old": old, "new": new})


def _is_new(reading: Reading) -> bool:
    return reading.phase is Phase.AS_LEFT or any("new" in c or "replacement" in c for c in reading.conditions)


def _is_old(reading: Reading) -> bool:
    return not _is_new(reading)


def _same_size(case: Case) -> Decision:
    old, new = (case.low("old"), case.high("old")), (case.low("new"), case.high("new"))
    formula = f"old {case.show('old')}, new {case.show('new')}"
    if old == new:
        return stated(
            case,
            WITHIN,
            "The new {component} has the old one's capacitance.",
            Authority.NAMEPLATE,
            formula=formula,
            source="the marking of the part it replaces",
        )
    return stated(
        case,
        OUTSIDE,
        f"The new {{component}} is marked {case.show('new')} and the old one {case.show('old')}: see the "
        f"motor's plate for the right one.",
        Authority.NAMEPLATE,
        value=new[1],
        unit="microfarad",
        formula=formula,
        source="the marking of the part it replaces, unless that was wrong already",
    )


SAME_SIZE = Check(
    name="new-capacitor-size",
    title="New capacitor against the old one",
    needs={
        "old": Need(
            Kind.CAPACITANCE, "microfarad", "the marking of the old {component}", roles=(NAMEPLATE,), spans=True
        ),
        "new": Need(
            Kind.CAPACITANCE, "microfarad", "the marking of the new {component}", roles=(NAMEPLATE,), spans=True
        ),
    },
    each=CAPACITORS,
    decide=_same_size,
    gather=_pairs,
    subject="the new {component}",
)


def _same_rating(case: Case) -> Decision:
    old, new = case.number("old"), case.number("new")
    bound = on_plate("volt", low=old, source="the voltage rating of the part it replaces: equal or higher, never lower")
    return judged(case, new, bound, f"new {show(new)} V, old {show(old)} V")


SAME_RATING = Check(
    name="new-capacitor-voltage",
    title="Voltage rating of the new capacitor",
    needs={
        "old": Need(Kind.VOLTAGE, "volt", "the voltage rating of the old {component}", roles=(NAMEPLATE,)),
        "new": Need(Kind.VOLTAGE, "volt", "the voltage rating of the new {component}", roles=(NAMEPLATE,)),
    },
    each=CAPACITORS,
    decide=_same_rating,
    gather=_pairs,
    subject="the voltage rating of the new {component}",
    means={"low": "it will not last at this motor's voltage"},
)


def _company(bench: Bench, check: Check) -> Iterator[Case]:
    """Yield one case for each company rule and the latest reading it is about."""
    for rule in bench.book.rules:
        entry = Entry(f"company.{rule.name}", rule.limit, "company", "", rule.match)
        if not entry.fits(bench.equipment):
            continue
        for phase in bench.phases:
            for reading in bench.by_kind.get((Kind(rule.kind), Role.MEASURED), ()):
                fits = rule.component is None or reading.component == rule.component
                if fits and reading.phase is phase and reading.number is not None:
                    case = bench.case(check, phase, reading.component, {"measured": reading})
                    yield dataclasses.replace(case, choices={"rule": rule.name})
                    break


def _by_rule(case: Case) -> Decision | None:
    rule = next((r for r in case.book.rules if r.name == case.choices.get("rule")), None)
    if rule is None:
        return undetermined(case, "a company rule of the settings by its name, as --rule NAME")
    reading = case.readings["measured"]
    number, unit = reading.value or Decimal(0), reading.unit or rule.limit.unit
    if reading.kind is Kind.PRESSURE:
        value = pressure_in(rule.limit.unit, number, unit, reading.reference, case.around.atmosphere)
    else:
        value = in_unit(number, unit, rule.limit.unit)
    entry = Entry(f"company.{rule.name}", rule.limit, "company", "")
    return judged(case, clean(value), entry, f"{shown(value, rule.limit.unit)} by the rule '{rule.name}'")


COMPANY = Check(
    name="company-rule",
    title="Company rule",
    needs={"measured": Need(Kind.TEMPERATURE, "degF", "the quantity of the rule", components=(ANY,))},
    decide=_by_rule,
    gather=_company,
    subject="the reading at the {component}",
    facts=("rule",),
)

CHECKS = (SAME_SIZE, SAME_RATING, COMPANY)
