"""Refrigerant added and recovered, leak rates by both methods, charges."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Reading, Role
from journal.domain.verdict import Authority
from journal.judge import records, refrigerants
from journal.judge.answers import judged, stated, undetermined
from journal.judge.check import ANY, MARGINAL, NAMEPLATE, WITHIN, Case, Check, Decision, Need
from journal.judge.entries import Entry, words_of
from journal.judge.formulas import leak_rate_annualized, leak_rate_rolling
from journal.judge.numbers import in_unit, show
from journal.judge.select import Bench

CHARGE = Need(
    Kind.MASS, "pound", "the full charge", roles=(NAMEPLATE,), components=("system charge", "condensing unit", None)
)


def pounds_and_ounces(pounds: Decimal) -> str:
    """Return a weight as it is said.

    >>> pounds_and_ounces(Decimal("8.3125"))
    '8 lb 5 oz'
    """
    whole = int(abs(pounds))
    ounces = ((abs(pounds) - whole) * 16).quantize(Decimal("0.1"))
    if ounces >= 16:
        whole, ounces = whole + 1, ounces - 16
    sign = "-" if pounds < 0 else ""
    return f"{sign}{whole} lb {show(ounces)} oz"


def _balance(case: Case) -> Decision:
    change = case.number("before") - case.number("after")
    what = "added" if change >= 0 else "recovered"
    formula = (
        f"{pounds_and_ounces(case.number('before'))} - {pounds_and_ounces(case.number('after'))} = "
        f"{pounds_and_ounces(change)}"
    )
    if case.has("charge") and abs(change) > case.number("charge"):
        return stated(
            case,
            MARGINAL,
            f"The cylinder changed by {pounds_and_ounces(abs(change))}, which is more than the whole charge of "
            f"{pounds_and_ounces(case.number('charge'))}: read the scale again.",
            Authority.PHYSICS,
            value=change,
            unit="pound",
            formula=formula,
            source="a circuit takes no more than it holds",
        )
    return stated(
        case,
        WITHIN,
        f"By the scale {pounds_and_ounces(abs(change))} of refrigerant were {what}.",
        Authority.PHYSICS,
        value=change,
        unit="pound",
        formula=formula,
        source="weight of the cylinder before and after",
    )


def _cylinders(bench: Bench, check: Check) -> Iterator[Case]:
    for phase in bench.phases:
        pool = [
            r
            for r in bench.by_key.get((Kind.MASS, Role.MEASURED, "cylinder"), ())
            if r.phase is phase and r.number is not None
        ]
        if len(pool) < 2:
            continue
        slots: dict[str, Reading] = {
            "before": _told(pool, "before") or pool[-1],
            "after": _told(pool, "after") or pool[0],
        }
        charge = next(bench.candidates(CHARGE, phase, None), None)
        if charge is not None:
            slots["charge"] = charge
        yield bench.case(check, phase, None, slots)


def _told(pool: list[Reading], word: str) -> Reading | None:
    return next((r for r in pool if any(word in c for c in r.conditions)), None)


BALANCE = Check(
    name="refrigerant-balance",
    title="Refrigerant by the scale",
    needs={
        "before": Need(Kind.MASS, "pound", "the cylinder before", components=("cylinder",)),
        "after": Need(Kind.MASS, "pound", "the cylinder after", components=("cylinder",)),
        "charge": Need(
            Kind.MASS, "pound", "the full charge", roles=(NAMEPLATE,), components=("system charge",), required=False
        ),
    },
    decide=_balance,
    gather=_cylinders,
    subject="the refrigerant by the scale",
    cautions=("refrigerant handling",),
)


def _threshold(case: Case, charge: Decimal) -> tuple[Entry | None, str]:
    """Return the limit on the leak rate and why, or none with what to ask."""
    day = case.around.on
    if day is None:
        return None, "the date of the addition"
    sector = case.choices.get("sector") or records.sector_of(words_of(case.equipment))
    if sector not in records.SECTORS:
        return None, f"the sector: {', '.join(records.SECTORS)}"
    rule = records.leak_rule(case.refrigerant or "", charge, day)
    company = case.best("leak-rate")
    if company is not None and company.limit.authority is Authority.COMPANY and company.match:
        return company, company.limit.source
    if rule is None:
        return None, (
            f"the rule in force at the place: no federal one asks for action on {case.refrigerant} and "
            f"{show(charge)} lb on {day.isoformat()}"
        )
    entry = case.limit(f"leak-rate.{sector.replace(' ', '-')}")
    if entry.limit.authority is not Authority.COMPANY:
        entry = entry.bounded(
            source=f"{rule.name} ({rule.source}): {show(entry.limit.high or Decimal(0))} % for {sector}"
        )
    return entry, rule.name


def _judge_rate(case: Case, rate: Decimal, charge: Decimal, formula: str) -> Decision:
    entry, reason = _threshold(case, charge)
    if entry is None:
        return undetermined(case, reason, value=rate, unit="percent", formula=formula, authority=Authority.REGULATION)
    return judged(case, rate, entry, formula, note=f"by {reason}; the regulation in force at the place goes first")


def _annualized(case: Case) -> Decision:
    added, charge = case.number("added"), case.number("charge")
    days = case.number("days") if case.has("days") else Decimal(365)
    rate = leak_rate_annualized(added, charge, days)
    formula = f"{show(added)} / {show(charge)} lb x 365 / min({show(days)}, 365) days = {show(rate, 3)} %"
    return _judge_rate(case, rate, charge, formula)


def _rolling(case: Case) -> Decision:
    amounts = [case.number(slot) for slot in ("added", "second", "third", "fourth") if case.has(slot)]
    charge = case.number("charge")
    rate = leak_rate_rolling(amounts, charge)
    formula = f"({' + '.join(show(a) for a in amounts)}) / {show(charge)} lb = {show(rate, 3)} %"
    return _judge_rate(case, rate, charge, formula)


_ADDED = Need(
    Kind.MASS, "pound", "the refrigerant added", components=("system charge", "cylinder", None), said=("added",)
)
_RATE_MEANS = {
    "high": "the leak has to be repaired and verified within the time the rule sets (30 days; 120 with a "
    "process shutdown)",
}
ANNUALIZED = Check(
    name="leak-rate-annualized",
    title="Leak rate, annualizing method",
    needs={
        "added": _ADDED,
        "charge": CHARGE,
        "days": Need(
            Kind.DURATION,
            "day",
            "the days since the last addition",
            components=(ANY,),
            said=("last addition", "since"),
            required=False,
        ),
    },
    decide=_annualized,
    subject="the annualized leak rate",
    means=_RATE_MEANS,
    limits=("leak-rate.industrial-process", "leak-rate.commercial-refrigeration", "leak-rate.comfort-cooling"),
    facts=("refrigerant", "sector", "type"),
)
ROLLING = Check(
    name="leak-rate-rolling",
    title="Leak rate, rolling average",
    needs={
        "added": _ADDED,
        "charge": CHARGE,
        "second": Need(
            Kind.MASS,
            "pound",
            "another addition of the last 365 days",
            components=(ANY,),
            said=("earlier addition",),
            required=False,
        ),
        "third": Need(
            Kind.MASS,
            "pound",
            "another addition of the last 365 days",
            components=(ANY,),
            said=("third addition",),
            required=False,
        ),
        "fourth": Need(
            Kind.MASS,
            "pound",
            "another addition of the last 365 days",
            components=(ANY,),
            said=("fourth addition",),
            required=False,
        ),
    },
    decide=_rolling,
    subject="the rolling leak rate",
    means=_RATE_MEANS,
    limits=ANNUALIZED.limits,
    facts=("refrigerant", "sector", "type"),
    almost=0,
)


def _report(case: Case) -> Decision:
    rate = case.number("added") / case.number("charge") * 100
    return judged(
        case,
        rate,
        case.limit("leak-report.calendar-year"),
        f"{show(case.number('added'))} / {show(case.number('charge'))} lb = {show(rate, 3)} %",
        note="the regulation in force at the place goes first",
    )


REPORT = Check(
    name="leak-report",
    title="Additions of a calendar year",
    needs={
        "added": Need(
            Kind.MASS, "pound", "all additions of the calendar year", components=(ANY,), said=("calendar year",)
        ),
        "charge": CHARGE,
    },
    decide=_report,
    subject="the additions of the calendar year, of the full charge,",
    means={"high": "a report is due by 1 March"},
    limits=("leak-report.calendar-year",),
)


def _weighed_in(case: Case) -> Decision:
    value, plate = case.number("measured"), case.number("charge")
    return judged(
        case,
        value,
        case.limit("charge.plate").around(plate, "pound"),
        f"{pounds_and_ounces(value)} of {pounds_and_ounces(plate)} on the plate",
    )


WEIGHED = Check(
    name="charge-against-plate",
    title="Charge weighed in against the plate",
    needs={
        "measured": Need(
            Kind.MASS, "pound", "the charge weighed in", components=("system charge",), said=("weighed in", "charged")
        ),
        "charge": CHARGE,
    },
    decide=_weighed_in,
    subject="the charge weighed in",
    means={
        "low": "less than the plate; long lines want more",
        "high": "more than the plate; long lines may explain it",
    },
    limits=("charge.plate",),
)


def _flammable(case: Case) -> Decision | None:
    entry = refrigerants.known(case.refrigerant or "")
    if entry is None or entry.group != "A3":
        return None
    grams = in_unit(case.number("charge"), "pound", "gram").quantize(Decimal("0.1"))
    return judged(case, grams, case.limit("flammable-charge.closed"), f"{show(grams)} g of {entry.name}")


FLAMMABLE = Check(
    name="flammable-charge",
    title="Charge of a flammable refrigerant",
    needs={"charge": CHARGE},
    decide=_flammable,
    subject="the charge of flammable refrigerant",
    means={"marginal": "permitted in open appliances only", "high": "more than a self-contained cabinet may hold"},
    limits=("flammable-charge.closed",),
    facts=("refrigerant",),
    cautions=("flammable refrigerant",),
)

CHECKS = (BALANCE, ANNUALIZED, ROLLING, REPORT, WEIGHED, FLAMMABLE)
