"""Checks of contacts, switches and fuses: drop under load, open or closed, line side against load side."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import State
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated, undetermined
from journal.judge.check import MARGINAL, OUTSIDE, OWN, WITHIN, Case, Check, Decision, Need, pairs
from journal.judge.formulas import deviation
from journal.judge.numbers import show, shown

POWER = ("contactor", "disconnect", "breaker", "start relay")
CONTROL = (
    "thermostat",
    "low pressure control",
    "high pressure control",
    "oil pressure control",
    "fan cycling control",
    "door switch",
    "defrost control",
    "defrost timer",
    "overload",
)
ACROSS = (frozenset(), *pairs("L1 T1", "L2 T2", "L3 T3", "line_side load_side"))
LOADED = ("running", "load", "closed", "pulled in", "energized", "pulls in")
_LINE = (*pairs("L1 L2", "L2 L3", "L1 L3", "line_side"),)
_RUNNING_AMPS = Need(
    Kind.CURRENT,
    "ampere",
    "the current of the load",
    components=("compressor", OWN, "condenser fan motor", "defrost heater"),
    required=False,
)
_LINE_VOLTAGE = Need(
    Kind.VOLTAGE,
    "volt",
    "the line voltage",
    components=(OWN, "supply", "disconnect", "compressor", "condensing unit", None),
    points=_LINE,
    required=False,
)


def _drop(case: Case) -> Decision | None:
    component = case.component or ""
    if case.said("measured", "coil"):
        return None
    if case.state("measured") is not None:
        if case.state("measured") is State.ABSENT:
            return _none_across(case)
        return None
    volts = abs(case.number("measured"))
    line = case.number("line") if case.has("line") else None
    amps = case.number("load") if case.has("load") else None
    formula = f"{show(volts)} V across the {component}"
    if amps is not None and volts:
        formula += f"; {show(volts)} V x {show(amps)} A = {show(volts * amps, 3)} W of heat"
    if volts > 30 or (line is not None and volts > line / 2) or (component in CONTROL and volts > 10):
        return _open_voltage(case, volts, line, formula)
    if volts == 0 and not _loaded(case):
        return _none_across(case)
    entry = case.best("contact-drop") or case.limit("contact-drop.power")
    return judged(case, volts, entry, formula)


def _loaded(case: Case) -> bool:
    return case.said("measured", *LOADED) or (case.has("load") and case.number("load") > 0)


def _none_across(case: Case) -> Decision:
    return undetermined(
        case,
        "the voltage on the line side of the {component}, and the drop again with the load running",
        why="no voltage across a contact may also mean that another device in the circuit is open",
    )


def _open_voltage(case: Case, volts: Decimal, line: Decimal | None, formula: str) -> Decision | None:
    if case.said("measured", "closed", "pulled in"):
        return stated(
            case,
            OUTSIDE,
            f"The {{component}} should be closed and stands open: {shown(volts, 'volt')} across it.",
            Authority.PHYSICS,
            value=volts,
            unit="volt",
            formula=formula,
            source="a closed contact has next to no voltage across it",
        )
    if not case.said("measured", "across", "open") and case.readings["measured"].points == ():
        return None  # a supply voltage read at the contactor
    against = f"; line {show(line)} V" if line is not None else ""
    return undetermined(
        case,
        "whether the {component} should be open or closed now",
        value=volts,
        unit="volt",
        formula=formula + against,
        why="it stands open, with the line voltage across it",
    )


DROP = Check(
    name="contact-drop",
    title="Voltage drop across a contact",
    needs={
        "measured": Need(
            Kind.VOLTAGE,
            "volt",
            "the voltage across the closed {component} with the load running",
            points=ACROSS,
            states=True,
        ),
        "line": _LINE_VOLTAGE,
        "load": _RUNNING_AMPS,
    },
    each=(*POWER, *CONTROL),
    decide=_drop,
    subject="the voltage across the closed {component}",
    means={
        "marginal": "the contact is burning and passes heat instead of current; look at it and at its lugs",
        "high": "the contact is burnt; it passes heat instead of current",
    },
    limits=("contact-drop.power", "contact-drop.control"),
    cautions=("live measuring",),
)


def _continuity(case: Case) -> Decision:
    state = case.state("measured")
    closed = case.said("measured", "closed", "pulled in", "pushed in", "made", "calling")
    opened = case.said("measured", "open", "released", "off")
    expected = "closed" if closed else "open" if opened else None
    if state in (State.CONTINUITY, State.SHORT):
        found = "closed"
    elif state is State.OPEN:
        found = "open"
    elif state is not None:
        return undetermined(case, "the resistance across the {component}, power off")
    else:
        return _by_ohms(case, expected)
    return _found(case, found, expected, f"{case.show('measured')} across the {case.part}")


def _by_ohms(case: Case, expected: str | None) -> Decision:
    value = case.number("measured")
    entry = case.limit("contact-ohms.closed")
    formula = f"{show(value)} ohm across the {case.part}"
    if value >= 10**6:
        return _found(case, "open", expected, formula)
    if expected == "open":
        return _found(case, "closed" if value < 10 else "bad", expected, formula)
    decision = judged(case, value, entry, formula)
    if decision.outcome is WITHIN and expected is None:
        return _found(case, "closed", None, formula)
    return decision


def _found(case: Case, found: str, expected: str | None, formula: str) -> Decision:
    if case.component == "fuse" and found in ("open", "closed"):
        blown = found == "open"
        return stated(
            case,
            OUTSIDE if blown else WITHIN,
            "The fuse has blown: it is open. Find out why before another goes in."
            if blown
            else "The fuse has continuity.",
            Authority.PHYSICS,
            formula=formula,
            source="a whole fuse has continuity, a blown one has none",
        )
    if expected is None:
        return undetermined(
            case,
            "whether the {component} should be open or closed now",
            why=f"it is {found}",
            formula=formula,
            authority=Authority.PHYSICS,
        )
    if found == "bad":
        return stated(
            case,
            MARGINAL,
            "The {component} is neither open nor closed: a bad contact, or another path beside it.",
            Authority.PRACTICE,
            formula=formula,
            source="common practice",
        )
    if found == expected:
        return stated(
            case,
            WITHIN,
            f"The {{component}} is {found}, as it should be.",
            Authority.PHYSICS,
            formula=formula,
            source="a closed contact has continuity, an open one has none",
        )
    what = "stuck closed" if found == "closed" else "open"
    return stated(
        case,
        OUTSIDE,
        f"The {{component}} is {what} and should be {expected}.",
        Authority.PHYSICS,
        formula=formula,
        source="a closed contact has continuity, an open one has none",
    )


CONTINUITY = Check(
    name="contact",
    title="Contact or switch, open or closed",
    needs={
        "measured": Need(
            Kind.RESISTANCE,
            "ohm",
            "the resistance across the {component}, power off",
            points=(*ACROSS, *pairs("terminal_1 terminal_2", "R Y", "R W", "R G")),
            states=True,
        )
    },
    each=(*POWER, *CONTROL, "fuse"),
    decide=_continuity,
    subject="the {component}",
    means={
        "marginal": "more than a good contact shows; clean lugs, zero the leads, measure again",
        "high": "neither open nor closed: a bad contact",
        "within": "it is closed",
    },
    limits=("contact-ohms.closed",),
    cautions=("lockout",),
)


def _sides(case: Case) -> Decision:
    line = case.number("line side")
    formula = f"line side {show(line)} V, load side {case.show('load side')}"
    load = Decimal(0) if case.state("load side") is not None else case.number("load side")
    if case.state("load side") not in (None, State.ABSENT) or line <= 0:
        return undetermined(case, "the voltages on both sides of the {component}", formula=formula)
    share = load / line * 100
    entry = case.limit("load-side.share")
    if (
        share < 50
        and not case.said("load side", "closed", "pulled in")
        and case.component not in ("fuse", "breaker", "disconnect")
    ):
        return undetermined(
            case,
            "whether the {component} should be closed now",
            value=share,
            unit="percent",
            formula=formula,
            why="voltage comes in and none goes out: it is open",
            authority=Authority.PHYSICS,
        )
    if share < 50 and case.said("load side", "off", "locked", "open"):
        return stated(
            case,
            WITHIN,
            "No voltage was read on the load side of the open {component}; that alone proves nothing dead.",
            Authority.PHYSICS,
            value=share,
            unit="percent",
            formula=formula,
            source="an open switch passes no voltage on",
        )
    return judged(
        case, share, entry, formula, subject="the voltage behind the {component}, as a share of that before it,"
    )


SIDES = Check(
    name="line-to-load",
    title="Line side against load side",
    needs={
        "line side": Need(
            Kind.VOLTAGE,
            "volt",
            "the voltage on the line side of the {component}",
            points=pairs("line_side", "L1 L2 line_side", "line_side ground", "line_side neutral"),
        ),
        "load side": Need(
            Kind.VOLTAGE,
            "volt",
            "the voltage on the load side of the {component}",
            points=pairs("load_side", "T1 T2 load_side", "load_side ground", "load_side neutral"),
            states=True,
        ),
    },
    each=(*POWER, *CONTROL),
    decide=_sides,
    trigger=("line side",),
    subject="the voltage behind the {component}",
    means={
        "low": "what comes in does not go out: the {component} is open",
        "marginal": "voltage is lost in the {component}; look at contacts and lugs",
        "high": "more comes out than goes in: read both again",
    },
    limits=("load-side.share",),
    cautions=("live measuring",),
)


def _fuse(case: Case) -> Decision:
    volts = case.number("across")
    line = case.number("line") if case.has("line") else None
    formula = f"{show(volts)} V across the fuse" + (
        f", line {show(line)} V: {show(deviation(volts, line), 3)} %" if line else ""
    )
    if volts > 10:
        return stated(
            case,
            OUTSIDE,
            "The fuse has blown: the supply stands across it. Find out why before another goes in.",
            Authority.PHYSICS,
            value=volts,
            unit="volt",
            formula=formula,
            source="a whole fuse has next to no voltage across it",
        )
    if not (case.said("across", *LOADED) or case.has("load")):
        return undetermined(
            case,
            "the voltage behind the fuse to another leg",
            value=volts,
            unit="volt",
            formula=formula,
            why="no voltage across it may also mean that nothing draws current",
        )
    return stated(
        case,
        WITHIN,
        "The fuse passes current.",
        Authority.PHYSICS,
        value=volts,
        unit="volt",
        formula=formula,
        source="a whole fuse has next to no voltage across it",
    )


FUSE = Check(
    name="fuse",
    title="Fuse, voltage across it",
    needs={
        "across": Need(
            Kind.VOLTAGE,
            "volt",
            "the voltage across the fuse",
            points=pairs("line_side load_side", "L1 T1", "L2 T2", "L3 T3"),
        ),
        "line": _LINE_VOLTAGE,
        "load": _RUNNING_AMPS,
    },
    each=("fuse",),
    decide=_fuse,
    subject="the fuse",
    cautions=("live measuring",),
)

CHECKS = (DROP, CONTINUITY, SIDES, FUSE)
