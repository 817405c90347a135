"""Superheat: the line against the dew point of its vapour."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from journal.domain.kind import Kind
from journal.domain.verdict import Authority
from journal.judge.answers import judged, undetermined
from journal.judge.check import ANY, EXPECTED, MEASURED, NAMEPLATE, Case, Check, Decision, Need
from journal.judge.entries import on_plate, words_of
from journal.judge.formulas import orifice_superheat
from journal.judge.numbers import show
from journal.judge.select import Bench, same_breath

STOPPED = ("off", "stopped", "standing", "static")


SUCTION = ("suction line", "suction", "evaporator")


LIQUID = ("liquid line", "liquid", "discharge", "condenser", "discharge line")


UNSETTLED = ("pull-down", "pull down", "pulldown", "defrost", "starting", "just started")


AT_BULB = ("bulb", "evaporator", "coil outlet", "case")


AT_COMPRESSOR = ("compressor", "unit", "service valve", "condensing unit")


SUCTION_PRESSURE = Need(Kind.PRESSURE, "psi", "the suction pressure", components=SUCTION, unsaid=STOPPED)


LIQUID_PRESSURE = Need(Kind.PRESSURE, "psi", "the liquid or discharge pressure", components=LIQUID, unsaid=STOPPED)


SUCTION_TEMPERATURE = Need(
    Kind.TEMPERATURE, "degF", "the suction line's temperature at the same place", components=("suction line", "suction")
)


LIQUID_TEMPERATURE = Need(
    Kind.TEMPERATURE, "degF", "the liquid line's temperature", components=("liquid line", "liquid")
)


def saturated(ask: str, components: tuple[str | None, ...]) -> Need:
    return Need(Kind.SATURATION_TEMPERATURE, "degF", ask, components=components, required=False)


def _unsettled(case: Case, *slots: str) -> Decision | None:
    for slot in slots:
        if case.said(slot, *UNSETTLED):
            return undetermined(
                case, "the same readings after ten minutes of steady running", why="it was not yet steady"
            )
    return None


def _place(case: Case) -> str | None:
    """Return where the clamp sat, if that was said."""
    if case.said("line", *AT_BULB):
        return "evaporator"
    if case.said("line", *AT_COMPRESSOR):
        return "compressor"
    return None


def _superheat(case: Case) -> Decision:
    early = _unsettled(case, "pressure", "line")
    if early:
        return early
    dew = case.saturation("pressure", "dew")
    line = case.number("line")
    value = line - dew
    formula = (
        f"{show(line)} °F line - {show(dew)} °F dew point of {case.refrigerant} at "
        f"{show(case.number('pressure'))} psig = {show(value, 3)} °F"
    )
    return _judge_superheat(case, value, formula)


def _judge_superheat(case: Case, value: Decimal, formula: str) -> Decision:
    impossible = case.limit("superheat-impossible.any")
    if value < (impossible.limit.low or Decimal(-3)):
        return undetermined(
            case,
            "pressure, line temperature and refrigerant again",
            value=value,
            unit="delta_degF",
            formula=formula,
            why="a suction line is never colder than its saturation: one of the three is wrong",
            limits=(impossible.limit,),
            authority=Authority.PHYSICS,
        )
    value = value.quantize(Decimal("0.1"))
    place = _place(case)
    flood = case.limit("superheat-floodback.any")
    if place != "evaporator" and value < (flood.limit.low or Decimal(1)):
        return judged(
            case, value, flood, formula, means={"low": "liquid comes back to the compressor and will break it"}
        )
    if case.has("target"):
        target = case.number("target")
        source = "the superheat asked for on this machine, within 3 °F"
        authority = Authority.NAMEPLATE if case.readings["target"].role is NAMEPLATE else Authority.PRACTICE
        return judged(
            case,
            value,
            on_plate("delta_degF", low=target - 3, high=target + 3, source=source, authority=authority),
            formula,
        )
    entry = case.best("superheat-evaporator") if place == "evaporator" else case.best("superheat-compressor")
    if entry is None:
        return undetermined(
            case,
            "the maker's superheat for this machine, or what kind of machine it is and where the clamp sat",
            value=value,
            unit="delta_degF",
            formula=formula,
            why="no target is known for it",
        )
    note = "" if place else "taken as read at the compressor; say where the clamp sat"
    return judged(case, value, entry, formula, note=note)


TARGET = Need(
    Kind.SUPERHEAT,
    "delta_degF",
    "the superheat asked for",
    roles=(NAMEPLATE, EXPECTED),
    components=(ANY,),
    required=False,
)


SUPERHEAT = Check(
    name="superheat",
    title="Superheat",
    needs={"pressure": SUCTION_PRESSURE, "line": SUCTION_TEMPERATURE, "target": TARGET},
    decide=_superheat,
    subject="the superheat",
    means={
        "low": "the evaporator is fed too much; liquid may reach the compressor",
        "high": "the evaporator is starved; see charge, drier, valve and airflow before touching the valve",
        "marginal": "read it again when it has settled",
    },
    limits=(
        "superheat-compressor.refrigeration",
        "superheat-compressor.changeover",
        "superheat-compressor.air-conditioning",
        "superheat-compressor.goodman",
        "superheat-evaporator.medium",
        "superheat-evaporator.low",
        "superheat-floodback.any",
        "superheat-impossible.any",
    ),
    facts=("refrigerant", "type", "maker"),
    steady=True,
    cautions=("refrigerant handling",),
)


def _from_saturation(case: Case) -> Decision | None:
    early = _unsettled(case, "saturation", "line")
    if early:
        return early
    value = case.number("line") - case.number("saturation")
    formula = (
        f"{show(case.number('line'))} °F line - {show(case.number('saturation'))} °F saturated = {show(value, 3)} °F"
    )
    return _judge_superheat(case, value, formula)


FROM_SATURATION = Check(
    name="superheat-from-saturation",
    title="Superheat from the gauge's saturation temperature",
    needs={
        "saturation": Need(
            Kind.SATURATION_TEMPERATURE,
            "degF",
            "the saturated suction temperature",
            components=("suction line", "suction", "evaporator", None),
        ),
        "line": SUCTION_TEMPERATURE,
        "target": TARGET,
    },
    decide=_from_saturation,
    subject="the superheat",
    means=SUPERHEAT.means,
    limits=SUPERHEAT.limits,
    facts=("type", "maker"),
    steady=True,
    almost=0,
)


def _stated_superheat(case: Case) -> Decision:
    own = case.number("line") - case.saturation("pressure", "dew")
    return _compare(case, own)


def _compare(case: Case, own: Decimal) -> Decision:
    told = case.number("stated")
    return judged(
        case,
        told - own,
        case.limit("superheat-stated.difference"),
        f"{show(told)} °F told - {show(own, 3)} °F computed = {show(told - own, 3)} °F",
    )


STATED_SUPERHEAT = Check(
    name="superheat-stated",
    title="Superheat told against superheat computed",
    needs={
        "stated": Need(Kind.SUPERHEAT, "delta_degF", "the superheat told", components=(ANY,)),
        "pressure": SUCTION_PRESSURE,
        "line": SUCTION_TEMPERATURE,
    },
    decide=_stated_superheat,
    subject="the difference between the superheat told and the one computed",
    means={"marginal": "see that the gauge is set for the right refrigerant and uses the dew point"},
    limits=("superheat-stated.difference",),
    facts=("refrigerant",),
    almost=0,
)


def _orifice(case: Case) -> Decision | None:
    if case.equipment and not any(
        word in words_of(case.equipment) for word in ("orifice", "piston", "capillary", "cap tube")
    ):
        return None
    target = orifice_superheat(case.number("wet bulb"), case.number("outdoor"))
    value = case.number("line") - case.saturation("pressure", "dew")
    formula = (
        f"target (3 x {show(case.number('wet bulb'))} - 80 - {show(case.number('outdoor'))}) / 2 = "
        f"{show(target)} °F; measured {show(value, 3)} °F"
    )
    if target < 5:
        return undetermined(
            case,
            "the charge by weight or by the unit's chart",
            value=value,
            unit="delta_degF",
            formula=formula,
            why="in such weather a fixed orifice cannot be charged by superheat",
        )
    return judged(case, value - target, case.limit("superheat-orifice.target"), formula)


def _orifices(bench: Bench, check: Check) -> Iterator[Case]:
    """Of two return-air temperatures said together ('79 over 66') the lower is the wet bulb."""
    for phase in bench.phases:
        case = bench.fill(check, phase, None)
        if not case.has("wet bulb"):
            pool = [r for r in bench.by_key.get((Kind.TEMPERATURE, MEASURED, "return air"), ()) if r.phase is phase]
            pair = [r for r in pool if r.number is not None and same_breath(r, pool[0])]
            if len(pair) == 2 and pair[0].unit == pair[1].unit:
                wet = min(pair, key=lambda r: r.value or Decimal(0))
                case = bench.case(check, phase, None, {**case.readings, "wet bulb": wet})
        yield case


ORIFICE = Check(
    name="orifice-superheat",
    title="Superheat of a fixed orifice against its target",
    needs={
        "pressure": SUCTION_PRESSURE,
        "line": SUCTION_TEMPERATURE,
        "wet bulb": Need(
            Kind.TEMPERATURE, "degF", "the wet bulb of the return air", components=("return air",), said=("wet bulb",)
        ),
        "outdoor": Need(Kind.TEMPERATURE, "degF", "the outdoor temperature", components=("ambient",), shared=True),
    },
    decide=_orifice,
    gather=_orifices,
    subject="the superheat, less its target,",
    means={"low": "much refrigerant or little load", "high": "little refrigerant or much load"},
    limits=("superheat-orifice.target",),
    facts=("refrigerant", "type"),
    steady=True,
    almost=0,
)

CHECKS = (
    SUPERHEAT,
    FROM_SATURATION,
    STATED_SUPERHEAT,
    ORIFICE,
)
