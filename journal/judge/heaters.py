"""Heaters by resistance and current, open elements by the pattern of the lines."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import State
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated, undetermined
from journal.judge.check import (
    EXPECTED,
    NAMEPLATE,
    OUTSIDE,
    OWN,
    WITHIN,
    Case,
    Check,
    Decision,
    Need,
    pairs,
)
from journal.judge.entries import Entry
from journal.judge.formulas import heater_ohms, line_current
from journal.judge.numbers import show
from journal.judge.select import legs

HEATERS = ("defrost heater", "drain heater", "door heater", "crankcase heater", "heater")


WATTS = Need(Kind.POWER, "watt", "the wattage on the {component}", roles=(NAMEPLATE,))


VOLTS = Need(
    Kind.VOLTAGE,
    "volt",
    "the rated voltage of the {component}",
    roles=(NAMEPLATE,),
    components=(OWN, "supply", "condensing unit", "evaporator", None),
)


def _resistance(case: Case) -> Decision:
    state = case.state("measured")
    if state in (State.OPEN, State.ABSENT):
        return stated(
            case,
            OUTSIDE,
            "The {component} is open: it cannot heat.",
            Authority.PHYSICS,
            formula="open",
            source="Ohm's law",
        )
    if state is State.SHORT:
        return stated(
            case,
            OUTSIDE,
            "The {component} is shorted: it will trip its breaker.",
            Authority.PHYSICS,
            formula="short",
            source="Ohm's law",
        )
    if state is not None:
        return undetermined(
            case, "the resistance of the {component} in ohms", why="continuity does not tell how much of it is left"
        )
    ohms = case.number("measured")
    if not case.has("watts", "volts"):
        if case.has("expected"):
            wanted, formula = case.number("expected"), f"{show(ohms)} ohm of {show(case.number('expected'))} ohm"
        else:
            return undetermined(
                case,
                "wattage and voltage on the {component}",
                value=ohms,
                unit="ohm",
                why="it is neither open nor shorted",
            )
    else:
        watts, volts = case.number("watts"), case.number("volts")
        if watts <= 0 or volts <= 0:
            return undetermined(case, "wattage and voltage on the {component}")
        wanted = heater_ohms(watts, volts)
        formula = f"{show(volts)} V squared / {show(watts)} W = {show(wanted)} ohm; measured {show(ohms)} ohm"
    bound = case.limit("heater-resistance.rating").around(wanted, "ohm")
    return judged(
        case,
        ohms,
        bound,
        formula,
        grain=case.grain("measured"),
        finer="the resistance with a finer meter, leads zeroed",
    )


RESISTANCE = Check(
    name="heater-resistance",
    title="Resistance of a heater",
    needs={
        "measured": Need(
            Kind.RESISTANCE,
            "ohm",
            "the resistance of the {component}, a lead off",
            states=True,
            points=(frozenset(), *pairs("L1 L2")),
        ),
        "watts": Need(Kind.POWER, "watt", "the wattage on the {component}", roles=(NAMEPLATE,), required=False),
        "volts": Need(
            Kind.VOLTAGE,
            "volt",
            "the rated voltage of the {component}",
            roles=(NAMEPLATE,),
            components=VOLTS.components,
            required=False,
        ),
        "expected": Need(
            Kind.RESISTANCE, "ohm", "the resistance it should have", roles=(EXPECTED, NAMEPLATE), required=False
        ),
    },
    each=HEATERS,
    decide=_resistance,
    subject="the {component}",
    means={
        "high": "part of it is open or a connection is bad",
        "low": "part of it is bridged, or it is another heater",
        "marginal": "measure it warm and by its current",
    },
    limits=("heater-resistance.rating",),
    cautions=("lockout",),
)


def _at_voltage(case: Case, amps: Decimal) -> tuple[Decimal, str]:
    """Return the plate's current at the voltage that stands on it now: current follows voltage."""
    if case.has("voltage", "volts") and case.number("volts") > 0:
        now = amps * case.number("voltage") / case.number("volts")
        rated, here = show(case.number("volts")), show(case.number("voltage"))
        return now, f"{show(amps)} A at {rated} V is {show(now)} A at {here} V"
    return amps, f"{show(amps)} A on the plate"


def _current(case: Case) -> Decision:
    measured = max(case.number(s) for s in ("measured", "second", "third") if case.has(s))
    if case.has("rated"):
        amps = case.number("rated")
    elif case.has("watts", "volts") and case.number("volts") > 0:
        amps = line_current(case.number("watts"), case.number("volts"), three_phase=case.has("third"))
    else:
        return undetermined(
            case, "amps, or wattage and voltage, on the plate of the {component}", value=measured, unit="ampere"
        )
    wanted, text = _at_voltage(case, amps)
    if measured == 0:
        return stated(
            case,
            OUTSIDE,
            "The {component} draws no current: it is open, or no voltage stands on it.",
            Authority.PHYSICS,
            value=measured,
            unit="ampere",
            formula=f"0 A; {text}",
            source="Ohm's law",
        )
    bound: Entry = case.limit("heater-current.rating").around(wanted, "ampere")
    return judged(case, measured, bound, f"{show(measured)} A; {text}")


