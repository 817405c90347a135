"""The refrigeration circuit beside superheat: differences over coils, ratio, discharge, water, saturation."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.verdict import Authority
from journal.judge.answers import judged, stated, undetermined
from journal.judge.check import WITHIN, Case, Check, Decision, Need
from journal.judge.entries import words_of
from journal.judge.formulas import compression_ratio
from journal.judge.numbers import show
from journal.judge.superheat import STOPPED, SUCTION_PRESSURE, UNSETTLED

DISCHARGE = ("discharge", "discharge line", "condenser", "liquid line", "liquid")


AMBIENT = Need(Kind.TEMPERATURE, "degF", "the air entering the condenser", components=("ambient",), shared=True)


DISCHARGE_PRESSURE = Need(Kind.PRESSURE, "psi", "the discharge pressure", components=DISCHARGE, unsaid=STOPPED)


def temperature(ask: str, *components: str, said: tuple[str, ...] = (), unsaid: tuple[str, ...] = ()) -> Need:
    return Need(Kind.TEMPERATURE, "degF", ask, components=components, said=said, unsaid=unsaid)


def _evaporator_difference(case: Case) -> Decision | None:
    if case.said("box", *UNSETTLED) or case.said("pressure", *UNSETTLED):
        return undetermined(case, "the same readings with the box at temperature", why="it was not yet steady")
    dew = case.saturation("pressure", "dew")
    value = (case.number("box") - dew).quantize(Decimal("0.1"))
    formula = f"{show(case.number('box'))} °F entering - {show(dew)} °F dew point = {show(value, 3)} °F"
    entry = case.best("evaporator-difference")
    if entry is None and not case.unknown_machine:
        return None
    if entry is None:
        return undetermined(
            case, "what kind of box it is", value=value, unit="delta_degF", formula=formula, why="no usual one is known"
        )
    return judged(case, value, entry, formula)


EVAPORATOR = Check(
    name="evaporator-difference",
    title="Evaporator TD",
    needs={"box": temperature("the air entering the coil", "return air", "box"), "pressure": SUCTION_PRESSURE},
    decide=_evaporator_difference,
    subject="the evaporator TD",
    means={
        "high": "the coil takes up little: ice, dirt, fans, charge or valve",
        "low": "little load, or a coil that is fed well and has little to do",
        "marginal": "see coil and fans",
    },
    limits=("evaporator-difference.walk-in", "evaporator-difference.reach-in", "evaporator-difference.floral"),
    facts=("refrigerant", "type"),
    steady=True,
    almost=0,
)


def _condensing(case: Case) -> Decision | None:
    bubble = case.saturation("pressure", "bubble")
    ambient = case.number("ambient")
    value = (bubble - ambient).quantize(Decimal("0.1"))
    formula = f"{show(bubble)} °F bubble point - {show(ambient)} °F ambient = {show(value, 3)} °F"
    if "water" in words_of(case.equipment):
        return undetermined(case, "the water's temperatures", why="a water-cooled condenser has no ambient")
    if ambient < 60:
        return undetermined(
            case,
            "whether fan cycling or head control acts now",
            value=value,
            unit="delta_degF",
            formula=formula,
            why="in cold air head control holds the pressure up",
        )
    entry = case.best("condensing-over-ambient")
    if entry is None and not case.unknown_machine:
        return None
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


CONDENSING = Check(
    name="condensing-over-ambient",
    title="Condensing over ambient",
    needs={"pressure": DISCHARGE_PRESSURE, "ambient": AMBIENT},
    decide=_condensing,
    subject="the condensing temperature over ambient",
    means={
        "high": "the condenser gives off its heat badly: dirt, fans, overcharge, air in the system, or "
        "discharge air drawn in again",
        "low": "little heat comes: low charge, a compressor that does not pump, or little load",
        "marginal": "see condenser and fans",
    },
    limits=(
        "condensing-over-ambient.comfort",
        "condensing-over-ambient.low",
        "condensing-over-ambient.medium",
        "condensing-over-ambient.self-contained",
    ),
    facts=("refrigerant", "type"),
    steady=True,
    almost=0,
)


def _ratio(case: Case) -> Decision | None:
    discharge, suction = case.psia("discharge"), case.psia("suction")
    if suction <= 0:
        return undetermined(case, "the suction pressure again", why="it cannot lie below a perfect vacuum")
    value = compression_ratio(discharge, suction)
    formula = f"{show(discharge)} psia / {show(suction)} psia = {show(value, 3)}"
    entry = case.best("compression-ratio")
    if entry is None and not case.unknown_machine:
        return None
    if entry is None:
        return undetermined(
            case,
            "what kind of machine it is",
            value=value * 100,
            unit="percent",
            formula=formula,
            why="no usual one is known",
        )
    return judged(case, value * 100, entry, formula)


RATIO = Check(
    name="compression-ratio",
    title="Compression ratio",
    needs={"discharge": DISCHARGE_PRESSURE, "suction": SUCTION_PRESSURE},
    decide=_ratio,
    subject="the discharge pressure, as a share of the suction pressure,",
    means={
        "high": "the compressor runs hot: condenser, low suction or a wrong refrigerant",
        "low": "the compressor hardly pumps, or it has just started",
        "marginal": "read both pressures again when steady",
    },
    limits=("compression-ratio.comfort", "compression-ratio.low", "compression-ratio.medium"),
    facts=("type",),
    steady=True,
    almost=0,
)


def _discharge_temperature(case: Case) -> Decision:
    value = case.number("measured")
    entry = case.best("discharge-temperature") or case.limit("discharge-temperature.usual")
    return judged(case, value, entry, f"{show(value)} °F on the discharge line")


DISCHARGE_TEMPERATURE = Check(
    name="discharge-temperature",
    title="Discharge line temperature",
    needs={
        "measured": temperature(
            "the discharge line's temperature six inches from the valve", "discharge line", unsaid=STOPPED
        )
    },
    decide=_discharge_temperature,
    subject="the discharge line",
    means={
        "high": "oil and valves suffer: high ratio, high superheat, or a bad valve in the compressor",
        "marginal": "hot; see ratio and superheat",
    },
    limits=("discharge-temperature.usual", "discharge-temperature.discus"),
    facts=("maker", "type"),
    cautions=("hot parts",),
)


def _return_gas(case: Case) -> Decision | None:
    entry = case.best("return-gas")
    if entry is None:
        return None
    value = case.number("measured")
    return judged(case, value, entry, f"{show(value)} °F return gas")


RETURN_GAS = Check(
    name="return-gas",
    title="Return gas temperature",
    needs={
        "measured": temperature(
            "the suction line's temperature at the compressor", "suction line", said=("compressor",)
        )
    },
    decide=_return_gas,
    subject="the return gas",
    means={"marginal": "the compressor's map ends there; see suction insulation and superheat"},
    limits=("return-gas.discus",),
    facts=("maker", "type"),
)


def _approach(case: Case) -> Decision | None:
    entry = case.best("liquid-approach")
    if entry is None:
        return None
    value = case.number("liquid") - case.number("ambient")
    return judged(
        case, value, entry, f"{show(case.number('liquid'))} °F liquid - {show(case.number('ambient'))} °F ambient"
    )


APPROACH = Check(
    name="liquid-approach",
    title="Liquid line over ambient",
    needs={
        "liquid": temperature("the liquid line's temperature", "liquid line", "liquid", unsaid=STOPPED),
        "ambient": AMBIENT,
    },
    decide=_approach,
    subject="the liquid line over ambient",
    means={
        "high": "the condenser gives off its heat badly, or it is short of liquid",
        "low": "liquid cannot leave colder than the air: read both again, or a restriction flashes before the clamp",
    },
    limits=("liquid-approach.usual",),
    steady=True,
    almost=0,
)


def _stated_saturation(case: Case) -> Decision:
    own, told = case.saturation("pressure", "dew"), case.number("stated")
    return judged(
        case,
        told - own,
        case.limit("saturation-stated.difference"),
        f"{show(told)} °F told - {show(own)} °F dew point of {case.refrigerant} at "
        f"{show(case.number('pressure'))} psig",
    )


STATED_SATURATION = Check(
    name="saturation-stated",
    title="Saturated suction told against computed",
    needs={
        "stated": Need(
            Kind.SATURATION_TEMPERATURE,
            "degF",
            "the saturated suction temperature told",
            components=("suction", "suction line", "evaporator", None),
        ),
        "pressure": SUCTION_PRESSURE,
    },
    decide=_stated_saturation,
    subject="the difference between the saturation told and the one computed",
    means={"marginal": "see that the gauge is set for the right refrigerant and shows the dew point"},
    limits=("saturation-stated.difference",),
    facts=("refrigerant",),
    almost=0,
)


def _water(case: Case) -> Decision:
    value = case.number("out") - case.number("in")
    return judged(
        case,
        value,
        case.limit("water-difference.usual"),
        f"water {show(case.number('in'))} to {show(case.number('out'))} °F",
    )


WATER = Check(
    name="condenser-water",
    title="Water through the condenser",
    needs={
        "in": temperature("the water going in", "water", said=("in", "entering")),
        "out": temperature("the water coming out", "water", said=("out", "leaving")),
    },
    decide=_water,
    subject="the rise of the condenser's water",
    means={"high": "little water flows: valve, strainer, scale", "low": "much water or little heat"},
    limits=("water-difference.usual",),
    steady=True,
)


def _saturation(case: Case) -> Decision | None:
    """By hand only: both saturation temperatures of a pressure; within where the table knows it."""
    dew, bubble = case.saturation("pressure", "dew"), case.saturation("pressure", "bubble")
    return stated(
        case,
        WITHIN,
        f"{case.refrigerant} at {show(case.number('pressure'))} psig boils at {show(bubble)} °F (bubble, for "
        f"subcooling) and "
        f"condenses at {show(dew)} °F (dew, for superheat)" + ("; take the right one." if dew - bubble > 3 else "."),
        Authority.PHYSICS,
        value=dew,
        unit="degF",
        formula=f"{show(case.psia('pressure'))} psia",
        source="CoolProp 8.0.0 (Bell et al., Ind. Eng. Chem. Res. 53 (2014) 2498)",
    )


SATURATION = Check(
    name="saturation",
    title="Saturation temperature of a pressure",
    needs={"pressure": Need(Kind.PRESSURE, "psi", "the pressure", components=("never taken from a visit",))},
    decide=_saturation,
    subject="the saturation temperature",
    facts=("refrigerant",),
)

CHECKS = (
    EVAPORATOR,
    CONDENSING,
    RATIO,
    DISCHARGE_TEMPERATURE,
    RETURN_GAS,
    APPROACH,
    STATED_SATURATION,
    WATER,
    SATURATION,
)
