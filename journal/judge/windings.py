"""Single-phase windings: order, sum, opens; and the leads they are read with."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import State
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated, undetermined
from journal.judge.check import MARGINAL, OUTSIDE, OWN, WITHIN, Case, Check, Decision, Need, pairs
from journal.judge.numbers import show
from journal.judge.supply import MOTORS

SINGLE_PHASE = ("compressor", None, *MOTORS)


def ohms(
    ask: str,
    points: tuple[frozenset[str], ...] = (),
    *,
    required: bool = True,
    components: tuple[str | None, ...] = (OWN,),
    states: bool = True,
) -> Need:
    return Need(Kind.RESISTANCE, "ohm", ask, points=points, required=required, states=states, components=components)


_PAIRS = {
    "common-run": ohms("common to run", pairs("common run")),
    "common-start": ohms("common to start", pairs("common start")),
    "run-start": ohms("run to start", pairs("run start")),
}


LEADS = Need(
    Kind.RESISTANCE,
    "ohm",
    "the resistance of the meter's leads, tips together",
    components=("wire",),
    said=("lead",),
    required=False,
)


_OPEN = (State.OPEN, State.ABSENT)


def _numbers(case: Case) -> list[Decimal] | None:
    if any(case.state(slot) is not None for slot in _PAIRS):
        return None
    return [case.number(slot) for slot in _PAIRS]


def meter_error(case: Case, *slots: str) -> Decimal:
    """Return what meter and leads may be off: hundredths said mean a fine meter."""
    fine = all(case.grain(slot) < Decimal("0.05") for slot in slots)
    return case.limit("winding-meter.fine" if fine else "winding-meter.coarse").limit.high or Decimal(0)


def _order(case: Case) -> Decision | None:
    numbers = _numbers(case)
    if numbers is None:
        return None
    cr, cs, rs = numbers
    grain = 2 * max(case.grain(slot) for slot in _PAIRS)
    formula = f"common-run {show(cr)}, common-start {show(cs)}, run-start {show(rs)} ohm"
    ordered = sorted(numbers)
    if min(ordered[1] - ordered[0], ordered[2] - ordered[1]) < grain:
        return undetermined(
            case,
            "the three windings with a milliohm meter, leads zeroed",
            formula=formula,
            why="their difference is smaller than the meter can tell",
            authority=Authority.PHYSICS,
        )
    source = "start winding of more resistance than run winding; the highest reading is always across both"
    if cr < cs < rs:
        return stated(
            case,
            WITHIN,
            "The terminals of the {component} are named as its windings show them.",
            Authority.PHYSICS,
            formula=formula,
            source=source,
        )
    highest = max(_PAIRS, key=lambda slot: case.number(slot))
    common = ({"common", "run", "start"} - set(highest.split("-"))).pop()
    lowest = min(_PAIRS, key=lambda slot: case.number(slot))
    run = (set(lowest.split("-")) - {common}).pop()
    return stated(
        case,
        MARGINAL,
        f"The terminals of the {{component}} are misnamed, which is no fault of the motor: common is the "
        f"terminal called "
        f"{common}, run is the one called {run}.",
        Authority.PHYSICS,
        formula=formula,
        source=source,
    )


ORDER = Check(
    name="winding-order",
    title="Order of the windings",
    needs=_PAIRS,
    each=SINGLE_PHASE,
    stands_for="compressor",
    decide=_order,
    subject="the order of the windings of the {component}",
    cautions=("compressor terminals",),
)


def _sum(case: Case) -> Decision | None:
    numbers = _numbers(case)
    if numbers is None:
        return None
    leads = case.number("leads") if case.has("leads") else Decimal(0)
    if min(numbers) < leads:
        return undetermined(case, "the windings again with the leads zeroed", why="a winding reads less than the leads")
    small, middle, high = sorted(number - leads for number in numbers)
    if high <= 0:
        return undetermined(case, "the three windings again", why="they read nothing")
    error = high - (small + middle)
    allowed = meter_error(case, *_PAIRS)
    if leads:  # each reading held the leads once, and they are taken out
        allowed = case.limit("winding-meter.fine").limit.high or allowed
    share = error / high * 100
    entry = case.limit("winding-sum.share")
    formula = f"{show(high)} - ({show(small)} + {show(middle)}) = {show(error, 3)} ohm ({show(share, 2)} %)"
    if abs(error) <= allowed:
        widest = entry.limit.marginal_high or Decimal(10)
        if allowed / high * 100 > widest:
            return undetermined(
                case,
                "the three windings with a milliohm meter, leads zeroed",
                value=share,
                unit="percent",
                why=f"±{show(allowed)} ohm of meter and leads is more than a fault would show",
                formula=formula,
                limits=(entry.limit,),
                authority=Authority.PHYSICS,
            )
        floor = max(entry.limit.high or Decimal(5), allowed / high * 100)
        entry = entry.bounded(
            low=-floor,
            high=floor,
            marginal_low=min(-floor, entry.limit.marginal_low or -floor),
            marginal_high=max(floor, entry.limit.marginal_high or floor),
        )
    return judged(case, share, entry, formula)


SUM = Check(
    name="winding-sum",
    title="Sum of the windings",
    needs={**_PAIRS, "leads": LEADS},
    each=SINGLE_PHASE,
    stands_for="compressor",
    decide=_sum,
    subject="the difference between the highest winding reading of the {component} and the sum of the other two",
    means={
        "within": "the windings add up",
        "marginal": "zero the leads and measure again",
        "low": "turns are shorted or a contact is bad; zero the leads and measure again before drawing conclusions",
        "high": "a contact is bad or a reading is wrong; zero the leads and measure again before drawing conclusions",
    },
    limits=("winding-sum.share", "winding-meter.coarse", "winding-meter.fine"),
    cautions=("compressor terminals",),
)


def _open(case: Case) -> Decision | None:
    opens = [slot for slot in _PAIRS if case.state(slot) in _OPEN]
    if not opens:
        return None
    formula = ", ".join(f"{slot} {case.show(slot)}" for slot in _PAIRS)
    if set(opens) == {"common-run", "common-start"} and case.state("run-start") is None:
        return undetermined(
            case,
            "the windings again after the shell has cooled, which can take more than an hour",
            formula=formula,
            why="common is open and run to start reads: the internal overload may have opened, or the common "
            "connection",
            authority=Authority.PHYSICS,
        )
    if len(opens) == 3:
        return undetermined(
            case,
            "whether the meter was on the right terminals, and the windings again when cool",
            formula=formula,
            why="all three pairs are open",
            authority=Authority.PHYSICS,
        )
    return stated(
        case,
        OUTSIDE,
        f"A winding of the {{component}} is open ({', '.join(opens)}): no current can flow through it.",
        Authority.PHYSICS,
        formula=formula,
        source="an internal line-break overload opens common to both windings and nothing else (Tecumseh "
        "handbook p. 63)",
    )


OPEN = Check(
    name="winding-open",
    title="Open winding or open overload",
    needs=_PAIRS,
    each=SINGLE_PHASE,
    stands_for="compressor",
    decide=_open,
    subject="the windings of the {component}",
    cautions=("compressor terminals",),
)


def _meter_leads(case: Case) -> Decision | None:
    if case.state("measured") is not None:
        return (
            stated(
                case,
                OUTSIDE,
                "The meter's leads are open: nothing they read counts.",
                Authority.PHYSICS,
                formula="open",
                source="no current flows through an open lead",
            )
            if case.state("measured") in _OPEN
            else None
        )
    value = case.number("measured")
    return judged(case, value, case.limit("meter-leads.resistance"), f"{show(value)} ohm, tips together")


METER_LEADS = Check(
    name="meter-leads",
    title="Resistance of the meter's leads",
    needs={
        "measured": Need(
            Kind.RESISTANCE,
            "ohm",
            "the resistance of the leads, tips together",
            components=("wire",),
            said=("lead",),
            states=True,
        )
    },
    decide=_meter_leads,
    subject="the resistance of the meter's leads",
    means={"marginal": "take it off every small resistance (zero the meter)", "high": "the leads are worn out"},
    limits=("meter-leads.resistance",),
)

CHECKS = (
    METER_LEADS,
    ORDER,
    SUM,
    OPEN,
)