CURRENT = Check(
    name="heater-current",
    title="Current of a heater",
    needs={
        "measured": Need(Kind.CURRENT, "ampere", "the current of the {component}"),
        "rated": Need(Kind.CURRENT, "ampere", "the current on its plate", roles=(NAMEPLATE, EXPECTED), required=False),
        "watts": Need(Kind.POWER, "watt", "its wattage", roles=(NAMEPLATE,), required=False),
        "volts": Need(
            Kind.VOLTAGE, "volt", "its rated voltage", roles=(NAMEPLATE,), components=VOLTS.components, required=False
        ),
        "voltage": Need(
            Kind.VOLTAGE,
            "volt",
            "the voltage on it now",
            components=(OWN, "supply", None),
            points=(frozenset(), *pairs("L1 L2")),
            required=False,
        ),
        "second": Need(Kind.CURRENT, "ampere", "the second line's current", points=pairs("L2", "T2"), required=False),
        "third": Need(Kind.CURRENT, "ampere", "the third line's current", points=pairs("L3", "T3"), required=False),
    },
    each=HEATERS,
    decide=_current,
    subject="the current of the {component}",
    means={
        "low": "an element or a connection is open",
        "high": "more than its plate: read it again, or it is another heater",
    },
    limits=("heater-current.rating",),
    cautions=("live measuring", "hot parts"),
)


def _pattern(case: Case) -> Decision | None:
    amps = sorted(case.number(slot) for slot in ("l1", "l2", "l3"))
    low, middle, high = amps
    if high <= 0:
        return undetermined(case, "the three lines with the heater on", why="no current flows")
    ratio = (low / high, middle / high)
    formula = (
        f"{show(low)} / {show(middle)} / {show(high)} A = {show(ratio[0] * 100, 3)} / {show(ratio[1] * 100, 3)} / 100 %"
    )
    source = (
        "three-phase arithmetic: an open delta element leaves 57.7 / 57.7 / 100 %, an open wye element 0 / 100 / 100 %"
    )
    near = Decimal("0.06")
    third = 1 / Decimal(3).sqrt()
    if abs(ratio[0] - third) < near and abs(ratio[1] - third) < near:
        return stated(
            case,
            OUTSIDE,
            "One element of the {component} is open: two lines carry 58 % of the third, as in a delta with one "
            "element gone.",
            Authority.PHYSICS,
            value=ratio[0] * 100,
            unit="percent",
            formula=formula,
            source=source,
        )
    if ratio[0] < near and ratio[1] > 1 - near:
        return stated(
            case,
            OUTSIDE,
            "One line of the {component} carries nothing: an open line, or an open element of a wye.",
            Authority.PHYSICS,
            value=ratio[0] * 100,
            unit="percent",
            formula=formula,
            source=source,
        )
    if ratio[0] > Decimal("0.9"):
        return stated(
            case,
            WITHIN,
            "The three lines of the {component} carry the same: no element is open.",
            Authority.PHYSICS,
            value=ratio[0] * 100,
            unit="percent",
            formula=formula,
            source=source,
        )
    return undetermined(
        case,
        "each element by itself",
        value=ratio[0] * 100,
        unit="percent",
        formula=formula,
        why="the lines fit no single open element",
        authority=Authority.PHYSICS,
    )


PATTERN = Check(
    name="heater-lines",
    title="Open element of a three-phase heater",
    needs={
        name: Need(
            Kind.CURRENT,
            "ampere",
            f"the current in {name.upper()}",
            points=pairs(name.upper(), name.upper().replace("L", "T")),
        )
        for name in ("l1", "l2", "l3")
    },
    each=HEATERS,
    decide=_pattern,
    gather=legs,
    subject="the lines of the {component}",
    cautions=("live measuring",),
)


def _timer(case: Case) -> Decision:
    amps, rated = case.number("measured"), case.number("contact")
    return judged(
        case,
        amps,
        case.limit("heater-contact.timer").share_of(rated, "ampere"),
        f"{show(amps)} A through a {show(rated)} A contact",
    )


TIMER = Check(
    name="heater-contact",
    title="Heater current through its contact",
    needs={
        "measured": Need(Kind.CURRENT, "ampere", "the current of the heaters", components=("defrost heater", "heater")),
        "contact": Need(
            Kind.CURRENT,
            "ampere",
            "the contact rating of timer or contactor",
            roles=(NAMEPLATE,),
            components=("defrost timer", "defrost control"),
        ),
    },
    decide=_timer,
    subject="the current through the contact",
    means={"high": "the contact will burn"},
    limits=("heater-contact.timer",),
    almost=0,
)


def _crankcase(case: Case) -> Decision:
    value = case.number("measured") - case.number("ambient")
    return judged(
        case,
        value,
        case.limit("crankcase-heater.warm"),
        f"{show(case.number('measured'))} °F shell - {show(case.number('ambient'))} °F ambient = {show(value)} °F",
    )


CRANKCASE = Check(
    name="crankcase-heater",
    title="Crankcase heater by its warmth",
    needs={
        "measured": Need(
            Kind.TEMPERATURE,
            "degF",
            "the crankcase's temperature, off for hours",
            components=("crankcase", "sump", "crankcase heater"),
        ),
        "ambient": Need(Kind.TEMPERATURE, "degF", "the ambient temperature", components=("ambient",), shared=True),
    },
    decide=_crankcase,
    trigger=("measured",),
    subject="the crankcase over ambient",
    means={
        "low": "the heater does not warm the oil: refrigerant gathers in it",
        "marginal": "read it after some hours off",
    },
    limits=("crankcase-heater.warm",),
    almost=0,
)

CHECKS = (
    RESISTANCE,
    CURRENT,
    PATTERN,
    TIMER,
    CRANKCASE,
)
