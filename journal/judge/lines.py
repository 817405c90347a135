"""Lines, drier, oil and the stopped unit."""

from __future__ import annotations

from decimal import Decimal

from journal.domain.kind import Kind
from journal.judge.answers import judged
from journal.judge.check import NAMEPLATE, Case, Check, Decision, Need
from journal.judge.cycle import AMBIENT, temperature
from journal.judge.entries import words_of
from journal.judge.numbers import show
from journal.judge.superheat import STOPPED, SUCTION

_AT_COMPRESSOR, _AT_EVAPORATOR = ("compressor", "unit"), ("bulb", "evaporator", "coil", "case")


def _drier(case: Case) -> Decision:
    value = case.number("before") - case.number("after")
    return judged(
        case,
        value,
        case.limit("drier-drop.usual"),
        f"{show(case.number('before'))} °F before - {show(case.number('after'))} °F after = {show(value)} °F",
    )


DRIER = Check(
    name="drier-drop",
    title="Temperature drop across the drier",
    needs={
        "before": temperature("the line before the drier", "filter drier", said=("before", "inlet", "in")),
        "after": temperature("the line after the drier", "filter drier", said=("after", "outlet", "out")),
    },
    decide=_drier,
    subject="the temperature drop across the drier",
    means={"high": "the drier is plugged", "marginal": "the drier fills up"},
    limits=("drier-drop.usual",),
    steady=True,
)


def _standing(case: Case) -> Decision:
    dew, bubble = case.saturation("pressure", "dew"), case.saturation("pressure", "bubble")
    ambient = case.number("ambient")
    value = Decimal(0) if bubble <= ambient <= dew else min((bubble - ambient, dew - ambient), key=abs)
    formula = f"{show(case.number('pressure'))} psig is {show(bubble)} to {show(dew)} °F; ambient {show(ambient)} °F"
    return judged(case, value, case.limit("static-pressure.saturation"), formula)


STANDING = Check(
    name="static-pressure",
    title="Pressure of the stopped unit against ambient",
    needs={
        "pressure": Need(
            Kind.PRESSURE,
            "psi",
            "the pressure of the stopped unit",
            components=(
                "suction",
                "discharge",
                "suction line",
                "liquid line",
                "condensing unit",
                "system charge",
                None,
            ),
            said=STOPPED,
        ),
        "ambient": AMBIENT,
    },
    decide=_standing,
    trigger=("pressure",),
    subject="the saturation of the stopped unit, less ambient,",
    means={
        "low": "there may be no liquid left in it",
        "high": "air or another gas is in it, the wrong refrigerant, or it is not yet at ambient",
        "within": "liquid is in it and no sign of foreign gas",
        "marginal": "let it take the ambient's temperature and read again",
    },
    limits=("static-pressure.saturation",),
    facts=("refrigerant",),
    steady=True,
)


def _gain(case: Case) -> Decision:
    value = case.number("at compressor") - case.number("at evaporator")
    return judged(case, value, case.limit("suction-line-gain.usual"), f"suction line gains {show(value)} °F on its way")


GAIN = Check(
    name="suction-line-gain",
    title="Heat gain of the suction line",
    needs={
        "at evaporator": temperature(
            "the suction line at the evaporator's outlet", "suction line", said=_AT_EVAPORATOR
        ),
        "at compressor": temperature("the suction line at the compressor", "suction line", said=_AT_COMPRESSOR),
    },
    decide=_gain,
    subject="the heat gain of the suction line",
    means={"high": "insulation is missing", "marginal": "see the insulation"},
    limits=("suction-line-gain.usual",),
    steady=True,
    almost=0,
)


def _suction_drop(case: Case) -> Decision:
    first, second = case.saturation("at evaporator", "dew"), case.saturation("at compressor", "dew")
    value = first - second
    formula = (
        f"{show(case.number('at evaporator'))} to {show(case.number('at compressor'))} psig is {show(value, 3)} "
        f"°F of saturation"
    )
    return judged(case, value, case.limit("suction-line-drop.usual"), formula)


