"""Checks of capacitors: measured off, under load, their voltage, their bleed resistor."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import State
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated, undetermined
from journal.judge.check import EXPECTED, MARGINAL, NAMEPLATE, OUTSIDE, OWN, SETTING, Case, Check, Decision, Need, pairs
from journal.judge.entries import Entry, on_plate
from journal.judge.formulas import capacitance, deviation, discharge_seconds
from journal.judge.numbers import show

RUN = ("run capacitor", "capacitor", "dual capacitor")
ALL = (*RUN, "start capacitor")
_SINGLE = (frozenset(), *pairs("HERM C", "C HERM", "HERM", "run", "C"))
_FAN = pairs("FAN C", "FAN")

MARKED = Need(
    Kind.CAPACITANCE, "microfarad", "the marking on the {component}", roles=(NAMEPLATE,), points=_SINGLE, spans=True
)
TOLERANCE = Need(
    Kind.PERCENT, "percent", "the tolerance printed on the {component}", roles=(NAMEPLATE,), required=False
)


def permitted(case: Case) -> Entry:
    """Return the span a capacitor's marking permits: its own range, its printed tolerance, its maker's or practice."""
    if case.is_span("marked"):
        low, high = case.low("marked"), case.high("marked")
        return on_plate("microfarad", low=low, high=high, source="the range marked on the capacitor")
    marked = case.number("marked")
    if case.has("tolerance"):
        share = abs(case.number("tolerance"))
        return on_plate(
            "microfarad",
            low=marked * (100 - share) / 100,
            high=marked * (100 + share) / 100,
            source=f"the tolerance printed on the capacitor, ±{show(share)} %",
        )
    entry = case.best("capacitor") or case.limit("capacitor.unmarked")
    return entry.around(marked, "microfarad")


def _against(case: Case, value: Decimal, formula: str, grain: Decimal) -> Decision:
    marked = case.low("marked")
    dead = case.limit("capacitor-floor.dead").share_of(marked, "microfarad")
    if dead.limit.low is not None and value < dead.limit.low:
        return judged(case, value, dead, formula)
    return judged(
        case,
        value,
        permitted(case),
        formula,
        grain=grain,
        finer="the capacitance with a finer meter, or its current and voltage under load",
    )


def _measured(case: Case) -> Decision:
    state = case.state("measured")
    if state is not None:
        return _by_state(case, state)
    value = case.number("measured")
    marked = (
        f"{show(case.low('marked'))} to {show(case.high('marked'))}"
        if case.is_span("marked")
        else show(case.number("marked"))
    )
    formula = f"{show(value)} µF against {marked} µF marked"
    if not case.is_span("marked"):
        formula += f": {show(deviation(value, case.number('marked')), 3)} %"
    share = case.limit("capacitor-meter.hand").limit.high or Decimal(0)
    return _against(case, value, formula, max(case.grain("measured"), abs(value) * share / 100))


def _by_state(case: Case, state: State) -> Decision:
    if state is State.SHORT:
        return stated(
            case,
            OUTSIDE,
            "The {component} is shorted inside.",
            Authority.PHYSICS,
            formula="shorted",
            source="a sound capacitor passes no direct current",
        )
    if state in (State.OPEN, State.ABSENT):
        return stated(
            case,
            OUTSIDE,
            "The {component} shows no capacitance: it is open inside.",
            Authority.PHYSICS,
            formula="open",
            source="an open capacitor moves no current through its winding",
        )
    return undetermined(case, "the capacitance in microfarads", why=f"'{state}' says nothing about its size")


_MEANS = {
    "low": "it has lost capacitance and its motor starts hard and runs hot",
    "high": "more than marked: wrong part, or a bleed resistor still across it",
    "marginal": "at the end of its span; measure it again next time",
}


def _capacitor(name: str, title: str, points: tuple[frozenset[str], ...], each: tuple[str, ...]) -> Check:
    return Check(
        name=name,
        title=title,
        needs={
            "measured": Need(
                Kind.CAPACITANCE, "microfarad", "the capacitance of the {component}", points=points, states=True
            ),
            "marked": Need(
                Kind.CAPACITANCE,
                "microfarad",
                "the marking on the {component}",
                roles=(NAMEPLATE,),
                points=points,
                spans=True,
            ),
            "tolerance": TOLERANCE,
        },
        each=each,
        decide=_measured,
        subject="the {component}",
        means=_MEANS,
        remedy={"low": "replace it", "high": "replace it with the marked size"},
        limits=(
            "capacitor.unmarked",
            "capacitor.tecumseh",
            "capacitor.start",
            "capacitor-floor.dead",
            "capacitor-meter.hand",
        ),
        facts=("maker",),
        cautions=("charged capacitor",),
    )


CAPACITOR = _capacitor("capacitor", "Capacitor against its marking", _SINGLE, ALL)
FAN_SIDE = _capacitor(
    "capacitor-fan-side", "Fan side of a dual capacitor", _FAN, ("dual capacitor", "run capacitor", "capacitor")
)


def _under_load(case: Case) -> Decision | None:
    amps, volts = case.number("current"), case.number("voltage")
    hertz = case.number("frequency") if case.has("frequency") else Decimal(60)
    if volts <= 0:
        return undetermined(case, "the voltage across the capacitor while the motor runs")
    value = capacitance(amps, volts, hertz)
    formula = f"{show(amps)} A x 10^6 / (2 pi x {show(hertz)} Hz x {show(volts)} V) = {show(value)} µF"
    if not case.has("frequency"):
        formula += " (60 Hz taken)"
    grain = value * (case.grain("current") / amps + case.grain("voltage") / volts) if amps else Decimal(0)
    return _against(case, value, formula, grain)


UNDER_LOAD = Check(
    name="capacitor-under-load",
    title="Capacitor measured while the motor runs",
    needs={
        "current": Need(Kind.CURRENT, "ampere", "the current through the {component}"),
        "voltage": Need(Kind.VOLTAGE, "volt", "the voltage across the {component}"),
        "marked": MARKED,
        "frequency": Need(
            Kind.FREQUENCY,
            "hertz",
            "the frequency",
            roles=(NAMEPLATE, SETTING, EXPECTED),
            components=(OWN, "supply", None),
            required=False,
        ),
        "tolerance": TOLERANCE,
    },
    each=ALL,
    decide=_under_load,
    subject="the {component}, measured under load,",
    means=_MEANS,
    remedy={"low": "replace it", "high": "replace it with the marked size"},
    limits=("capacitor.unmarked", "capacitor.tecumseh", "capacitor.start", "capacitor-floor.dead"),
    facts=("maker",),
    cautions=("live measuring", "charged capacitor"),
)

RATING = Need(Kind.VOLTAGE, "volt", "the voltage rating of the {component}", roles=(NAMEPLATE,))


def _voltage(case: Case) -> Decision:
    volts, rating = case.number("measured"), case.number("rating")
    return judged(
        case,
        volts,
        case.limit("capacitor-voltage.rating").share_of(rating, "volt"),
        f"{show(volts)} V across a capacitor for {show(rating)} V",
    )


VOLTAGE = Check(
    name="capacitor-voltage",
    title="Voltage across a running capacitor",
    needs={
        "measured": Need(Kind.VOLTAGE, "volt", "the voltage across the {component} while running"),
        "rating": RATING,
    },
    each=RUN,
    decide=_voltage,
    subject="the voltage across the {component}",
    means={"marginal": "the part is rated too low for this motor"},
    limits=("capacitor-voltage.rating",),
    cautions=("live measuring",),
)


def _bleed(case: Case) -> Decision:
    if case.state("measured") is not None:
        if case.state("measured") is State.OPEN:
            return stated(
                case,
                MARGINAL,
                "The bleed resistor of the {component} is open: the capacitor keeps its charge.",
                Authority.PHYSICS,
                formula="open",
                source="JB Capacitors JFS-17",
            )
        return undetermined(case, "the resistance of the bleed resistor, capacitor discharged and a lead off")
    ohms = case.number("measured")
    return judged(case, ohms, case.limit("bleed-resistor.ohms"), f"{show(ohms)} ohm")


BLEED = Check(
    name="bleed-resistor",
    title="Bleed resistor of a start capacitor",
    needs={"measured": Need(Kind.RESISTANCE, "ohm", "the resistance across the {component}, discharged", states=True)},
    each=("start capacitor",),
    decide=_bleed,
    subject="the bleed resistor of the {component}",
    limits=("bleed-resistor.ohms",),
    cautions=("charged capacitor",),
)


def _discharge(case: Case) -> Decision:
    peak = case.number("rating") * Decimal(2).sqrt()
    seconds = discharge_seconds(case.low("marked"), case.number("resistor"), peak, Decimal(50))
    return judged(
        case,
        seconds,
        case.limit("discharge-time.seconds"),
        f"{show(case.number('resistor'))} ohm x {show(case.low('marked'))} µF x ln({show(peak)} / 50) = "
        f"{show(seconds, 3)} s",
    )


DISCHARGE = Check(
    name="discharge-time",
    title="Time until a capacitor is down to 50 V",
    needs={
        "marked": MARKED,
        "resistor": Need(
            Kind.RESISTANCE, "ohm", "the resistance of the discharge resistor", roles=(NAMEPLATE, EXPECTED)
        ),
        "rating": RATING,
    },
    each=ALL,
    decide=_discharge,
    subject="the time until the {component} has fallen to 50 V",
    limits=("discharge-time.seconds",),
    almost=0,
    cautions=("charged capacitor",),
)

CHECKS = (CAPACITOR, FAN_SIDE, UNDER_LOAD, VOLTAGE, BLEED, DISCHARGE)
