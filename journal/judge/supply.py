"""Checks of the electrical supply: voltage, frequency, control voltage."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.reading import Phase, Reading
from journal.judge.answers import judged, place, undetermined, worst_of
from journal.judge.check import (
    ANY,
    EXPECTED,
    MARGINAL,
    NAMEPLATE,
    OWN,
    SETTING,
    WITHIN,
    Case,
    Check,
    Decision,
    Need,
    pairs,
)  # fmt: skip
from journal.judge.entries import Entry
from journal.judge.formulas import deviation
from journal.judge.numbers import show
from journal.judge.select import Bench, fits, group_of

LINE_TO_LINE = pairs("L1 L2", "L2 L3", "L1 L3", "T1 T2", "T2 T3", "T1 T3")


MOTORS = ("condenser fan motor", "evaporator fan motor", "blower motor", "motor", "pump")


MACHINES = ("compressor", "condensing unit", "ice machine")


PLACES = (None, "supply", "disconnect", "breaker", "fuse", "contactor", *MACHINES, *MOTORS)


NAMED_PLACES = ("supply", "disconnect", *MACHINES, *MOTORS)  # a voltage there needs no points to be the supply


STARTING = ("starting", "inrush", "locked")


PLATE_PARTS = (OWN, "compressor", "condensing unit", "supply", None, "ice machine", "condenser", "evaporator")


def voltage(
    ask: str,
    *,
    points: tuple[frozenset[str], ...] = LINE_TO_LINE,
    required: bool = True,
    components: tuple[str | None, ...] = (OWN,),
    said: tuple[str, ...] = (),
    unsaid: tuple[str, ...] = (),
) -> Need:
    return Need(
        Kind.VOLTAGE, "volt", ask, points=points, required=required, components=components, said=said, unsaid=unsaid
    )


PLATE_VOLTAGE = Need(
    Kind.VOLTAGE, "volt", "the voltage on the nameplate", roles=(NAMEPLATE,), components=PLATE_PARTS, spans=True,
    unsaid=("control", "coil", "rating of the capacitor"),
)  # fmt: skip


def _of_supply(reading: Reading) -> bool:
    """Return whether a voltage is one of the supply, line to line, and no drop across a contact."""
    if frozenset(reading.points) in LINE_TO_LINE:
        return True
    return not reading.points and reading.component in NAMED_PLACES and "across" not in " ".join(reading.conditions)


def _supplies(bench: Bench, check: Check, starting: bool) -> Iterator[Case]:
    for phase in bench.phases:
        for component in PLACES:
            found = [
                r
                for r in bench.by_key.get((Kind.VOLTAGE, check.needs["measured"].roles[0], component), ())
                if r.phase is phase
                and fits(check.needs["measured"], r)
                and _of_supply(r)
                and any(word in c for c in r.conditions for word in STARTING) is starting
            ]
            if found:
                yield _with_plate(bench, check, phase, component, group_of(bench, found))


def _with_plate(bench: Bench, check: Check, phase: Phase, component: str | None, group: list[Reading]) -> Case:
    slots = dict(zip(("measured", "second", "third"), group, strict=False))
    plates = list(bench.candidates(PLATE_VOLTAGE, phase, component))
    if plates:
        slots["nameplate"] = plates[0]
        other = next((r for r in plates[1:] if r.component == plates[0].component and r.value != plates[0].value), None)
        if other is not None and plates[0].value is not None and other.value is not None:
            slots["second nameplate"] = other
    return bench.case(check, phase, component, slots)


def _rated(case: Case) -> tuple[Decimal, Decimal]:
    """Return the lowest and highest rated voltage; a plate of 208-230 may come as one span or as two numbers."""
    slots = [s for s in ("nameplate", "second nameplate") if case.has(s)]
    return min(case.low(s) for s in slots), max(case.high(s) for s in slots)


def _supply_voltage(case: Case) -> Decision:
    low, high = _rated(case)
    entry = case.limit("supply-voltage.running")
    lower, upper = entry.around(low, "volt").limit, entry.around(high, "volt").limit
    bound = entry.bounded(
        unit="volt", low=lower.low, high=upper.high, marginal_low=lower.marginal_low, marginal_high=upper.marginal_high
    )
    rated = show(low) if low == high else f"{show(low)}-{show(high)}"
    decisions = []
    middle = (low + high) / 2
    found = [case.number(slot) for slot in ("measured", "second", "third") if case.has(slot)]
    for volts in sorted(found, key=lambda v: -abs(v - middle)):
        nearest = low if volts < low else high if volts > high else volts
        formula = f"{show(volts)} V on a {rated} V plate: {show(deviation(volts, nearest), 3)} %"
        decisions.append(_one_supply(case, volts, bound, formula, dual=low == 208 and high == 230))
    worst = worst_of(decisions)
    if case.said("measured", "off") and worst.outcome in (WITHIN, MARGINAL):
        return undetermined(
            case,
            "the voltage with the load running",
            why="it was read with the load off",
            value=worst.value,
            unit="volt",
            formula=worst.formula,
            limits=worst.limits,
            authority=worst.authority,
        )
    return worst


def _one_supply(case: Case, volts: Decimal, bound: Entry, formula: str, *, dual: bool) -> Decision:
    decision = judged(case, volts, bound, formula)
    low = case.limit("supply-voltage.low-dual")
    if decision.outcome is WITHIN and dual and place(volts, low.limit)[0] is not WITHIN:
        return judged(case, volts, low, formula)
    return decision


SUPPLY = Check(
    name="supply-voltage",
    title="Supply voltage against the nameplate",
    needs={
        "measured": voltage("the voltage between the lines at the {component}, running", points=()),
        "nameplate": PLATE_VOLTAGE,
        "second": voltage("the voltage between the next two lines", required=False),
        "third": voltage("the voltage between the last two lines", required=False),
        "second nameplate": Need(
            Kind.VOLTAGE,
            "volt",
            "the other nameplate voltage",
            roles=(NAMEPLATE,),
            required=False,
            components=PLATE_PARTS,
            spans=True,
        ),
    },
    decide=_supply_voltage,
    gather=lambda bench, check: _supplies(bench, check, starting=False),
    subject="the supply voltage",
    means={
        "low": "the motor runs hot and weak on too low a voltage; look for the cause in the supply",
        "high": "too high a voltage overheats the motor; look for the cause in the supply",
        "marginal": "look at it again with everything running",
    },
    limits=("supply-voltage.running", "supply-voltage.low-dual"),
    cautions=("live measuring",),
)


def _starting_voltage(case: Case) -> Decision:
    low, _ = _rated(case)
    volts = case.number("measured")
    bound = case.limit("supply-voltage.starting").around(low, "volt")
    return judged(
        case, volts, bound, f"{show(volts)} V while starting on {show(low)} V: {show(deviation(volts, low), 3)} %"
    )


STARTING_VOLTAGE = Check(
    name="starting-voltage",
    title="Voltage while the compressor starts",
    needs={key: SUPPLY.needs[key] for key in ("measured", "nameplate", "second", "third", "second nameplate")},
    decide=_starting_voltage,
    gather=lambda bench, check: _supplies(bench, check, starting=True),
    subject="the voltage while the compressor starts",
    means={
        "low": "the supply sags so far that the compressor may not start; look at wires, connections and the "
        "transformer"
    },
    limits=("supply-voltage.starting",),
    cautions=("live measuring",),
)


def _service_voltage(case: Case) -> Decision | None:
    nominal = case.high("nominal")
    entry = case.best(f"service-voltage-{show(nominal)}")
    volts = case.number("measured")
    if entry is None:
        return None
    return judged(case, volts, entry, f"{show(volts)} V at a {show(nominal)} V service")


SERVICE = Check(
    name="service-voltage",
    title="Service voltage at the meter",
    needs={
        "measured": voltage("the voltage at the service entrance", points=()),
        "nominal": Need(
            Kind.VOLTAGE,
            "volt",
            "the nominal voltage of the service",
            roles=(EXPECTED,),
            components=("supply",),
            spans=True,
        ),
    },
    each=("supply",),
    decide=_service_voltage,
    trigger=("nominal",),
    subject="the voltage the utility delivers",
    means={"low": "tell the utility", "high": "tell the utility", "marginal": "it may stand so for a short time only"},
    limits=("service-voltage-120.a", "service-voltage-208.a", "service-voltage-240.a", "service-voltage-480.a"),
    facts=("place",),
    cautions=("live measuring",),
)


def _control_voltage(case: Case) -> Decision:
    volts, rated = case.number("measured"), case.high("rated")
    formula = f"{show(volts)} V of {show(rated)} V: {show(deviation(volts, rated), 3)} %"
    ghost = rated / 5 < volts < rated * Decimal("0.75")
    if ghost and not case.said("measured", "load", "pulled in", "energized", "running"):
        return undetermined(
            case,
            "the voltage again with the load on (a lamp or the coil)",
            value=volts,
            unit="volt",
            why="a part voltage on an open wire may be a ghost",
            formula=formula,
        )
    return judged(case, volts, case.limit("control-voltage.coil").around(rated, "volt"), formula)


CONTROL = Check(
    name="control-voltage",
    title="Control voltage",
    needs={
        "measured": voltage("the control voltage at the {component}", points=()),
        "rated": Need(
            Kind.VOLTAGE,
            "volt",
            "the rated control voltage",
            roles=(NAMEPLATE, EXPECTED, SETTING),
            components=(OWN, "transformer", "control circuit", "contactor coil", "thermostat"),
            spans=True,
        ),
    },
    each=(
        "control circuit",
        "transformer",
        "contactor coil",
        "solenoid coil",
        "thermostat",
        "control board",
        "reversing valve",
    ),
    decide=_control_voltage,
    subject="the control voltage at the {component}",
    means={
        "low": "coils chatter or drop out on it; look at the transformer's taps and load",
        "high": "coils and boards run hot on it; look at the transformer's primary tap",
    },
    limits=("control-voltage.coil",),
    cautions=("live measuring",),
)


def _frequency(case: Case) -> Decision:
    hertz, rated = case.number("measured"), case.number("rated")
    return judged(
        case,
        hertz,
        case.limit("frequency.rated").around(rated, "hertz"),
        f"{show(hertz)} Hz of {show(rated)} Hz: {show(deviation(hertz, rated), 3)} %",
    )


FREQUENCY = Check(
    name="frequency",
    title="Frequency of the supply",
    needs={
        "measured": Need(Kind.FREQUENCY, "hertz", "the frequency", components=(ANY,)),
        "rated": Need(Kind.FREQUENCY, "hertz", "the rated frequency", roles=(NAMEPLATE, EXPECTED), components=(ANY,)),
    },
    decide=_frequency,
    subject="the frequency",
    limits=("frequency.rated",),
)


def _combined(case: Case) -> Decision:
    low, high = _rated(case)
    volts = case.number("measured")
    nearest = low if volts < low else high if volts > high else volts
    by_volts = abs(deviation(volts, nearest))
    by_hertz = abs(deviation(case.number("frequency"), case.number("rated frequency")))
    return judged(
        case,
        by_volts + by_hertz,
        case.limit("frequency.combined"),
        f"{show(by_volts, 3)} % of voltage + {show(by_hertz, 3)} % of frequency",
    )


COMBINED = Check(
    name="voltage-and-frequency",
    title="Voltage and frequency together",
    needs={
        "measured": voltage("the voltage between the lines", components=("supply", "compressor", None)),
        "nameplate": PLATE_VOLTAGE,
        "frequency": Need(Kind.FREQUENCY, "hertz", "the frequency", components=(ANY,)),
        "rated frequency": Need(
            Kind.FREQUENCY, "hertz", "the rated frequency", roles=(NAMEPLATE, EXPECTED), components=(ANY,)
        ),
        "second nameplate": SUPPLY.needs["second nameplate"],
    },
    decide=_combined,
    subject="the sum of voltage and frequency deviation",
    limits=("frequency.combined",),
    almost=0,
)

CHECKS = (
    SUPPLY,
    STARTING_VOLTAGE,
    SERVICE,
    CONTROL,
    FREQUENCY,
    COMBINED,
)
