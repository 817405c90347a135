"""Air over coils and through ducts, and the readings that rooftop gas heat brings along."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.judge.answers import judged, undetermined
from journal.judge.check import ANY, EXPECTED, NAMEPLATE, OUTSIDE, Case, Check, Decision, Need
from journal.judge.entries import on_plate
from journal.judge.numbers import show
from journal.judge.select import Bench, same_breath

HEATING = ("heating", "heat", "burner")
RETURN = Need(
    Kind.TEMPERATURE,
    "degF",
    "the return air's temperature",
    components=("return air", "box"),
    unsaid=("wet bulb", *HEATING),
)
SUPPLY = Need(
    Kind.TEMPERATURE,
    "degF",
    "the supply air's temperature",
    components=("supply air", "discharge air"),
    unsaid=("wet bulb", *HEATING),
)


def _difference(case: Case) -> Decision:
    value = case.number("return") - case.number("supply")
    formula = f"{show(case.number('return'))} °F in - {show(case.number('supply'))} °F out = {show(value)} °F"
    entry = case.best("air-difference")
    if entry is None:
        return undetermined(
            case,
            "what kind of machine it is",
            value=value,
            unit="delta_degF",
            formula=formula,
            why="no usual one is known",
        )
    return judged(case, value, entry, formula)


def _differences(bench: Bench, check: Check) -> Iterator[Case]:
    """Of two return-air temperatures said together ('79 over 66') the higher is the dry bulb."""
    for phase in bench.phases:
        case = bench.fill(check, phase, None)
        if case.has("return"):
            chosen = case.readings["return"]
            together = [r for r in bench.candidates(RETURN, phase, None) if same_breath(r, chosen)]
            dry = max((r for r in together if r.unit == chosen.unit), key=lambda r: r.value or Decimal(-999))
            case = bench.case(check, phase, None, {**case.readings, "return": dry})
        yield case


DIFFERENCE = Check(
    name="air-difference",
    title="Air temperature difference",
    needs={"return": RETURN, "supply": SUPPLY},
    decide=_difference,
    gather=_differences,
    subject="the air temperature difference over the coil",
    means={
        "high": "little air moves: filter, coil, blower or ducts",
        "low": "little heat is taken up: charge, compressor, much air or damp air",
        "marginal": "see airflow and humidity before anything else",
    },
    limits=("air-difference.cooling", "air-difference.box"),
    facts=("type",),
    steady=True,
    almost=0,
)


def _static(case: Case) -> Decision:
    value = case.number("measured")
    if case.has("plate"):
        bound = case.limit("static-total.plate").share_of(case.number("plate"), "inch_H2O")
    else:
        bound = case.limit("static-total.usual")
    return judged(case, value, bound, f"{show(value)} inH2O of external static pressure")


STATIC = Check(
    name="static-total",
    title="External static pressure",
    needs={
        "measured": Need(Kind.PRESSURE, "inch_H2O", "the external static pressure", components=("ductwork",)),
        "plate": Need(
            Kind.PRESSURE,
            "inch_H2O",
            "the maximum static pressure on the plate",
            roles=(NAMEPLATE,),
            components=("ductwork", "blower motor", None),
            required=False,
        ),
    },
    decide=_static,
    subject="the external static pressure",
    means={"high": "filter, coil or ducts hold the air back", "marginal": "see filter and coil"},
    limits=("static-total.plate", "static-total.usual"),
)


def _airflow(case: Case) -> Decision:
    per_ton = case.number("measured") / case.number("tons")
    return judged(
        case,
        per_ton,
        case.limit("airflow.per-ton"),
        f"{show(case.number('measured'))} CFM / {show(case.number('tons'))} tons = {show(per_ton, 3)} CFM a ton",
    )


AIRFLOW = Check(
    name="airflow",
    title="Airflow a ton of cooling",
    needs={
        "measured": Need(Kind.AIRFLOW, "cubic_foot_per_minute", "the airflow", components=(ANY,)),
        "tons": Need(
            Kind.POWER,
            "ton_refrigeration",
            "the unit's cooling capacity",
            roles=(NAMEPLATE, EXPECTED),
            components=(ANY,),
        ),
    },
    decide=_airflow,
    subject="the airflow a ton of cooling",
    means={"low": "the coil may freeze: filter, blower speed, ducts", "high": "the coil dries the air badly"},
    limits=("airflow.per-ton",),
)


def _rise(case: Case) -> Decision:
    value = case.number("supply") - case.number("return")
    source = case.limit("gas-rise.plate").limit.source
    bound = on_plate("delta_degF", low=case.low("plate"), high=case.high("plate"), source=source)
    return judged(
        case, value, bound, f"{show(case.number('supply'))} - {show(case.number('return'))} °F = {show(value)} °F"
    )


RISE = Check(
    name="heat-rise",
    title="Temperature rise of the heater",
    needs={
        "return": Need(
            Kind.TEMPERATURE, "degF", "the return air while heating", components=("return air",), said=HEATING
        ),
        "supply": Need(
            Kind.TEMPERATURE, "degF", "the supply air while heating", components=("supply air",), said=HEATING
        ),
        "plate": Need(
            Kind.TEMPERATURE_DIFFERENCE,
            "delta_degF",
            "the temperature rise on the plate",
            roles=(NAMEPLATE,),
            components=(ANY,),
            spans=True,
        ),
    },
    decide=_rise,
    subject="the temperature rise of the heater",
    means={"high": "too little air or too much gas: the exchanger overheats", "low": "too much air or too little gas"},
    limits=("gas-rise.plate",),
    steady=True,
    cautions=("combustion gas",),
)


def _manifold(case: Case) -> Decision:
    value, plate = case.number("measured"), case.number("plate")
    return judged(
        case,
        value,
        case.limit("gas-manifold.plate").around(plate, "inch_H2O"),
        f"{show(value)} of {show(plate)} inH2O on the plate",
    )


MANIFOLD = Check(
    name="gas-manifold",
    title="Manifold gas pressure",
    needs={
        "measured": Need(
            Kind.PRESSURE, "inch_H2O", "the manifold pressure with the burner on", components=("manifold", "gas valve")
        ),
        "plate": Need(
            Kind.PRESSURE,
            "inch_H2O",
            "the manifold pressure on the plate",
            roles=(NAMEPLATE, EXPECTED),
            components=("manifold", "gas valve", None),
        ),
    },
    decide=_manifold,
    subject="the manifold gas pressure",
    means={
        "high": "the burner is overfired; adjusting gas is for people licensed for it",
        "low": "the burner is underfired",
    },
    limits=("gas-manifold.plate",),
    cautions=("combustion gas",),
)


def _flame(case: Case) -> Decision:
    value = case.number("measured")
    return judged(case, value, case.limit("flame-current.usual"), f"{show(value)} µA")


FLAME = Check(
    name="flame-current",
    title="Flame sensor current",
    needs={
        "measured": Need(
            Kind.CURRENT, "microampere", "the flame current with the burner on", components=("flame sensor",)
        )
    },
    decide=_flame,
    subject="the flame sensor's current",
    means={"low": "the burner will drop out: clean the rod, see ground and wire", "marginal": "clean the rod"},
    limits=("flame-current.usual",),
    cautions=("combustion gas",),
)


def _monoxide(case: Case) -> Decision:
    value = case.number("measured")
    room = case.component in case.limit("carbon-monoxide.room").components
    entry = case.limit("carbon-monoxide.room" if room else "carbon-monoxide.flue")
    decision = judged(case, value, entry, f"{show(value)} ppm")
    if room and decision.outcome is OUTSIDE:
        return judged(
            case,
            value,
            entry,
            f"{show(value)} ppm",
            note="air the rooms, everybody out, heater off, and find the cause",
        )
    return decision


MONOXIDE = Check(
    name="carbon-monoxide",
    title="Carbon monoxide",
    needs={"measured": Need(Kind.CONCENTRATION, "ppm", "the carbon monoxide")},
    each=("supply air", "return air", "box", "ambient", "heater", None),
    decide=_monoxide,
    subject="the carbon monoxide",
    means={"marginal": "find where it comes from", "high": "it must not reach people"},
    limits=("carbon-monoxide.room", "carbon-monoxide.flue"),
    cautions=("combustion gas",),
)

CHECKS = (DIFFERENCE, STATIC, AIRFLOW, RISE, MANIFOLD, FLAME, MONOXIDE)