SUCTION_DROP = Check(
    name="suction-line-drop",
    title="Pressure drop of the suction line",
    needs={
        "at evaporator": Need(
            Kind.PRESSURE, "psi", "the pressure at the evaporator's outlet", components=SUCTION, said=_AT_EVAPORATOR
        ),
        "at compressor": Need(
            Kind.PRESSURE, "psi", "the suction pressure at the compressor", components=SUCTION, said=_AT_COMPRESSOR
        ),
    },
    decide=_suction_drop,
    subject="the pressure drop of the suction line, in saturation temperature,",
    means={"high": "the line is too small, kinked or plugged: filter, regulator, valve half shut"},
    limits=("suction-line-drop.usual",),
    facts=("refrigerant",),
    steady=True,
    almost=0,
)


def _oil(case: Case) -> Decision:
    value = (case.psia("outlet") - case.psia("crankcase")).quantize(Decimal("0.01"))
    formula = f"{show(case.number('outlet'))} - {show(case.number('crankcase'))} psig = {show(value, 3)} psi"
    return judged(case, value, case.limit("net-oil-pressure.usual"), formula)


OIL = Check(
    name="net-oil-pressure",
    title="Net oil pressure",
    needs={
        "outlet": Need(Kind.PRESSURE, "psi", "the pressure at the oil pump's outlet", components=("oil", "pump")),
        "crankcase": Need(
            Kind.PRESSURE,
            "psi",
            "the crankcase pressure",
            components=("crankcase", "suction", "suction line"),
            unsaid=STOPPED,
        ),
    },
    decide=_oil,
    trigger=("outlet",),
    subject="the net oil pressure",
    means={
        "low": "the bearings may run dry: oil level, liquid in the oil, strainer, pump",
        "high": "see the relief valve of the pump",
        "marginal": "near the trip of the oil control",
    },
    limits=("net-oil-pressure.usual",),
)


def _hold(case: Case) -> Decision | None:
    if "scroll" in words_of(case.equipment):
        return None
    entry = case.best("pump-down")
    if entry is None:
        return None
    value = case.number("after") - case.number("pumped down")
    formula = f"{show(case.number('pumped down'))} psig at the stop, {show(case.number('after'))} psig after"
    return judged(case, value, entry, formula)


PUMP_DOWN = Check(
    name="pump-down-hold",
    title="Pump-down and hold",
    needs={
        "pumped down": Need(
            Kind.PRESSURE,
            "psi",
            "the suction pressure at the stop",
            components=("suction", "suction line"),
            said=("pumped down",),
        ),
        "after": Need(
            Kind.PRESSURE,
            "psi",
            "the suction pressure a few minutes later",
            components=("suction", "suction line"),
            said=("after", "hold", "held", "later"),
        ),
    },
    decide=_hold,
    subject="the rise of the pumped-down low side",
    means={
        "high": "valves of the compressor leak back, or a solenoid or liquid in the low side feeds it",
        "within": "the valves hold",
    },
    limits=("pump-down.hold",),
    facts=("type",),
    cautions=("trapped liquid",),
)


def _design(case: Case) -> Decision:
    value, plate = case.number("measured"), case.number("plate")
    return judged(
        case,
        value,
        case.limit("design-pressure.plate").share_of(plate, "psi"),
        f"{show(value)} of {show(plate)} psig design",
    )


def _plate_pressure(name: str, title: str, side: tuple[str, ...], subject: str) -> Check:
    return Check(
        name=name,
        title=title,
        needs={
            "measured": Need(Kind.PRESSURE, "psi", subject, components=side),
            "plate": Need(
                Kind.PRESSURE, "psi", "the design pressure on the plate", roles=(NAMEPLATE,), components=side
            ),
        },
        decide=_design,
        subject=subject,
        means={"high": "the plate's pressure is passed: stop, and find the cause before it runs again"},
        limits=("design-pressure.plate",),
        almost=0,
    )


DESIGN_HIGH = _plate_pressure(
    "high-side-pressure",
    "High side against its plate",
    ("discharge", "discharge line", "condenser", "liquid line"),
    "the high-side pressure",
)


DESIGN_LOW = _plate_pressure(
    "low-side-pressure",
    "Low side against its plate",
    ("suction", "suction line", "evaporator"),
    "the low-side pressure",
)

CHECKS = (
    DRIER,
    STANDING,
    GAIN,
    SUCTION_DROP,
    OIL,
    PUMP_DOWN,
    DESIGN_HIGH,
    DESIGN_LOW,
)
