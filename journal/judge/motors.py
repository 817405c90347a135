"""Three-phase windings, windings against the data book, coils."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import State
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated, undetermined
from journal.judge.check import EXPECTED, NAMEPLATE, OUTSIDE, Case, Check, Decision, Need, pairs
from journal.judge.formulas import copper_at, deviation
from journal.judge.numbers import show, shown
from journal.judge.supply import MOTORS
from journal.judge.windings import _OPEN, meter_error, ohms

_PHASES = {
    "t1-t2": ohms("T1 to T2", pairs("T1 T2", "L1 L2")),
    "t2-t3": ohms("T2 to T3", pairs("T2 T3", "L2 L3")),
    "t1-t3": ohms("T1 to T3", pairs("T1 T3", "L1 L3")),
}


def _three_phase(case: Case) -> Decision:
    formula = ", ".join(f"{slot.upper()} {case.show(slot)}" for slot in _PHASES)
    opens = [slot for slot in _PHASES if case.state(slot) in _OPEN]
    if len(opens) == 3:
        return undetermined(
            case,
            "the windings again after the shell has cooled, which can take more than an hour",
            formula=formula,
            why="all three pairs are open: the internal protector may have opened",
            authority=Authority.PHYSICS,
        )
    if opens:
        return stated(
            case,
            OUTSIDE,
            "A winding of the {component} is open.",
            Authority.PHYSICS,
            formula=formula,
            source="two of three pairs cannot be open by a protector that opens all three",
        )
    if any(case.state(slot) is not None for slot in _PHASES):
        return undetermined(case, "the three pairs in ohms", formula=formula)
    values = [case.number(slot) for slot in _PHASES]
    average = sum(values, Decimal(0)) / 3
    if average <= 0:
        return undetermined(case, "the three pairs again", why="they read nothing")
    farthest = max(values, key=lambda v: abs(v - average))
    share = deviation(farthest, average)
    entry = case.limit("three-phase-windings.share")
    error = 2 * max(case.grain(slot) for slot in _PHASES)
    formula += f"; {show(farthest)} of {show(average)} on average: {show(share, 3)} %"
    return judged(
        case,
        share,
        entry,
        formula,
        grain=error / average * 100,
        finer="the three pairs with a milliohm meter, leads zeroed",
    )


THREE_PHASE = Check(
    name="three-phase-windings",
    title="Windings of a three-phase motor",
    needs=_PHASES,
    each=("compressor", None, *MOTORS),
    stands_for="compressor",
    decide=_three_phase,
    subject="the winding of the {component} that strays farthest from the average",
    means={
        "low": "zero the leads and measure again before drawing conclusions",
        "high": "look for a bad connection, then measure again",
    },
    limits=("three-phase-windings.share",),
    cautions=("compressor terminals",),
)


def _against_data(case: Case) -> Decision | None:
    if case.state("measured") is not None or case.readings["data"].number is None:
        return None  # 'better than two megs' is no data book
    if frozenset(case.readings["measured"].points) != frozenset(case.readings["data"].points):
        return None
    value, data = case.number("measured"), case.number("data")
    if case.has("temperature"):
        celsius = (case.number("temperature") - 32) / Decimal("1.8")
        wanted = copper_at(data, Decimal(25), celsius)
        note = f"{show(data)} ohm at 77 °F is {show(wanted)} ohm at {show(case.number('temperature'))} °F"
    else:
        wanted, note = data, f"{show(data)} ohm in the data, winding taken at 77 °F"
    entry = case.limit("winding-data.share").around(wanted, "ohm")
    return judged(
        case,
        value,
        entry,
        f"{show(value)} ohm; {note}",
        grain=meter_error(case, "measured"),
        finer="the winding with a milliohm meter, leads zeroed",
    )


AGAINST_DATA = Check(
    name="winding-data",
    title="Winding against the data book",
    needs={
        "measured": ohms(
            "the winding of the {component}", (*pairs("common run", "common start", "T1 T2", "run start"), frozenset())
        ),
        "data": Need(
            Kind.RESISTANCE,
            "ohm",
            "the data book's resistance",
            roles=(NAMEPLATE, EXPECTED),
            points=(*pairs("common run", "common start", "T1 T2", "run start"), frozenset()),
        ),
        "temperature": Need(Kind.TEMPERATURE, "degF", "the winding's temperature", required=False, shared=True),
    },
    each=("compressor", *MOTORS),
    decide=_against_data,
    subject="the winding of the {component}",
    limits=("winding-data.share",),
    almost=0,
)


COILS = (
    "contactor coil",
    "solenoid coil",
    "reversing valve",
    "start relay",
    "solenoid valve",
    "gas valve",
    "defrost timer",
)


def _coil(case: Case) -> Decision:
    state = case.state("measured")
    if state in _OPEN:
        return stated(
            case,
            OUTSIDE,
            "The {component} is open: it cannot pull in.",
            Authority.PHYSICS,
            formula="open",
            source="no current flows through an open coil",
        )
    if state is State.SHORT:
        return stated(
            case,
            OUTSIDE,
            "The {component} is shorted: it will blow the transformer or its fuse.",
            Authority.PHYSICS,
            formula="short",
            source="Ohm's law",
        )
    if state is not None:
        return undetermined(
            case, "the resistance of the {component} in ohms", why="continuity does not tell shorted turns"
        )
    value = case.number("measured")
    if not case.has("data"):
        return undetermined(
            case,
            "the maker's resistance of the {component}",
            value=value,
            unit="ohm",
            why=f"{shown(value, 'ohm')} is neither open nor a dead short",
        )
    return judged(
        case,
        value,
        case.limit("coil-data.share").around(case.number("data"), "ohm"),
        f"{show(value)} ohm of {show(case.number('data'))} ohm",
    )


COIL = Check(
    name="coil",
    title="Coil of the {component}",
    needs={
        "measured": ohms("the resistance of the {component}", (frozenset(), *pairs("C Y", "R C", "A1 A2"))),
        "data": Need(Kind.RESISTANCE, "ohm", "the maker's resistance", roles=(NAMEPLATE, EXPECTED), required=False),
    },
    each=COILS,
    decide=_coil,
    subject="the {component}",
    means={"low": "turns may be shorted", "high": "look for a bad connection"},
    limits=("coil-data.share",),
)

CHECKS = (
    THREE_PHASE,
    AGAINST_DATA,
    COIL,
)
